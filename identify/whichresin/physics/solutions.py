"""Density of a solution from its composition: four kinds of formula, coefficients handed in.

Mass fraction `w` of solute (0 to 1) and temperature in degrees Celsius in, g/cm3 out. Which solute has which
formula and coefficients, and how far they hold, is data (knowledge/liquids/); the range is checked in `liquids`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import exp, pi, sin

from .water import water_density

REFERENCE_CELSIUS = 20.0  # of tables and of the alcoholometric formula


def apparent_volume(w: float, celsius: float, coefficients: Sequence[float]) -> float:
    """Salts and sugar: the solute takes up an apparent volume in the water.

        1 / rho = (1 - w) / rho_water + w v,   v = (w + c2 + c3 t) / ((c0 w + c1) exp(1e-6 (t + c4)^2))

    rho in kg/m3, v in m3/kg. M. Laliberte and W. E. Cooper, J. Chem. Eng. Data 49 (2004) 1141-1151; coefficients
    of M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725-1760.
    """
    c0, c1, c2, c3, c4 = coefficients
    volume = (w + c2 + c3 * celsius) / ((c0 * w + c1) * exp(1e-6 * (celsius + c4) ** 2))
    return 1.0 / ((1.0 - w) / water_density(celsius) + 1000.0 * w * volume)


def alcoholometric(
    w: float, celsius: float, at_20: Sequence[float], of_water: Sequence[float], crossed: Sequence[Sequence[float]]
) -> float:
    """Ethanol and water: the general formula of the international alcoholometric tables, OIML R 22 (1975).

        rho = sum A_k w^(k-1) + sum B_k (t - 20)^k + sum C_ik w^k (t - 20)^i   (kg/m3, -20 to 40 C)

    `at_20` are the A, `of_water` the B, `crossed[i - 1]` the C of the i-th power of (t - 20).
    """
    warmer = celsius - REFERENCE_CELSIUS
    rho = sum(a * w**k for k, a in enumerate(at_20))
    rho += sum(b * warmer**k for k, b in enumerate(of_water, 1))
    for i, row in enumerate(crossed, 1):
        rho += warmer**i * sum(c * w**k for k, c in enumerate(row, 1))
    return rho / 1000.0


def contraction(w: float, celsius: float, solute: Sequence[float], shrinks: Sequence[float]) -> float:
    """Glycerol and water: volumes add, but for a contraction.

        rho = k / (w / rho_solute + (1 - w) / rho_water)
        rho_solute = s0 + s1 t;   k = 1 + (a t^2 + b t + c) sin(pi w^p)^q       (kg/m3)

    `shrinks` is (a, b, c, p, q). A. Volk and C. J. Kaehler, Exp. Fluids 59 (2018) 75; 15 to 30 C. For water
    `water_density` is used in place of the approximation of that paper (0.16 kg/m3 lower at 20 C).
    """
    a, b, c, p, q = shrinks
    pure = (solute[0] + solute[1] * celsius) / 1000.0
    wave: float = max(sin(pi * w**p), 0.0) ** q
    factor = 1.0 + (a * celsius**2 + b * celsius + c) * wave
    return factor / (w / pure + (1.0 - w) / water_density(celsius))


def tabulated(
    w: float,
    celsius: float,
    at_20: Sequence[tuple[float, float]],
    per_degree: Sequence[tuple[float, float]],
) -> float:
    """A table for 20 C, read with a smooth curve that never swings, and a slope with temperature.

    `at_20` holds (w, g/cm3), `per_degree` (w, g/cm3 per C); both rise in w, and both start after w = 0, where
    water's own values are put. The curve is the monotone cubic of F. N. Fritsch and R. E. Carlson, SIAM J. Numer.
    Anal. 17 (1980) 238-246.
    """
    points = [(0.0, water_density(REFERENCE_CELSIUS)), *at_20]
    density = monotone_cubic(points, w)
    warmer = celsius - REFERENCE_CELSIUS
    if warmer == 0.0:
        return density
    of_water = (water_density(celsius) - points[0][1]) / warmer
    return density + warmer * linear([(0.0, of_water), *per_degree], w)


def linear(points: Sequence[tuple[float, float]], x: float) -> float:
    """Straight lines between points that rise in x. Raises ValueError outside them."""
    place = _place(points, x)
    (x0, y0), (x1, y1) = points[place], points[place + 1]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def monotone_cubic(points: Sequence[tuple[float, float]], x: float) -> float:
    """A smooth curve through points that rise in x; between two of them it stays between their values.

    Raises ValueError outside the points.
    """
    place = _place(points, x)
    steps = [b[0] - a[0] for a, b in pairwise(points)]
    slopes = [(b[1] - a[1]) / h for (a, b), h in zip(pairwise(points), steps, strict=True)]
    h, (x0, y0), (_, y1) = steps[place], points[place], points[place + 1]
    left, right = _tangent(slopes, steps, place), _tangent(slopes, steps, place + 1)
    s = (x - x0) / h
    return (
        y0 * (1.0 + 2.0 * s) * (1.0 - s) ** 2
        + h * left * s * (1.0 - s) ** 2
        + y1 * s * s * (3.0 - 2.0 * s)
        + h * right * s * s * (s - 1.0)
    )


def _tangent(slopes: Sequence[float], steps: Sequence[float], place: int) -> float:
    """Slope of the curve at a point: a harmonic mean of its neighbours, 0 at a turn, which keeps it monotone."""
    if place == 0:
        return slopes[0]
    if place == len(slopes):
        return slopes[-1]
    before, after = slopes[place - 1], slopes[place]
    if before * after <= 0.0:
        return 0.0
    heavy, light = 2.0 * steps[place] + steps[place - 1], steps[place] + 2.0 * steps[place - 1]
    return (heavy + light) / (heavy / before + light / after)


def _place(points: Sequence[tuple[float, float]], x: float) -> int:
    if not points[0][0] <= x <= points[-1][0]:
        raise ValueError(f"{x:g} is outside the table, which goes from {points[0][0]:g} to {points[-1][0]:g}.")
    return min(bisect_right([point[0] for point in points], x), len(points) - 1) - 1
