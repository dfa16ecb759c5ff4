"""The slow twin of the engine: look at every rule again after every change, until nothing new follows.

Obviously correct rather than fast, and written without the engine's own matching, layering or bookkeeping.
Only the plain data (facts, conditions, rules) is shared.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from whichresin.engine.conditions import (
    All,
    Condition,
    Equals,
    Known,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    Within,
)
from whichresin.engine.facts import Fact, Value
from whichresin.engine.rules import Rule

Binding = dict[str, Value]
Alternative = tuple[list[Condition], list[Condition]]  # what must be there, what must not
# rule id, supports, conditions that were met by absence, conclusions
PlainFiring = tuple[str, frozenset[Fact], tuple[Condition, ...], tuple[Fact, ...]]


def alternatives(condition: Condition) -> list[Alternative]:
    """Every way to meet a condition."""
    if isinstance(condition, All):
        found = []
        for choice in product(*(alternatives(part) for part in condition.parts)):
            found.append(([p for need, _ in choice for p in need], [n for _, bar in choice for n in bar]))
        return found
    if isinstance(condition, Some):
        return [alternative for part in condition.parts for alternative in alternatives(part)]
    if isinstance(condition, Never | NotKnown):
        return [([], [condition])]
    return [([condition], [])]


def fits(condition: Condition, fact: Fact, binding: Binding) -> Binding | None:
    """The binding after this fact met this condition, or None if it does not."""
    name, value = fact
    assert isinstance(condition, Equals | OneOf | Within | Known)
    if condition.name != name:
        return None
    if isinstance(condition, Known):
        return binding
    if isinstance(condition, OneOf):
        return binding if any(v == value for v in condition.values) else None
    if isinstance(condition, Within):
        if isinstance(value, str):
            return None
        if condition.low is not None and (value < condition.low or (condition.low_open and value == condition.low)):
            return None
        if condition.high is not None and (value > condition.high or (condition.high_open and value == condition.high)):
            return None
        return binding
    if not isinstance(condition.value, Var):
        return binding if condition.value == value else None
    variable = condition.value.name
    if variable in binding:
        return binding if binding[variable] == value else None
    return {**binding, variable: value}


def solutions(
    alternative: Alternative, facts: Iterable[Fact], binding: Binding
) -> Iterator[tuple[Binding, frozenset[Fact]]]:
    """Every choice of facts that meets one alternative; a condition written twice is one condition."""
    found: list[tuple[Binding, frozenset[Fact]]] = [(binding, frozenset())]
    for condition in dict.fromkeys(alternative[0]):
        found = [
            (after, supports | {fact})
            for before, supports in found
            for fact in facts
            if (after := fits(condition, fact, before)) is not None
        ]
    for after, supports in found:
        if all(absent(condition, facts, after) for condition in alternative[1]):
            yield after, supports


def absent(condition: Condition, facts: Iterable[Fact], binding: Binding) -> bool:
    """Whether a negation holds: nothing meets what stands under it."""
    if isinstance(condition, NotKnown):
        return all(fact.name != condition.name for fact in facts)
    assert isinstance(condition, Never)
    return not any(
        True for part in condition.parts for way in alternatives(part) for _ in solutions(way, facts, binding)
    )


def filled(condition: Condition, binding: Binding) -> Condition:
    """The condition with known variables replaced."""
    if isinstance(condition, All | Some | Never):
        return type(condition)(tuple(filled(part, binding) for part in condition.parts))
    if isinstance(condition, Equals) and isinstance(condition.value, Var):
        return Equals(condition.name, binding.get(condition.value.name, condition.value))
    return condition


def firings_of(rule: Rule, facts: Iterable[Fact]) -> set[PlainFiring]:
    """All firings of one rule on these facts."""
    found = set()
    for alternative in alternatives(rule.when):
        for binding, supports in solutions(alternative, facts, {}):
            concluded = []
            for conclusion in rule.conclude:
                value = conclusion.value
                concluded.append(Fact(conclusion.name, binding[value.name] if isinstance(value, Var) else value))
            barred = tuple(dict.fromkeys(filled(condition, binding) for condition in dict.fromkeys(alternative[1])))
            found.add((rule.id, supports, barred, tuple(dict.fromkeys(concluded))))
    return found


def looked_at(condition: Condition, negated: bool = False) -> Iterator[tuple[str, bool]]:
    """Names of the elementary conditions, with whether they are met by absence."""
    if isinstance(condition, All | Some | Never):
        for part in condition.parts:
            yield from looked_at(part, negated or isinstance(condition, Never))
    else:
        yield condition.name, negated or isinstance(condition, NotKnown)


def layers(rules: Sequence[Rule]) -> dict[str, int]:
    """Stratum of every name, found by raising levels until all rules are content, else ValueError."""
    names = {name for rule in rules for name, _ in looked_at(rule.when)}
    names |= {conclusion.name for rule in rules for conclusion in rule.conclude}
    level = dict.fromkeys(names, 0)
    for _ in range(len(names) + 2):
        before = dict(level)
        for rule in rules:
            for conclusion in rule.conclude:
                level[conclusion.name] = max(level[conclusion.name], layer(rule, level))
        if level == before:
            return level
    raise ValueError("some rule rests on its own absence")


def layer(rule: Rule, level: Mapping[str, int]) -> int:
    """Stratum of a rule: above everything that it needs to be absent."""
    return max((level[name] + negated for name, negated in looked_at(rule.when)), default=0)


def run(rules: Sequence[Rule], told: Iterable[Fact]) -> tuple[set[Fact], list[PlainFiring]]:
    """Facts and firings at the fixed point, firings in order of stratum, specificity and id."""
    level = layers(rules)
    facts = set(told)
    for stratum in sorted({layer(rule, level) for rule in rules}):
        while True:
            new = {
                fact
                for rule in rules
                if layer(rule, level) == stratum
                for firing in firings_of(rule, facts)
                for fact in firing[3]
            }
            if new <= facts:
                break
            facts |= new
    ordered: list[PlainFiring] = []
    for rule in sorted(rules, key=lambda r: (layer(r, level), -sum(1 for _ in looked_at(r.when)), r.id)):
        ordered += sorted(firings_of(rule, facts), key=_detail)
    return facts, ordered


def _detail(firing: PlainFiring) -> tuple[object, ...]:
    order = lambda fact: (fact.name, isinstance(fact.value, str), fact.value)  # noqa: E731
    return sorted(map(order, firing[1])), [order(fact) for fact in firing[3]], repr(firing[2])
