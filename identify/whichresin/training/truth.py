"""All cases that the conditions of one rule can tell apart, as bits of whole numbers.

A *world* says for each name that the rule looks at which of the mentioned values it has. A name with one answer
(a choice, a number, a status) has one value, another one, or none; a name that may hold several has any subset.
Bit `i` of a mask is 1 when a condition holds in world `i`, so `all` is `&`, `any` is `|` and `none` is `~`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import prod

from whichresin.engine.conditions import (
    All,
    Condition,
    Elementary,
    Equals,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    Within,
    admits,
    elementary,
)
from whichresin.engine.facts import Value
from whichresin.knowledge.names import Names as KnownNames

MAX_WORLDS = 4096
OTHER = "\0other"  # a value that the rule does not mention; no file can hold this text


@dataclass(frozen=True, slots=True)
class Worlds:
    """The worlds of one rule: how many, and in which each elementary condition holds."""

    count: int
    masks: Mapping[Elementary, int]

    @property
    def every(self) -> int:
        return (1 << self.count) - 1

    def where(self, condition: Condition, instead: Mapping[int, int] | None = None) -> int:
        """The worlds in which the condition holds; `instead` gives other masks to some elementary parts by place."""
        return self._where(condition, instead or {}, [0])

    def _where(self, condition: Condition, instead: Mapping[int, int], place: list[int]) -> int:
        if isinstance(condition, All | Some | Never):
            masks = [self._where(part, instead, place) for part in condition.parts]
            held = self.every if isinstance(condition, All) else 0
            for mask in masks:
                held = held & mask if isinstance(condition, All) else held | mask
            return self.every & ~held if isinstance(condition, Never) else held
        here, place[0] = place[0], place[0] + 1
        return instead.get(here, self.masks[condition])


Names = tuple[tuple[str, frozenset[str], bool], ...]  # name, its words, whether it holds one value at most


def about_names(when: Condition, known: KnownNames) -> Names:
    """What must be known of the names that a rule looks at, to list its worlds."""
    names = dict.fromkeys(leaf.name for leaf, _ in elementary(when))
    return tuple((name, known.domains[name].words, name in known.single) for name in names)


def worlds_of(when: Condition, names: Names, most: int = MAX_WORLDS) -> Worlds | None:
    """The worlds of a rule's conditions; None for a rule with variables or with too many worlds to list."""
    leaves = list(dict.fromkeys(leaf for leaf, _ in elementary(when)))
    if any(isinstance(leaf, Equals) and isinstance(leaf.value, Var) for leaf in leaves):
        return None
    choices = {
        name: _choices([leaf for leaf in leaves if leaf.name == name], words, single) for name, words, single in names
    }
    count = prod(len(some) for some in choices.values())
    if count > most:
        return None
    masks: dict[Elementary, int] = {}
    stride = count  # worlds are numbered like digits: one name's choice changes every `stride` worlds
    for name, some in choices.items():
        period, stride = stride, stride // len(some)
        block = (1 << stride) - 1
        repeat = ((1 << count) - 1) // ((1 << period) - 1)  # a one at every multiple of the period
        for leaf in leaves:
            if leaf.name == name:
                once = sum(block << (place * stride) for place, values in enumerate(some) if _holds(leaf, values))
                masks[leaf] = once * repeat
    return Worlds(count, masks)


def _holds(leaf: Elementary, values: Sequence[Value]) -> bool:
    if isinstance(leaf, NotKnown):
        return not values
    return any(admits(leaf, value) for value in values)


def _choices(about: Sequence[Elementary], words: frozenset[str], single: bool) -> list[tuple[Value, ...]]:
    """Every set of values, out of those mentioned and one other, that the name may hold at once."""
    values: list[Value] = []
    bounds: set[float] = set()
    for leaf in about:
        if isinstance(leaf, Equals) and not isinstance(leaf.value, Var):
            values.append(leaf.value)
        elif isinstance(leaf, OneOf):
            values += leaf.values
        elif isinstance(leaf, Within):
            bounds |= {bound for bound in (leaf.low, leaf.high) if bound is not None}
    bounds |= {value for value in values if isinstance(value, float)}
    marks = sorted(bounds)
    between = [(low + high) / 2.0 for low, high in pairwise(marks)]
    around = [marks[0] - 1.0, marks[-1] + 1.0] if marks else []
    every: list[Value] = list(dict.fromkeys(value for value in values if isinstance(value, str)))
    every += [*marks, *between, *around]
    if not words or words - set(every):
        every.append(OTHER)
    if single:
        return [(), *((value,) for value in every)]
    few = len(every) if len(every) <= 6 else 2
    return [subset for size in range(few + 1) for subset in combinations(every, size)]
