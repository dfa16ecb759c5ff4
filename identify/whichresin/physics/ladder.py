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


class Rung(NamedTuple):
    """One liquid of a ladder, and between which densities any other would part the same materials, g/cm3."""

    density_g_cm3: float
    low_g_cm3: float
    high_g_cm3: float


class Ladder(NamedTuple):
    """The fewest liquids, rising; the pairs that no liquid parts surely; those parted only by what cannot be made."""

    rungs: tuple[Rung, ...]
    not_separated: tuple[tuple[str, str], ...]
    out_of_reach: tuple[tuple[str, str], ...]

    @property
    def densities_g_cm3(self) -> tuple[float, ...]:
        """The densities of the liquids, rising."""
        return tuple(rung.density_g_cm3 for rung in self.rungs)


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


def gap_between(one: Material, other: Material, margin_g_cm3: float) -> tuple[float, float] | None:
    """The densities of liquids that part two materials surely; None when their ranges leave no room.

    A range is two standard deviations each way, and the liquid keeps `margin_g_cm3` from both.
    """
    light, heavy = sorted((one, other), key=lambda m: (m.density_g_cm3, m.name))
    low = light.density_g_cm3 + COVERAGE * light.sd_g_cm3 + margin_g_cm3
    high = heavy.density_g_cm3 - COVERAGE * heavy.sd_g_cm3 - margin_g_cm3
    return (low, high) if low <= high else None


def ladder(
    materials: Sequence[Material],
    margin_g_cm3: float,
    prefer: Sequence[float] = (),
    reachable: Sequence[tuple[float, float]] = ((0.0, float("inf")),),
) -> Ladder:
    """The fewest liquids so that every pair that can be told apart surely has a liquid between.

    Each pair is an interval of densities (`gap_between`), cut to what can be made, and the fewest points that hit
    all intervals are found by taking the end of the interval that ends first (exact for intervals on a line). Each
    point is then moved onto a density of `prefer` (plain water) inside what it must hit, or into the middle of what
    the first range of `reachable` shares with it that leaves the margin on both sides, or the widest: ranges stand in
    the order in which their liquids are wanted.
    """
    gaps, close, beyond = [], [], []
    for a, b in combinations(sorted(materials, key=lambda m: (m.density_g_cm3, m.name)), 2):
        gap = gap_between(a, b, margin_g_cm3)
        if gap is None:
            close.append((a.name, b.name))
            continue
        within = [(max(gap[0], low), min(gap[1], high)) for low, high in reachable]
        within = [(low, high) for low, high in within if low <= high]
        if within:
            gaps.append((min(low for low, _ in within), max(high for _, high in within)))
        else:
            beyond.append((a.name, b.name))
    rooms: list[tuple[float, float]] = []  # the room that each point has
    for low, high in sorted(gaps, key=lambda gap: gap[1]):
        if rooms and rooms[-1][0] <= high and low <= rooms[-1][1]:
            rooms[-1] = (max(low, rooms[-1][0]), rooms[-1][1])
        else:
            rooms.append((low, high))
    rungs = sorted(Rung(_placed(room, prefer, reachable, margin_g_cm3), *room) for room in rooms)
    return Ladder(tuple(rungs), tuple(close), tuple(beyond))


def _placed(
    room: tuple[float, float], prefer: Sequence[float], reachable: Sequence[tuple[float, float]], margin: float
) -> float:
    inside = [density for density in prefer if room[0] <= density <= room[1]]
    if inside:
        return inside[0]
    shares = [(max(low, room[0]), min(high, room[1])) for low, high in reachable]
    widths = [high - low for low, high in shares]
    most = max(range(len(shares)), key=lambda k: widths[k])
    best = next((k for k, width in enumerate(widths) if width >= 2.0 * margin), most)
    low, high = shares[best]
    return 0.5 * (low + high) if low <= high else room[1]  # an end of a room can always be made
