"""What floating, sinking and hanging in liquids of known density say of the density of a piece."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

from .propagation import Measured

RESULTS = ("floats", "hangs", "sinks")


class Float(NamedTuple):
    """One result in one liquid."""

    liquid_g_cm3: Measured
    result: str  # floats | hangs | sinks


class Between(NamedTuple):
    """The density lies between two limits, g/cm3; a side that no liquid closes is None.

    `density` and its standard uncertainty are given when both sides are closed: the middle, and half of the
    width over the root of three (even chances between the limits) with the doubt of the limits.
    """

    low: float | None
    high: float | None
    density: Measured | None


def density_between(results: Sequence[Float], hangs_within_g_cm3: float) -> Between:
    """The limits that all results together leave.

    A piece that hangs is as heavy as the liquid within `hangs_within_g_cm3`. Limits are the liquids' densities
    moved outwards by their standard uncertainty. Raises ValueError when two results contradict each other by more
    than both doubts allow, naming the two liquids.
    """
    low: Measured | None = None
    high: Measured | None = None
    for liquid, result in results:
        if result not in RESULTS:
            raise ValueError(f"{result!r} is not a result; say one of {', '.join(RESULTS)}")
        slack = hangs_within_g_cm3
        if result != "floats":
            edge = liquid.value - (slack if result == "hangs" else 0.0)
            if low is None or edge > low.value:
                low = Measured(edge, liquid.uncertainty)
        if result != "sinks":
            edge = liquid.value + (slack if result == "hangs" else 0.0)
            if high is None or edge < high.value:
                high = Measured(edge, liquid.uncertainty)
    if low is not None and high is not None:
        doubt = sqrt(low.uncertainty**2 + high.uncertainty**2)
        if low.value - high.value > 2.0 * doubt:
            raise ValueError(
                f"it cannot be heavier than {low.value:.3f} g/cm3 and lighter than {high.value:.3f} g/cm3: repeat both "
                "tests with a wetted chip free of bubbles"
            )
        ends = (min(low.value, high.value), max(low.value, high.value))
        spread = sqrt((ends[1] - ends[0]) ** 2 / 12.0 + doubt * doubt / 4.0)
        middle = Measured(0.5 * (ends[0] + ends[1]), spread)
        return Between(low.value - low.uncertainty, high.value + high.uncertainty, middle)
    return Between(low.value - low.uncertainty if low else None, high.value + high.uncertainty if high else None, None)
