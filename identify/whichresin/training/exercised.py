"""Which parts of a rule's conditions no example exercises: leave one out and see whether any example notices.

A condition under `all` is left out by taking it for granted, one under `any` or `none` by taking it as not given.
Each word of a list of words is left out by itself. A part that can go without any example or near miss coming
out otherwise may be wrong without anybody seeing it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from whichresin.engine.chain import Chain
from whichresin.engine.conditions import (
    All,
    Condition,
    Equals,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    admits,
    elementary,
    say,
)
from whichresin.engine.facts import Value
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.positions import Sequence
from whichresin.knowledge.rulebook import ReadRule

from .examples import given_cases

Held = Mapping[str, tuple[Value, ...]]
_NOTHING = Some(())  # never holds
_GRANTED = All(())  # always holds


@dataclass(frozen=True, slots=True)
class Untried:
    """A part of a rule's `when` that no example exercises."""

    rule: str
    file: str
    line: int
    part: str


def untried(compiled: Compiled) -> Iterator[Untried]:
    """Every part that could be left out unnoticed, in order of rule. Rules with variables are passed over."""
    start = Chain(RuleSet.compile(one.rule for one in compiled.rules if one.rule is not None))
    for one in compiled.rules:
        if one.rule is None or _has_variable(one.rule.when):
            continue
        cases = list(_cases(one, start, compiled))
        before = [holds(one.rule.when, held) for held in cases]
        for part, without in _without_one(one.rule.when):
            if [holds(without, held) for held in cases] == before:
                node = one.row.at("when")
                yield Untried(one.id, node.file, node.line, part)


def count_parts(compiled: Compiled) -> int:
    """How many parts `untried` leaves out, one by one."""
    rules = [one.rule for one in compiled.rules if one.rule is not None and not _has_variable(one.rule.when)]
    return sum(1 for rule in rules for _ in _without_one(rule.when))


def holds(condition: Condition, held: Held) -> bool:
    """Whether a condition without variables holds for these facts."""
    if isinstance(condition, All):
        return all(holds(part, held) for part in condition.parts)
    if isinstance(condition, Some):
        return any(holds(part, held) for part in condition.parts)
    if isinstance(condition, Never):
        return not any(holds(part, held) for part in condition.parts)
    values = held.get(condition.name, ())
    if isinstance(condition, NotKnown):
        return not values
    return any(admits(condition, value) for value in values)


def _cases(one: ReadRule, start: Chain, compiled: Compiled) -> Iterator[Held]:
    """All facts that hold on each example and near miss of the rule."""
    for key in ("examples", "near_misses"):
        node = one.row.raw(key)
        for item in node.items if isinstance(node, Sequence) else ():
            for case in given_cases(item, compiled):
                chain = start.copy()
                for fact in case.facts:
                    chain.tell(fact)
                held: dict[str, tuple[Value, ...]] = {}
                for name, value in chain.facts():
                    held[name] = (*held.get(name, ()), value)
                yield held


def _without_one(when: All) -> Iterator[tuple[str, Condition]]:
    """Each part in words, and the conditions without it."""
    for place, (leaf, _) in enumerate(elementary(when)):
        yield say(leaf), _replaced(when, place, None)
        if isinstance(leaf, OneOf) and len(leaf.values) > 1:
            for value in leaf.values:
                rest = tuple(other for other in leaf.values if other != value)
                yield f"{value} of {say(leaf)}", _replaced(when, place, OneOf(leaf.name, rest))


def _replaced(when: All, place: int, by: Condition | None) -> Condition:
    """The conditions with elementary part number `place` replaced, or left out when `by` is None."""
    count = -1

    def walk(here: Condition, gone: Condition) -> Condition:
        nonlocal count
        if isinstance(here, All | Some | Never):
            inside = _GRANTED if isinstance(here, All) else _NOTHING
            return type(here)(tuple(walk(part, inside) for part in here.parts))
        count += 1
        return here if count != place else gone if by is None else by

    return walk(when, _GRANTED)


def _has_variable(when: Condition) -> bool:
    return any(isinstance(leaf, Equals) and isinstance(leaf.value, Var) for leaf, _ in elementary(when))
