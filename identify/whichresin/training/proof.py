"""A proof about the gate: in no case that the rules can tell apart does it open over what must keep it shut.

Every case is looked at, as bits of whole numbers (see `truth`): what each rule's conditions come to is worked out
from the told names up through the facts that rules conclude, stratum by stratum, as the engine does it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from whichresin.engine.conditions import (
    All,
    Condition,
    Elementary,
    Equals,
    Known,
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
from whichresin.engine.rules import Rule
from whichresin.engine.ruleset import RuleSet

from .truth import Names, Worlds, worlds_of

MOST_CASES = 1 << 18


@dataclass(frozen=True, slots=True)
class Breach:
    """A rule that opens the gate in a case in which it must not; `case` says what holds there."""

    rule: str
    case: str


@dataclass(frozen=True, slots=True)
class Unproved:
    """The proof could not be made, and why."""

    why: str


def behind(rules: Sequence[Rule], fact: str) -> list[Rule]:
    """The rules that conclude a fact, and all that they rest on."""
    wanted, kept = {fact}, dict[str, Rule]()
    grown = True
    while grown:
        grown = False
        for rule in rules:
            if rule.id not in kept and any(c.name in wanted for c in rule.conclude):
                kept[rule.id] = rule
                wanted |= {leaf.name for leaf, _ in elementary(rule.when)}
                grown = True
    return list(kept.values())


def breaches(rules: Sequence[Rule], told: Names, fact: str, value: str, unless: Condition) -> list[Breach] | Unproved:
    """The rules that conclude `fact = value` in some case in which `unless` does not hold, or another value does.

    `told` are the names that no rule concludes, with their words.
    """
    if any(isinstance(part, Equals) and isinstance(part.value, Var) for r in rules for part, _ in elementary(r.when)):
        return Unproved("a rule on the way to it has a variable")
    derived = {c.name for rule in rules for c in rule.conclude}
    leaves = tuple(
        leaf for when in (unless, *(r.when for r in rules)) for leaf, _ in elementary(when) if leaf.name not in derived
    )
    worlds = worlds_of(All(leaves), told, MOST_CASES)
    if worlds is None:
        return Unproved(f"more than {MOST_CASES} cases would have to be looked at")
    found = _Masks(worlds, derived)
    ruleset = RuleSet.compile(rules)
    for stratum in sorted(set(ruleset.stratum.values())):
        found.settle([rule for rule in ruleset.rules if ruleset.stratum[rule.id] == stratum])
    others = 0
    for name, other in found.held:
        if name == fact and other != value:
            others |= found.held[name, other]
    bad = found.held.get((fact, value), 0) & (others | (worlds.every & ~found.where(unless)))
    result = []
    for rule in rules:
        here = bad & found.where(rule.when)
        if here and any((c.name, c.value) == (fact, value) for c in rule.conclude):
            result.append(Breach(rule.id, _said(found, here & -here, leaves)))
    return result


class _Masks:
    """In which worlds each fact holds."""

    def __init__(self, worlds: Worlds, derived: Collection[str]) -> None:
        self.worlds, self._derived = worlds, derived
        self.held: dict[tuple[str, Value], int] = {}

    def settle(self, rules: Sequence[Rule]) -> None:
        """Run the rules of one stratum until nothing more follows."""
        grown = True
        while grown:
            grown = False
            for rule in rules:
                mask = self.where(rule.when)
                for conclusion in rule.conclude:
                    if isinstance(conclusion.value, Var):
                        continue
                    key = (conclusion.name, conclusion.value)
                    more = self.held.get(key, 0) | mask
                    grown, self.held[key] = grown or more != self.held.get(key, 0), more

    def where(self, condition: Condition) -> int:
        """The worlds in which a condition holds, by what has been settled so far."""
        every = self.worlds.every
        if isinstance(condition, All | Some | Never):
            masks = [self.where(part) for part in condition.parts]
            held = every if isinstance(condition, All) else 0
            for mask in masks:
                held = held & mask if isinstance(condition, All) else held | mask
            return every & ~held if isinstance(condition, Never) else held
        if condition.name not in self._derived:
            return self.worlds.masks[condition]
        return self._of_derived(condition)

    def _of_derived(self, leaf: Elementary) -> int:
        held = 0
        looked_for = Known(leaf.name) if isinstance(leaf, NotKnown) else leaf
        for (name, value), mask in self.held.items():
            if name == leaf.name and admits(looked_for, value):
                held |= mask
        return self.worlds.every & ~held if isinstance(leaf, NotKnown) else held


def _said(found: _Masks, world: int, leaves: Sequence[Elementary]) -> str:
    """What is told in one world, in words."""
    here = [leaf for leaf in dict.fromkeys(leaves) if found.worlds.masks[leaf] & world]
    plain = {leaf.name: say(leaf) for leaf in here if isinstance(leaf, Equals)}
    for leaf in here:
        if isinstance(leaf, OneOf | Known):
            plain.setdefault(leaf.name, say(leaf))
    return " and ".join(plain.values()) or "nothing is told"
