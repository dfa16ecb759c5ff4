"""What choosing a question works on: the heaviest compounds, each in its part of the target.

The compounds of a scene stand in an order in which those of one part lie side by side, so that weights per compound
become weights per part by adding up runs of a list. All of choosing is done with such lists, one number a compound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import log2
from operator import itemgetter, mul
from typing import TypeVar

from whichresin.belief.decision import Target
from whichresin.belief.posterior import BeliefState

# The heaviest compounds with this share of the mass stand for the others of their part when choosing.
SHARE_KEPT = 0.93
PART_LEFT_OUT = 1e-4

T = TypeVar("T")


Adder = Callable[[Sequence[float]], Sequence[float]]


@dataclass(frozen=True, slots=True)
class Scene:
    """The present belief, cut down for choosing."""

    target: Target
    kept: tuple[int, ...]  # per compound of the scene: its number in the model
    masses: list[float]  # per compound of the scene; sums to 1
    parts: tuple[int, ...]  # the parts of the partition that compounds of the scene lie in
    place_of: tuple[int, ...]  # per compound of the scene: place of its part in `parts`; rises
    by_part: Adder  # adds up weights of the compounds of the scene by part


def scene_of(state: BeliefState, target: Target) -> Scene:
    """Cut the belief down to the compounds that matter for choosing."""
    weights = state.belief.compounds
    chosen, scaled = heaviest(weights, target.part_of, range(len(weights)), SHARE_KEPT, PART_LEFT_OUT)
    return arranged(target, chosen, scaled)


def arranged(target: Target, compounds: Sequence[int], masses: Sequence[float]) -> Scene:
    """The scene of these compounds of the model, put into order."""
    members = _gathered([target.part_of[compound] for compound in compounds])
    pick = picker([k for group in members.values() for k in group])
    places = tuple([place for place, group in enumerate(members.values()) for _ in group])
    return Scene(target, pick(compounds), list(pick(masses)), tuple(members), places, _runs(members.values()))


def added_by(groups: Sequence[T]) -> tuple[list[T], Adder]:
    """The groups that there are, and a function that adds up one number for each member by group."""
    members = _gathered(groups)
    if len(members) == len(groups):
        return list(groups), lambda weights: weights
    pick, add = picker([k for group in members.values() for k in group]), _runs(members.values())
    return list(members), lambda weights: add(pick(weights))


def _gathered(groups: Sequence[T]) -> dict[T, list[int]]:
    """The places of each group, groups of one place first."""
    members: dict[T, list[int]] = {}
    for k, group in enumerate(groups):
        members.setdefault(group, []).append(k)
    return dict(sorted(members.items(), key=lambda pair: len(pair[1]) > 1))


def _runs(members: Iterable[Sequence[int]]) -> Adder:
    """Adds up runs of these lengths; those of length 1 come first."""
    sizes = list(map(len, members))
    alone = sizes.count(1)
    if alone == len(sizes):
        return list
    runs = [slice(start, end) for start, end in pairwise(accumulate(sizes[alone:], initial=alone))]
    return lambda weights: [*weights[:alone], *[sum(weights[run]) for run in runs]]


def heaviest(
    weights: Sequence[float], part_of: Sequence[int], order: Iterable[int], share: float, least: float
) -> tuple[list[int], list[float]]:
    """The heaviest compounds up to `share` of the mass, in rising number, and their weights.

    Each part keeps its whole mass (the kept compounds of the part carry what is left out, in proportion) and at
    least one compound, so the loss of acting now is exact; a part with less than the share `least` of the mass
    may be left out altogether. Of equally heavy compounds the one that comes first in `order` is taken first.
    """
    total = sum(weights)
    part_mass: dict[int, float] = {}
    for part, weight in zip(part_of, weights, strict=True):
        part_mass[part] = part_mass.get(part, 0.0) + weight
    least *= total
    enough = share * total
    chosen: list[int] = []
    carried: dict[int, float] = {}
    reached = 0.0
    for i in sorted(order, key=weights.__getitem__, reverse=True):
        part = part_of[i]
        if reached < enough or (part not in carried and part_mass[part] > least):
            chosen.append(i)
            reached += weights[i]
            carried[part] = carried.get(part, 0.0) + weights[i]
    chosen.sort()
    everything = sum([part_mass[part] for part in carried])
    scale = {part: part_mass[part] / mass / everything for part, mass in carried.items()}
    return chosen, [weights[i] * scale[part_of[i]] for i in chosen]


def picker(places: Sequence[int]) -> Callable[[Sequence[T]], tuple[T, ...]]:
    """A fast function that takes what stands at these places of a sequence."""
    if len(places) == 1:
        return lambda sequence: (sequence[places[0]],)
    return itemgetter(*places)


def entropy_of(masses: Sequence[float]) -> float:
    """Sum of -m log2 m; for masses that sum to 1 the entropy in bits."""
    try:
        return -float(sum(map(mul, masses, map(log2, masses))))
    except ValueError:  # some mass is 0
        return -sum([mass * log2(mass) for mass in masses if mass > 0.0])
