"""How much filler a density means, with its interval; and what voids and flame retardant do to it.

The rule of mixtures is in `mixtures`; this module adds the doubts of polymer, filler and measurement.
"""

from __future__ import annotations

from math import isclose
from typing import NamedTuple

from .propagation import Measured, propagate

COVERAGE = 1.96  # standard uncertainties that hold 95 % of a normal


class Share(NamedTuple):
    """Percent of filler by mass: best value and the ends of its 95 % interval, all within 0 to 100."""

    low_percent: float
    percent: float
    high_percent: float
    uncertainty_percent: float  # standard


def filler_share(density: Measured, polymer: Measured, filler: Measured) -> Share | None:
    """The share of filler that explains a density, g/cm3 each; None when none from 0 to 100 % does.

        w = (1 / rho_polymer - 1 / rho) / (1 / rho_polymer - 1 / rho_filler)

    with the uncertainty of all three propagated. A density that misses the range by less than two standard
    uncertainties counts as its end.
    """
    if isclose(polymer.value, filler.value, rel_tol=1e-9):
        return None

    def share(density: float, polymer: float, filler: float) -> float:
        return 100.0 * (1.0 / polymer - 1.0 / density) / (1.0 / polymer - 1.0 / filler)

    found = propagate(share, {"density": density, "polymer": polymer, "filler": filler})
    low, high = found.value - COVERAGE * found.uncertainty, found.value + COVERAGE * found.uncertainty
    if high < 0.0 or low > 100.0:
        return None
    return Share(max(low, 0.0), min(max(found.value, 0.0), 100.0), min(high, 100.0), found.uncertainty)


def with_voids(density_g_cm3: float, void_fraction: float) -> float:
    """Density of a piece of which this fraction of the volume (0 to below 1) is gas: rho (1 - v).

    Raises ValueError for another fraction.
    """
    if not 0.0 <= void_fraction < 1.0:
        raise ValueError(f"A void fraction of {void_fraction:g} is not possible: give a number from 0 to below 1.")
    return density_g_cm3 * (1.0 - void_fraction)


def with_water(density_g_cm3: float, water_fraction: float, swelling: float, water_g_cm3: float = 0.998) -> float:
    """Density after taking up water: mass fraction `water_fraction` of the wet piece, `swelling` 0 to 1.

        rho_wet = 1 / ((1 - w) / rho + s w / rho_water)

    swelling 1: the water takes its own room; 0: it goes into gaps and only adds weight. Wet polyamide lies
    between (its density moves by less than 0.01 g/cm3; from memory).
    """
    if not (0.0 <= water_fraction < 1.0 and 0.0 <= swelling <= 1.0):
        raise ValueError("A water fraction from 0 to below 1 and a swelling from 0 to 1 are wanted.")
    return 1.0 / ((1.0 - water_fraction) / density_g_cm3 + swelling * water_fraction / water_g_cm3)
