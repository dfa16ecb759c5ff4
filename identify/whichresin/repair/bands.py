"""A band: the least, the usual and the most that a figure can be. Bands are reckoned end with end, nothing cancels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, inf
from typing import Any


@dataclass(frozen=True, slots=True)
class Band:
    """`low` <= `usual` <= `high`, in the unit of whoever made it. `high` is inf where no upper end is known."""

    low: float
    usual: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.usual <= self.high:
            raise ValueError(f"a band runs upwards, not {self.low:g}, {self.usual:g}, {self.high:g}")

    def __mul__(self, other: Band | float) -> Band:
        return self._with(other, lambda a, b: a * b)

    __rmul__ = __mul__

    def __add__(self, other: Band | float) -> Band:
        return self._with(other, lambda a, b: a + b)

    def whole(self) -> Band:
        """Each end rounded up to a whole number: things are bought whole."""
        return Band(*(ceil(x - 1e-9) if x < inf else inf for x in (self.low, self.usual, self.high)))

    def as_json(self) -> dict[str, float | None]:
        """Four significant digits; `high` is null where no upper end is known."""
        high = None if self.high == inf else _short(self.high)
        return {"low": _short(self.low), "usual": _short(self.usual), "high": high}

    def _with(self, other: Band | float, do: Callable[[float, float], float]) -> Band:
        """End with end: right for figures above zero, which all figures here are."""
        over = other if isinstance(other, Band) else exactly(other)
        return Band(do(self.low, over.low), do(self.usual, over.usual), do(self.high, over.high))


def exactly(value: float) -> Band:
    """A figure without a spread."""
    return Band(value, value, value)


def _short(value: float) -> float:
    return float(f"{value:.4g}")


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something reckoned for a job: a band in `unit`, what it leaves out, and where its figures come from."""

    id: str
    name: str
    band: Band
    unit: str
    leaves_out: str
    source: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The quantity as an object."""
        return {
            "name": self.name,
            **self.band.as_json(),
            "unit": self.unit,
            "leaves_out": self.leaves_out,
            "source": list(self.source),
        }

    def text(self) -> str:
        """'18 mL (12 to 27)'; 'at least 20 min' where no upper end is known."""
        low, usual, high = (_said(x, self.unit) for x in (self.band.low, self.band.usual, self.band.high))
        unit = f" {self.unit}" if self.unit else ""
        if self.band.high == inf:
            return f"at least {usual}{unit}"
        return f"{usual}{unit}" if low == high else f"{usual}{unit} ({low} to {high})"


def _said(value: float, unit: str) -> str:
    """Two significant digits and no more: a third would promise what nobody can keep."""
    if value == inf:
        return "?"
    if not unit or (value == int(value) and value < 1000):
        return f"{value:.0f}"
    rounded = float(f"{value:.2g}")
    return f"{rounded:g}" if rounded < 100 else f"{rounded:.0f}"
