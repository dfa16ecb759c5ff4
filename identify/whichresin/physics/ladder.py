"""Which liquids tell pieces of known density ranges apart: between two, and the fewest for a whole list."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import erfc, sqrt
from typing import NamedTuple

COVERAGE = 2.0  # standard deviations that a range spans to each side


class Material(NamedTuple):
    """A material with the normal that describes the density of its pieces, g/cm3."""

    name: str
    density_g_cm3: float
    sd_g_cm3: float


class Split(NamedTuple):
    """The liquid between two materials: the chance that each of them answers as it should."""

    density_g_cm3: float
    lighter: str
    heavier: str
    lighter_floats: float
    heavier_sinks: float

    @property
    def right(self) -> float:
        """The chance of a right answer, each material as likely as the other."""
        return 0.5 * (self.lighter_floats + self.heavier_sinks)


class Ladder(NamedTuple):
    """The fewest liquids, rising, and the pairs that no liquid tells apart surely."""

    densities_g_cm3: tuple[float, ...]
    not_separated: tuple[tuple[str, str], ...]


def below(density_g_cm3: float, material: Material, liquid_uncertainty_g_cm3: float) -> float:
    """The chance that a piece of the material is lighter than the liquid."""
    spread = sqrt(material.sd_g_cm3**2 + liquid_uncertainty_g_cm3**2)
    if spread == 0.0:
        return float(density_g_cm3 > material.density_g_cm3)
    return 0.5 * erfc((material.density_g_cm3 - density_g_cm3) / (spread * sqrt(2.0)))


def best_between(one: Material, other: Material, uncertainty_g_cm3: float) -> Split:
    """The liquid that tells two materials apart with the fewest wrong answers.

    The worse of the two chances is made as good as it can be: neither material is betrayed for the other.
    Found by halving, because one chance rises and the other falls with the density.
    """
    light, heavy = sorted((one, other), key=lambda m: m.density_g_cm3)
    low, high = light.density_g_cm3, heavy.density_g_cm3
    for _ in range(60):
        middle = 0.5 * (low + high)
        if below(middle, light, uncertainty_g_cm3) < 1.0 - below(middle, heavy, uncertainty_g_cm3):
            low = middle
        else:
            high = middle
    density = 0.5 * (low + high)
    return split_at(density, light, heavy, uncertainty_g_cm3)


def split_at(density_g_cm3: float, light: Material, heavy: Material, uncertainty_g_cm3: float) -> Split:
    """How well a given liquid tells the two apart."""
    return Split(
        density_g_cm3,
        light.name,
        heavy.name,
        below(density_g_cm3, light, uncertainty_g_cm3),
        1.0 - below(density_g_cm3, heavy, uncertainty_g_cm3),
    )


def ladder(
    materials: Sequence[Material],
    margin_g_cm3: float,
    prefer: Sequence[float] = (),
    reachable: Sequence[tuple[float, float]] = (),
) -> Ladder:
    """The fewest liquids so that every pair that can be told apart surely has a liquid between.

    A pair can, when the ranges (two standard deviations each way) leave room for a liquid that keeps
    `margin_g_cm3` from both. Each pair is then an interval of densities, and the fewest points that hit all
    intervals are found by taking the end of the interval that ends first (exact for intervals on a line). Each
    point is then moved onto a density of `prefer` (plain water) inside what it must hit, or to its middle, or to
    the middle of what is `reachable` of it, the first range that meets it.
    """
    gaps, close = [], []
    for a, b in combinations(sorted(materials, key=lambda m: (m.density_g_cm3, m.name)), 2):
        low = a.density_g_cm3 + COVERAGE * a.sd_g_cm3 + margin_g_cm3
        high = b.density_g_cm3 - COVERAGE * b.sd_g_cm3 - margin_g_cm3
        if low <= high:
            gaps.append((low, high))
        else:
            close.append((a.name, b.name))
    points: list[tuple[float, float]] = []  # the room that each point has
    for low, high in sorted(gaps, key=lambda gap: gap[1]):
        if points and points[-1][0] <= high and low <= points[-1][1]:
            points[-1] = (max(low, points[-1][0]), points[-1][1])
        else:
            points.append((low, high))
    return Ladder(tuple(sorted(_placed(room, prefer, reachable) for room in points)), tuple(close))


def _placed(room: tuple[float, float], prefer: Sequence[float], reachable: Sequence[tuple[float, float]]) -> float:
    inside = [density for density in prefer if room[0] <= density <= room[1]]
    middle = 0.5 * (room[0] + room[1])
    if inside:
        return inside[0]
    if any(low <= middle <= high for low, high in reachable):
        return middle
    for low, high in reachable:
        shared = max(low, room[0]), min(high, room[1])
        if shared[0] < shared[1]:
            return 0.5 * (shared[0] + shared[1])
    return middle
