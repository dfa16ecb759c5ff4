"""The true density of the piece: the latent that float tests and weighings share.

Each compound's density is a normal. It is cut into cells of equal mass; a node stands for one cell with the
cell's own mean and standard deviation. The nodes together keep the normal's mean and variance exactly, and a
float test's kernel is widened by the cell. A weighing is conditioned on before the grid is laid, so that one
sharper than the grid cannot fall between two nodes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import erfc, exp, pi, sqrt
from operator import mul
from typing import NamedTuple

from whichresin.physics.water import water_density

# Cells of a normal: few where the spread is small beside a liquid's uncertainty, more where it is wide.
FEW_NODES, MANY_NODES = 16, 48
WIDE_SD_G_CM3 = 0.03
RESULTS = ("floats", "neutral", "sinks")
# Float tests are asked for at this bench temperature unless a liquid of known density is named.
WATER_G_CM3 = water_density(23.0)
# A slipped weighing may read anything that a solid resin could weigh, g/cm3.
SLIP_LOW_G_CM3, SLIP_HIGH_G_CM3 = 0.8, 2.4
SLIP_PDF = 1.0 / (SLIP_HIGH_G_CM3 - SLIP_LOW_G_CM3)
SMALLEST_UNCERTAINTY_G_CM3 = 1e-4

_ROOT_2 = sqrt(2.0)
_ROOT_2_PI = sqrt(2.0 * pi)


def normal_below(z: float) -> float:
    """The chance that a standard normal is below `z`."""
    return 0.5 * erfc(-z / _ROOT_2)


def normal_pdf(z: float) -> float:
    """The standard normal's density at `z`."""
    return exp(-0.5 * z * z) / _ROOT_2_PI


def normal_quantile(chance: float) -> float:
    """The `z` with `normal_below(z) == chance`, by bisection to the last bit; `chance` within (0, 1)."""
    low, high = -9.0, 9.0
    while True:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            return middle
        if normal_below(middle) < chance:
            low = middle
        else:
            high = middle


def nodes_for(sd_g_cm3: float) -> tuple[tuple[float, float], ...]:
    """Mean and standard deviation, in units of `sd`, of each cell of a normal with this spread."""
    return standard_nodes(MANY_NODES if sd_g_cm3 > WIDE_SD_G_CM3 else FEW_NODES)


@lru_cache(maxsize=8)
def standard_nodes(count: int) -> tuple[tuple[float, float], ...]:
    """Mean and standard deviation of each of `count` equal-mass cells of the standard normal.

    With a, b the cell's ends and f the normal's density, mean = n (f(a) - f(b)) and mean square =
    1 + n (a f(a) - b f(b)): the moments of a truncated normal.
    """
    ends = [normal_quantile(k / count) for k in range(1, count)]
    slopes = [0.0, *(normal_pdf(z) for z in ends), 0.0]
    moments = [0.0, *(z * normal_pdf(z) for z in ends), 0.0]
    nodes = []
    for k in range(count):
        mean = count * (slopes[k] - slopes[k + 1])
        square = 1.0 + count * (moments[k] - moments[k + 1])
        nodes.append((mean, sqrt(max(square - mean * mean, 0.0))))
    return tuple(nodes)


def float_chances(gap_g_cm3: float, spread_g_cm3: float, within_g_cm3: float) -> tuple[float, float, float]:
    """Chances of floats, neutral, sinks for a liquid `gap` denser than the piece.

    The piece hangs when the true gap is within `within`; `spread` is the standard uncertainty of the gap.
    """
    floats = 0.5 * erfc((within_g_cm3 - gap_g_cm3) / (spread_g_cm3 * _ROOT_2))
    sinks = 0.5 * erfc((within_g_cm3 + gap_g_cm3) / (spread_g_cm3 * _ROOT_2))
    return floats, max(0.0, 1.0 - floats - sinks), sinks


def float_at_nodes(
    mean: float, sd: float, liquid: float, uncertainty: float, within: float
) -> list[tuple[float, float, float]]:
    """`float_chances` at each node of a normal density; all in g/cm3."""
    return [
        float_chances(liquid - mean - sd * z, sqrt(uncertainty**2 + (sd * width) ** 2), within)
        for z, width in nodes_for(sd)
    ]


class Reading(NamedTuple):
    """One float result or one weighing. `result` is empty for a weighing; `slips` per skill."""

    result: str
    g_cm3: float  # of the liquid, or as weighed
    uncertainty_g_cm3: float
    slips: tuple[float, ...]


class Density(NamedTuple):
    """What all readings of one compound say, for one skill."""

    likelihood: float
    mean_g_cm3: float  # of the true density, given the readings
    sd_g_cm3: float


@lru_cache(maxsize=8192)
def weigh_density(
    mean: float, sd: float, readings: tuple[Reading, ...], skills: int, within: float
) -> tuple[Density, ...]:
    """Sum out the true density of one compound, per skill: the readings share it.

    Each weighing is either a slip, which says nothing, or turns the normal into a narrower one; both ways are
    followed exactly (product of two normals). Float results are then averaged over the nodes of what is left.
    Remembered, because an interview weighs the same readings again at every step.
    """
    totals = [[0.0, 0.0, 0.0] for _ in range(skills)]
    floats = [reading for reading in readings if reading.result]
    for weights, branch_mean, branch_sd in _weighed(mean, sd, readings, skills):
        cells = nodes_for(branch_sd)
        places = [branch_mean + branch_sd * z for z, _ in cells]
        inner = [(branch_sd * width) ** 2 for _, width in cells]
        rows = [_chances(branch_mean, branch_sd, reading, within) for reading in floats]
        for skill in range(skills):
            nodes = [weights[skill] / len(places)] * len(places)
            for reading, row in zip(floats, rows, strict=True):
                keep, noise = 1.0 - reading.slips[skill], reading.slips[skill] / len(RESULTS)
                nodes = [n * (keep * chance + noise) for n, chance in zip(nodes, row, strict=True)]
            total = totals[skill]
            total[0] += sum(nodes)
            total[1] += sum(map(mul, nodes, places))
            total[2] += sum(n * (x * x + v) for n, x, v in zip(nodes, places, inner, strict=True))
    return tuple([_moments(total, mean, sd) for total in totals])


def _weighed(
    mean: float, sd: float, readings: Sequence[Reading], skills: int
) -> list[tuple[list[float], float, float]]:
    """(weight per skill, mean, sd) of the density for each way the weighings may be slips or not."""
    branches = [([1.0] * skills, mean, sd)]
    for reading in readings:
        if reading.result:
            continue
        grown = []
        for weights, m, s in branches:
            slips = [w * slip * SLIP_PDF for w, slip in zip(weights, reading.slips, strict=True)]
            grown.append((slips, m, s))
            spread = sqrt(s * s + reading.uncertainty_g_cm3**2)
            chance = normal_pdf((reading.g_cm3 - m) / spread) / spread
            clean = [w * (1.0 - slip) * chance for w, slip in zip(weights, reading.slips, strict=True)]
            share = (s / spread) ** 2
            grown.append((clean, m + share * (reading.g_cm3 - m), s * reading.uncertainty_g_cm3 / spread))
        branches = grown
    return branches


def _chances(mean: float, sd: float, reading: Reading, within: float) -> list[float]:
    place = RESULTS.index(reading.result)
    rows = float_at_nodes(mean, sd, reading.g_cm3, reading.uncertainty_g_cm3, within)
    return [row[place] for row in rows]


def _moments(total: list[float], mean: float, sd: float) -> Density:
    weight = total[0]
    if weight <= 0.0:
        return Density(0.0, mean, sd)
    centre = total[1] / weight
    return Density(weight, centre, sqrt(max(total[2] / weight - centre * centre, 0.0)))
