"""The present belief cut down for choosing: the heaviest compounds, each in its part of the target."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from whichresin.belief.decision import Target
from whichresin.belief.posterior import BeliefState

# The heaviest compounds with this share of the mass stand for the others of their part when choosing.
SHARE_KEPT = 0.93
PART_LEFT_OUT = 1e-4


@dataclass(frozen=True, slots=True)
class Scene:
    """The present belief, cut down for choosing."""

    target: Target
    kept: tuple[bool, ...]  # per compound
    masses: tuple[float, ...]  # per kept compound; sums to 1
    parts: tuple[int, ...]  # the parts of the partition that kept compounds lie in
    place_of: tuple[int, ...]  # per kept compound: place of its part in `parts`


def scene_of(state: BeliefState, target: Target) -> Scene:
    """Cut the belief down to the compounds that matter for choosing."""
    weights = state.belief.compounds
    chosen, scaled = heaviest(weights, target.part_of, SHARE_KEPT, PART_LEFT_OUT)
    kept = [False] * len(weights)
    for i in chosen:
        kept[i] = True
    inside = [target.part_of[i] for i in chosen]
    parts = tuple(dict.fromkeys(inside))
    place = {part: k for k, part in enumerate(parts)}
    return Scene(target, tuple(kept), tuple(scaled), parts, tuple([place[part] for part in inside]))


def heaviest(
    weights: Sequence[float], part_of: Sequence[int], share: float, least: float
) -> tuple[list[int], list[float]]:
    """The heaviest compounds up to `share` of the mass, in index order, and their weights.

    Each part keeps its whole mass (the kept compounds of the part carry what is left out, in proportion) and at
    least one compound, so the loss of acting now is exact; a part with less than the share `least` of the mass
    may be left out altogether.
    """
    total = sum(weights)
    part_mass: dict[int, float] = {}
    for part, weight in zip(part_of, weights, strict=True):
        part_mass[part] = part_mass.get(part, 0.0) + weight
    least *= total
    chosen: list[int] = []
    carried: dict[int, float] = {}
    reached = 0.0
    for i in sorted(range(len(weights)), key=lambda i: -weights[i]):
        part = part_of[i]
        if reached < share * total or (part not in carried and part_mass[part] > least):
            chosen.append(i)
            reached += weights[i]
            carried[part] = carried.get(part, 0.0) + weights[i]
    chosen.sort()
    everything = sum(part_mass[part] for part in carried)
    scale = {part: part_mass[part] / mass / everything for part, mass in carried.items()}
    return chosen, [weights[i] * scale[part_of[i]] for i in chosen]


def part_totals(scene: Scene, weights: Iterable[float]) -> list[float]:
    """The weight of each kept part, from weights of the kept compounds."""
    totals = [0.0] * len(scene.parts)
    for place, weight in zip(scene.place_of, weights, strict=True):
        totals[place] += weight
    return totals


def entropy_of(masses: Iterable[float]) -> float:
    """Sum of -m ln m; for masses that sum to 1 the entropy in nats."""
    return -sum([mass * log(mass) for mass in masses if mass > 0.0])
