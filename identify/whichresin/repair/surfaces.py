"""What a plan says of wetting: its part of the plan's JSON shape."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from .reason import Reason

_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Spread:
    """Whether one liquid wets one prepared surface. `verdict`: wets | barely | does_not; tensions in mN/m."""

    liquid: str
    short: str
    verdict: str
    margin: float
    uncertainty: float
    chance: float  # that it spreads by itself

    def as_json(self) -> dict[str, Any]:
        """The verdict as an object."""
        return {
            "liquid": self.liquid,
            "name": self.short,
            "verdict": self.verdict,
            "margin_mn_m": round(self.margin, 2),
            "uncertainty_mn_m": round(self.uncertainty, 2),
            "chance": round(self.chance, _DIGITS),
        }


@dataclass(frozen=True, slots=True)
class Surface:
    """One plastic that it may be, in one state of preparation: what it carries in mN/m, and what wets it."""

    material: str
    symbol: str
    probability: float
    state: str
    told: str
    carries: float
    uncertainty: float
    spreads: tuple[Spread, ...]
    drop_stands: bool
    source: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The surface as an object."""
        return {
            "material": self.material,
            "symbol": self.symbol,
            "probability": round(self.probability, _DIGITS),
            "state": self.state,
            "text": self.told,
            "carries_mn_m": round(self.carries, 2),
            "uncertainty_mn_m": round(self.uncertainty, 2),
            "liquids": [one.as_json() for one in self.spreads],
            "drop_stands": self.drop_stands,
            "source": list(self.source),
        }


@dataclass(frozen=True, slots=True)
class Wetting:
    """Whether what this process puts on wets the plastic: in sentences, and the figures they were made from."""

    told: tuple[Reason, ...]  # what was seen on the bare surface before preparation
    plastics: tuple[Reason, ...]
    means: tuple[Reason, ...]
    surfaces: tuple[Surface, ...]

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """All sentences, in the order in which they are read."""
        return (*self.told, *self.plastics, *self.means)

    def as_json(self) -> dict[str, Any]:
        """The wetting as an object."""
        return {
            "told": [reason.as_json() for reason in self.told],
            "plastics": [reason.as_json() for reason in self.plastics],
            "means": [reason.as_json() for reason in self.means],
            "surfaces": [surface.as_json() for surface in self.surfaces],
        }
