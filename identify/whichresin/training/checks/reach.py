"""Whether anything can bring a rule to fire, and a locked cue to be asked."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from whichresin.engine.conditions import All, Elementary, Equals, Known, NotKnown, Var, admits, say
from whichresin.engine.facts import Value
from whichresin.engine.rules import Conclusion, Rule
from whichresin.engine.ways import Way, ways
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.names import GATE_FACTS, KEYWORD_FACTS
from whichresin.knowledge.rulebook import ReadRule
from whichresin.vocabulary.text import shown

from ..truth import Names, about_names, worlds_of
from .base import Finding, check

_ANY = object()  # a variable may take every value


def _made_only_by_rules(name: str, compiled: Compiled) -> bool:
    derived = name in compiled.names.derived or name in GATE_FACTS or name in KEYWORD_FACTS
    return derived or name.startswith("doubt:")


def _met(need: Elementary, made: dict[str, set[Value | object]], compiled: Compiled) -> bool:
    if not _made_only_by_rules(need.name, compiled):
        return True
    values = made.get(need.name, set())
    if _ANY in values or (isinstance(need, Equals) and isinstance(need.value, Var)):
        return bool(values)
    if isinstance(need, Known | NotKnown):
        return bool(values)
    return any(admits(need, value) for value in values if isinstance(value, str | float))


@check(
    "unreachable-rule",
    "warning",
    "a rule waits for a fact that nothing brings about",
    "Write the rule that concludes the fact, correct the value, or take the rule out.",
    whole=True,
)
def unreachable(compiled: Compiled) -> Iterator[Finding]:
    """A fact of facts.yaml holds only when some rule concludes it. A rule that waits for one that none concludes
    sleeps for ever, and so do the rules that wait for it."""
    made: dict[str, set[Value | object]] = {}
    waiting = {one.id: (one, ways(one.rule.when)) for one in compiled.rules if one.rule is not None}
    moved = True
    while moved:
        moved = False
        for name, (one, every) in list(waiting.items()):
            if any(all(_met(need, made, compiled) for need in way.needs) for way in every):
                del waiting[name]
                moved = True
                for concluded in one.concluded:
                    value = concluded.conclusion.value
                    made.setdefault(concluded.conclusion.name, set()).add(_ANY if isinstance(value, Var) else value)
    for one, every in waiting.values():
        lacking = _lacking(every, made, compiled)
        yield Finding(one.row.at("when"), f"rule {shown(one.id)} can never fire: nothing concludes {lacking}")


def _lacking(every: list[Way], made: dict[str, set[Value | object]], compiled: Compiled) -> str:
    return next(say(need) for way in every for need in way.needs if not _met(need, made, compiled))


@check(
    "locked-for-good",
    "warning",
    "a locked cue is unlocked by no rule",
    "Write a rule with {unlock: ...}, or take locked out.",
    whole=True,
)
def locked_for_good(compiled: Compiled) -> Iterator[Finding]:
    """A locked cue is proposed only when a rule unlocks it; without such a rule it is never asked."""
    unlocked = {c.conclusion.value for one in compiled.rules for c in one.concluded if c.kind == "unlock"}
    for name, entry in compiled.tree.cues.items():
        if entry.row.flag("locked") and name not in unlocked:
            yield Finding(entry.row.at("locked"), f"cue {shown(name)} is locked and no rule unlocks it")


@check(
    "twin-rules",
    "warning",
    "two rules have the same conditions and the same conclusions",
    "Keep one of them; merge their sources and examples.",
)
def twins(compiled: Compiled) -> Iterator[Finding]:
    """Said twice is not said better: the next author corrects one and overlooks the other."""
    first: dict[object, str] = {}
    for one in compiled.rules:
        if one.rule is None:
            continue
        same = (frozenset(one.rule.when.parts), frozenset(one.rule.conclude))
        other = first.setdefault(same, one.id)
        if other != one.id:
            sentence = f"rule {shown(one.id)} says the same as rule {shown(other)}"
            yield Finding(one.row.at("id"), sentence)


@check(
    "covered-rule",
    "warning",
    "whenever a rule fires, another rule says the same already",
    "Take the rule out, loosen its conditions, or let it conclude what the other does not.",
    whole=True,
)
def covered(compiled: Compiled) -> Iterator[Finding]:
    """A narrower rule beside a wider one with the same conclusions adds nothing, and the next author corrects one of
    the two only."""
    names = compiled.names
    sound = [(one, one.rule) for one in compiled.rules if one.rule is not None]
    saying: dict[Conclusion, list[tuple[ReadRule, Rule]]] = {}
    for one, rule in sound:
        for conclusion in rule.conclude:
            saying.setdefault(conclusion, []).append((one, rule))
    for one, rule in sound:
        if not rule.conclude:
            continue
        for other, wider in min((saying[conclusion] for conclusion in rule.conclude), key=len):
            if other.id == one.id or not set(rule.conclude) <= set(wider.conclude):
                continue
            both = about_names(All((wider.when, rule.when)), names)
            if rule.when != wider.when and _covers(wider.when, rule.when, both):
                yield Finding(
                    one.row.at("id"), f"whenever rule {shown(one.id)} fires, rule {shown(other.id)} says the same"
                )
                break


@lru_cache(maxsize=4096)  # asked again after every change elsewhere
def _covers(wider: All, narrower: All, names: Names) -> bool:
    """Whether one set of conditions holds in every case in which the other does; False when not all can be listed."""
    worlds = worlds_of(All((wider, narrower)), names)
    return worlds is not None and not worlds.where(narrower) & ~worlds.where(wider)
