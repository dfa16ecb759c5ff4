"""Whether a liquid wets a surface: its surface tension against what the surface carries. All in mN/m.

A liquid spreads when its surface tension is below the critical surface tension of the solid; practice asks the
solid to be 8 to 10 mN/m above an adhesive (WETADV in shared/sources.yaml). Necessary, not sufficient: weak
layers, crystallinity and release agent decide too. The numbers explain why a primer is needed; they do not tell
one polymer from another.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from .propagation import Measured

COMFORT_MN_M = 8.0  # the lower end of what practice asks for (WETADV)
_TRIPLE_CELSIUS, _CRITICAL_CELSIUS = 0.01, 373.946


class Wetting(NamedTuple):
    """How a liquid stands to a surface. `verdict`: wets | barely | does_not."""

    verdict: str
    margin_mn_m: float  # surface above liquid
    uncertainty_mn_m: float  # standard


class Tension(NamedTuple):
    """What test inks leave: the surface carries at least `low`, less than `high`; None where no ink closes it."""

    low_mn_m: float | None
    high_mn_m: float | None


def water_surface_tension(celsius: float) -> float:
    """Surface tension of water against air, mN/m, 0.01 to 373.946 C.

        sigma = 235.8 t^1.256 (1 - 0.625 t),   t = 1 - T / 647.096 K

    IAPWS R1-76(2014). Raises ValueError outside the range.

    >>> round(water_surface_tension(20.0), 2)
    72.74
    """
    if not _TRIPLE_CELSIUS <= celsius <= _CRITICAL_CELSIUS:
        raise ValueError(f"{celsius:g} C is no temperature of liquid water: give {_TRIPLE_CELSIUS:g} to 373 C.")
    t = 1.0 - (celsius + 273.15) / 647.096
    tension: float = 235.8 * t**1.256 * (1.0 - 0.625 * t)
    return tension


def wetting(surface: Measured, liquid: Measured, comfort_mn_m: float = COMFORT_MN_M) -> Wetting:
    """Whether the liquid wets: with the comfort asked for, barely (spreads, no reserve), or not at all.

    Raises ValueError for a tension that is not above zero.
    """
    for name, one in (("surface", surface), ("liquid", liquid)):
        if not one.value > 0.0:
            raise ValueError(f"The tension of the {name} must be above zero in mN/m, not {one.value:g}.")
    margin = surface.value - liquid.value
    doubt = (surface.uncertainty**2 + liquid.uncertainty**2) ** 0.5
    verdict = "wets" if margin >= comfort_mn_m else "barely" if margin > 0.0 else "does_not"
    return Wetting(verdict, margin, doubt)


def tension_from_inks(results: Sequence[tuple[float, bool]]) -> Tension:
    """The surface from test inks: (tension of the ink in mN/m, did its film hold?).

    ISO 8296 and ASTM D2578: the highest ink that holds as a film for two seconds is the wetting tension. Raises
    ValueError when an ink holds although a lower one draws together: then grease or the order is at fault.
    """
    if any(tension <= 0.0 for tension, _ in results):
        raise ValueError("An ink's tension must be above zero in mN/m: read it from its label.")
    held = [tension for tension, holds in results if holds]
    drew = [tension for tension, holds in results if not holds]
    low, high = max(held, default=None), min(drew, default=None)
    if low is not None and high is not None and low >= high:
        raise ValueError(
            f"The ink of {low:g} mN/m held although that of {high:g} drew together: clean the surface and start again "
            "with the lowest ink."
        )
    return Tension(low, high)


def tension_from_water(film_holds: bool, celsius: float = 23.0) -> Tension:
    """What a water film says: unbroken, the surface carries about water's own tension; in beads, less.

    A broken film cannot tell grease from a surface that carries little by nature.
    """
    water = water_surface_tension(celsius)
    return Tension(water, None) if film_holds else Tension(None, water)
