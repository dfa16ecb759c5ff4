"""The angle of a drop on a plastic, and what a person sees of it. Tensions in mN/m, angles in degrees."""

from __future__ import annotations

from math import acos, cos, degrees, exp, radians, sqrt

BETA = 0.0001247  # (m2/mJ)^2, the constant of the equation of state below
FLAT_BELOW, STANDS_FROM = 60.0, 85.0  # degrees between which a drop is neither a lens nor a bead (common practice)


def contact_angle(surface_mn_m: float, liquid_mn_m: float) -> float:
    """The angle at the foot of a drop, 0 where it spreads to a film.

        cos a = 2 sqrt(s / l) exp(-beta (l - s)^2) - 1

    The equation of state of D. Li and A. W. Neumann, J. Colloid Interface Sci. 148 (1992) 190-200 (form and constant
    from memory); the tests hold it within 12 degrees rms of published angles of water on plastics. Raises ValueError
    for a tension that is not above zero.

    >>> round(contact_angle(30.0, 72.8))
    89
    """
    if not (surface_mn_m > 0.0 and liquid_mn_m > 0.0):
        raise ValueError("Tensions must be above zero in mN/m.")
    if surface_mn_m >= liquid_mn_m:
        return 0.0
    cosine = 2.0 * sqrt(surface_mn_m / liquid_mn_m) * exp(-BETA * (liquid_mn_m - surface_mn_m) ** 2) - 1.0
    return degrees(acos(max(-1.0, min(1.0, cosine))))


def surface_from_angle(angle: float, liquid_mn_m: float) -> float:
    """What a surface carries, from the angle of a drop on it: `contact_angle` undone by halving.

    Raises ValueError for an angle outside 0 to 150 degrees.
    """
    if not 0.0 <= angle <= 150.0:
        raise ValueError(f"An angle of {angle:g} is no drop on a plastic: give 0 to 150 degrees.")
    low, high = 1.0, liquid_mn_m
    for _ in range(60):
        middle = 0.5 * (low + high)
        if contact_angle(middle, liquid_mn_m) > angle:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def height_over_width(angle: float) -> float:
    """How tall a small drop stands for its width: tan(a / 2) / 2, the cap of a sphere.

    A pearl of 90 degrees is half as tall as wide, a lens of 45 degrees a fifth.

    >>> round(height_over_width(90.0), 3)
    0.5
    """
    if not 0.0 <= angle < 180.0:
        raise ValueError(f"An angle of {angle:g} is no drop: give 0 to below 180 degrees.")
    half = radians(angle) / 2.0
    return 0.5 * sqrt(1.0 - cos(half) ** 2) / cos(half)
