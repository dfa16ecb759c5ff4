"""The fewest float liquids by trying every set: the slow twin of `physics.ladder.ladder`."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from whichresin.physics.ladder import Material

Range = tuple[float, float]


def parts(density: float, one: Material, other: Material, margin: float) -> bool:
    """Whether this liquid keeps its margin from both materials' two-sigma ranges, one below and one above."""
    light, heavy = sorted((one, other), key=lambda m: (m.density_g_cm3, m.name))
    above = density - (light.density_g_cm3 + 2.0 * light.sd_g_cm3) >= margin - 1e-12
    return above and (heavy.density_g_cm3 - 2.0 * heavy.sd_g_cm3) - density >= margin - 1e-12


def fewest_by_trying(materials: Sequence[Material], margin: float, reachable: Sequence[Range]) -> int:
    """The size of the smallest set of liquids that parts every pair that any single liquid parts.

    Tried on the ends of what can be made and the places where a pair starts or stops being parted: which pairs a
    liquid parts changes nowhere else, so some smallest set stands there.
    """
    places = {end for piece in reachable for end in piece}
    for m in materials:
        places |= {m.density_g_cm3 + sign * (2.0 * m.sd_g_cm3 + margin) for sign in (1.0, -1.0)}
    makable = [x for x in sorted(places) if any(low <= x <= high for low, high in reachable)]
    pairs = list(combinations(materials, 2))
    told = [{k for k, (a, b) in enumerate(pairs) if parts(x, a, b, margin)} for x in makable]
    wanted = set().union(*told)
    for size in range(len(makable) + 1):
        if any(set().union(*chosen) == wanted for chosen in combinations(told, size)):
            return size
    raise AssertionError("all liquids together part all that any of them parts")
