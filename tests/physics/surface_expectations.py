"""What a drop of water and a set of test inks should show on a clean plastic, from its published surface energy.

The numbers in knowledge/cues/water_drop.yaml and test_ink.yaml are these, to two figures.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import erfc, sqrt

from whichresin.knowledge.model import Model, Range
from whichresin.physics.contact import FLAT_BELOW, STANDS_FROM, contact_angle
from whichresin.physics.wetting import water_surface_tension

PAPERS_DIFFER = 4.0  # mN/m, standard: papers differ by 3 to 10 for one polymer (SURF, WETADV)
ANGLES_DIFFER = 12.0  # degrees, standard: roughness, and the equation of state itself (from memory)
NOT_AS_IT_SHOULD_BE = 0.15  # share of surfaces with grease, release agent, coat or flame on them (from memory)
INKS = (32.0, 36.0, 40.0, 44.0)
VALUES = {
    "test_ink": ("below_32", "from_32", "from_36", "from_40", "from_44"),
    "water_drop": ("stands", "flat", "spreads"),
}


def _below(edge: float, mean: float, sd: float) -> float:
    return 0.5 * erfc((mean - edge) / (sd * sqrt(2.0)))


def expected(kind: str, energy: Range) -> dict[str, float]:
    """The chance of each answer on a material whose surface energy lies in this range, mN/m."""
    mean = 0.5 * (energy.low + energy.high)
    spread = sqrt(((energy.high - energy.low) / 4.0) ** 2 + PAPERS_DIFFER**2)
    if kind == "test_ink":
        cuts = [_below(edge, mean, spread) for edge in INKS]
        clean = [b - a for a, b in zip((0.0, *cuts), (*cuts, 1.0), strict=True)]
    else:
        water = water_surface_tension(23.0)
        angle = contact_angle(mean, water)
        steep = abs(contact_angle(mean + 1.0, water) - contact_angle(mean - 1.0, water)) / 2.0
        sd = sqrt(ANGLES_DIFFER**2 + (steep * spread) ** 2)
        low, high = _below(FLAT_BELOW, angle, sd), _below(STANDS_FROM, angle, sd)
        clean = [1.0 - high, high - low, low]
    even = 1.0 / len(clean)
    chances = [(1.0 - NOT_AS_IT_SHOULD_BE) * chance + NOT_AS_IT_SHOULD_BE * even for chance in clean]
    return dict(zip(VALUES[kind], [round(chance, 2) for chance in chances], strict=True))


def overall(kind: str, model: Model) -> Mapping[str, float]:
    """The average over the materials that have a published surface energy, each alike."""
    found = [expected(kind, one.surface_energy_mn_m) for one in model.materials.values() if one.surface_energy_mn_m]
    return {value: round(sum(one[value] for one in found) / len(found), 2) for value in VALUES[kind]}
