"""A proof about the gate: in no case that the rules can tell apart does it open over what must keep it shut.

Every case is looked at, as bits of whole numbers (see `truth`): what each rule's conditions come to is worked out
from the told names up through the facts that rules conclude, stratum by stratum, as the engine does it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whichresin.engine.cases import Cases, has_variable
from whichresin.engine.conditions import All, Condition, Elementary, Equals, Known, OneOf, elementary, say
from whichresin.engine.facts import Fact
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
    if any(has_variable(rule) for rule in rules):
        return Unproved("a rule on the way to it has a variable")
    derived = {c.name for rule in rules for c in rule.conclude}
    leaves = tuple(
        leaf for when in (unless, *(r.when for r in rules)) for leaf, _ in elementary(when) if leaf.name not in derived
    )
    worlds = worlds_of(All(leaves), told, MOST_CASES)
    if worlds is None:
        return Unproved(f"more than {MOST_CASES} cases would have to be looked at")
    found = Cases(worlds.count, worlds.masks)
    found.settle(RuleSet.compile(rules))
    others = 0
    for other, cases in found.held.get(fact, {}).items():
        if other != value:
            others |= cases
    bad = found.holds(Fact(fact, value)) & (others | (found.every & ~found.where(unless)))
    result = []
    for rule in rules:
        here = bad & found.where(rule.when)
        if here and any((c.name, c.value) == (fact, value) for c in rule.conclude):
            result.append(Breach(rule.id, _said(worlds, here & -here, leaves)))
    return result


def _said(worlds: Worlds, world: int, leaves: Sequence[Elementary]) -> str:
    """What is told in one world, in words."""
    here = [leaf for leaf in dict.fromkeys(leaves) if worlds.masks[leaf] & world]
    plain = {leaf.name: say(leaf) for leaf in here if isinstance(leaf, Equals)}
    for leaf in here:
        if isinstance(leaf, OneOf | Known):
            plain.setdefault(leaf.name, say(leaf))
    return " and ".join(plain.values()) or "nothing is told"
