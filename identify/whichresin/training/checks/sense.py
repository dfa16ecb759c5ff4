"""Conditions of one rule, looked at by themselves: can they hold, can they fail, does each part matter?"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from whichresin.engine.conditions import All, elementary, say
from whichresin.engine.ways import Way, ways
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.names import Names as KnownNames
from whichresin.knowledge.rulebook import ReadRule
from whichresin.vocabulary.text import shown

from ..truth import Names, Worlds, about_names, worlds_of
from .base import Finding, check


class Verdict(NamedTuple):
    """What the conditions of one rule come to, found by trying all cases."""

    never: bool
    always: bool
    dead: Way | None  # a way to fire that cannot come about, in a rule that has others
    idle: int | None  # place of an elementary condition that changes nothing


def _verdicts(compiled: Compiled) -> Iterator[tuple[ReadRule, Verdict]]:
    names = compiled.names
    for one in compiled.rules:
        verdict = _verdict_on(one, names)
        if verdict is not None:
            yield one, verdict


@lru_cache(maxsize=4096)  # several checks ask, and again after a change elsewhere
def _verdict_on(one: ReadRule, names: KnownNames) -> Verdict | None:
    return _verdict(one.rule.when, about_names(one.rule.when, names)) if one.rule is not None else None


@lru_cache(maxsize=4096)  # as names change more often than what a rule needs of them
def _verdict(when: All, names: Names) -> Verdict | None:
    """None for a rule of which not all cases can be listed."""
    worlds = worlds_of(when, names)
    if worlds is None:
        return None
    held = worlds.where(when)
    never, always = held == 0, held == worlds.every
    dead = None if never else _dead_way(when, worlds)
    idle = None if never or always or dead is not None else _idle_place(when, held, worlds)
    return Verdict(never, always, dead, idle)


def _dead_way(when: All, worlds: Worlds) -> Way | None:
    every = ways(when)
    for way in every if len(every) > 1 else ():
        held = worlds.every
        for part in (*way.needs, *way.bars):
            held &= worlds.where(part)
        if not held:
            return way
    return None


def _idle_place(when: All, held: int, worlds: Worlds) -> int | None:
    """The first condition that may as well be taken for granted, or left out."""
    for place in range(len(elementary(when))):
        if any(worlds.where(when, {place: mask}) == held for mask in (0, worlds.every)):
            return place
    return None


@check(
    "never-fires",
    "error",
    "the conditions of a rule cannot all hold at once",
    "Look for a name that must have two answers, or that is asked for and barred; move one of them under any.",
)
def never_fires(compiled: Compiled) -> Iterator[Finding]:
    """Such a rule looks like knowledge and does nothing. A question with one answer cannot be answered twice, and
    what stands under none may not be needed under all."""
    for one, verdict in _verdicts(compiled):
        if verdict.never:
            yield Finding(one.row.at("when"), f"rule {shown(one.id)} can never fire: its conditions exclude each other")


@check(
    "always-fires",
    "error",
    "a rule fires whatever is answered",
    "Take out the part under any that holds whenever the others do not, or say what the rule waits for.",
)
def always_fires(compiled: Compiled) -> Iterator[Finding]:
    """What always follows is no conclusion. Most often one part of any is the opposite of another."""
    for one, verdict in _verdicts(compiled):
        if verdict.always:
            yield Finding(one.row.at("when"), f"rule {shown(one.id)} fires whatever is answered")


@check(
    "contradicting-conditions",
    "warning",
    "one of the ways in which a rule could fire contradicts itself",
    "Take that way out of any, or correct the answer that it asks for.",
)
def contradicting(compiled: Compiled) -> Iterator[Finding]:
    """The rule still fires in its other ways, so nobody would notice that a case its author had in mind is lost."""
    for one, verdict in _verdicts(compiled):
        if verdict.dead is not None:
            said = " and ".join(say(part) for part in (*verdict.dead.needs, *verdict.dead.bars))
            yield Finding(one.row.at("when"), f"rule {shown(one.id)} can never fire by {said}")


@check(
    "idle-condition",
    "warning",
    "a condition changes nothing about when its rule fires",
    "Take it out, or correct it: another condition says the same or more.",
)
def idle(compiled: Compiled) -> Iterator[Finding]:
    """A condition that makes no difference misleads the next reader about what the rule needs."""
    for one, verdict in _verdicts(compiled):
        leaves = elementary(one.rule.when) if one.rule is not None else []
        if verdict.idle is not None and len(leaves) == len(one.uses):  # both in the order of the file
            sentence = f"condition '{say(leaves[verdict.idle][0])}' of rule {shown(one.id)} changes nothing"
            yield Finding(one.uses[verdict.idle].node, sentence)
