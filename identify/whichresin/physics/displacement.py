"""Density from the weight of a piece and the water that it moves aside: the quick way, and a rough one."""

from __future__ import annotations

from math import pi

from .propagation import Measured, Propagated, propagate, rounding
from .weighing import AIR_G_CM3, ImpossibleWeighing


def displaced_density(
    dry: Measured, before_cm3: float, after_cm3: float, mark_cm3: float, share_read: float = 0.5
) -> Propagated:
    """Density, g/cm3, and its standard uncertainty from a level before and after the piece went under.

        rho = m / (V_after - V_before), the mass corrected for the buoyancy of air

    Each level is read to `share_read` of a mark: standard uncertainty share * mark / sqrt(3). Raises
    ImpossibleWeighing when no volume is left, or less than a mark.
    """
    moved = after_cm3 - before_cm3
    if dry.value <= 0.0:
        raise ImpossibleWeighing(f"the dry weight {dry.value:g} g is not above zero; weigh the dry piece in grams")
    if mark_cm3 <= 0.0:
        raise ImpossibleWeighing(f"a mark of {mark_cm3:g} cm3 is not above zero; say how far apart the jar's marks are")
    if moved <= 0.0:
        raise ImpossibleWeighing(
            f"the level after ({after_cm3:g} cm3) is not above the level before ({before_cm3:g} cm3): are the two "
            "mixed up, or was the piece not under?"
        )
    if moved < mark_cm3:
        raise ImpossibleWeighing(
            f"the piece moves {moved:g} cm3, less than one mark of {mark_cm3:g} cm3: take a narrower jar or a bigger "
            "piece"
        )
    level = share_read * mark_cm3 / 3.0**0.5
    return propagate(
        lambda mass, before, after: mass / (after - before) + AIR_G_CM3,
        {"mass": dry, "before": Measured(before_cm3, level), "after": Measured(after_cm3, level)},
    )


def jar_mark_cm3(diameter_cm: float, ruler_step_cm: float = 0.1) -> float:
    """What one step of a ruler means in a straight jar, cm3: pi d^2 h / 4.

    >>> round(jar_mark_cm3(4.0), 2)
    1.26
    """
    if diameter_cm <= 0.0 or ruler_step_cm <= 0.0:
        raise ImpossibleWeighing("a jar's diameter and a ruler's step are above zero; measure them in cm")
    return pi * diameter_cm**2 * ruler_step_cm / 4.0


def scale_reading(grams: float, step_g: float) -> Measured:
    """One reading of a scale with its rounding."""
    return Measured(grams, rounding(step_g))
