"""The tool's run over an answers file, answer by answer: what fires, what follows, what counts, what is believed.

Nothing is worked out here: each step is the same `weigh_state` and `stand` that an interview calls, looked at
before and after one more answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from whichresin.belief.posterior import Workspace
from whichresin.engine.chain import Chain, Firing
from whichresin.engine.conditions import say
from whichresin.engine.facts import Fact, fact_order
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model
from whichresin.session.consult import stand
from whichresin.session.facts import Evidence
from whichresin.session.result import Result
from whichresin.session.state import State
from whichresin.session.weighed import Desk, weigh_state

_BELIEVED = "believed"
LISTED = 5


@dataclass(frozen=True, slots=True)
class Derived:
    """A fact that rules conclude, and the rules whose firings support it now."""

    fact: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """What one more answer did. `cue` is empty for the start, before any answer."""

    cue: str
    told: tuple[str, ...]
    fired: tuple[Firing, ...]  # in the order in which the engine settles them
    withdrawn: tuple[Firing, ...]
    derived: tuple[Derived, ...]  # new, or supported by other rules than before
    gone: tuple[str, ...]
    evidence: Evidence
    result: Result

    def as_json(self) -> dict[str, Any]:
        """The step as an object; chances and questions as an interview's result shows them."""
        seen = self.evidence
        return {
            "cue": self.cue,
            "told": list(self.told),
            "fired": [_firing_json(one) for one in self.fired],
            "withdrawn": [_firing_json(one) for one in self.withdrawn],
            "derived": [{"fact": one.fact, "rules": list(one.rules)} for one in self.derived],
            "gone": list(self.gone),
            "evidence": [{"cue": o.cue, "sure": o.sure, "doubt": o.doubt} for o in seen.observations],
            "muted": list(seen.muted),
            "cells": [chance.as_json() for chance in self.result.cells[:LISTED]],
            "polymers": [chance.as_json() for chance in self.result.polymers[:LISTED]],
            "status": self.result.status,
            "questions": [
                {"cue": q.cue, "worth": round(q.worth, 3), "minutes": q.minutes} for q in self.result.questions[:LISTED]
            ],
        }


def steps(model: Model, state: State) -> Iterator[Step]:
    """The start, and one step for each answer in the order of the file."""
    desk = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())
    before: tuple[Firing, ...] = ()
    held: dict[Fact, tuple[str, ...]] = {}
    told: set[Fact] = set()
    cues = list(state.answers)
    for count in range(len(cues) + 1):
        now = replace(state, answers={cue: state.answers[cue] for cue in cues[:count]})
        result = stand(desk, now)
        evidence = weigh_state(desk, now).evidence
        firings = desk.chain.firings()
        facts = _derived(firings)
        new_told = {fact for fact, origin in desk.chain.told().items() if origin != _BELIEVED}
        yield Step(
            cue=cues[count - 1] if count else "",
            told=_said(new_told - told),
            fired=tuple(one for one in firings if one not in set(before)),
            withdrawn=tuple(one for one in before if one not in set(firings)),
            derived=tuple(
                Derived(str(fact), facts[fact])
                for fact in sorted(facts, key=fact_order)
                if held.get(fact) != facts[fact]
            ),
            gone=_said(held.keys() - facts.keys()),
            evidence=evidence,
            result=result,
        )
        before, held, told = firings, facts, new_told


def _derived(firings: tuple[Firing, ...]) -> dict[Fact, tuple[str, ...]]:
    """Every concluded fact with the ids of the rules that give it, sorted."""
    found: dict[Fact, set[str]] = {}
    for one in firings:
        for fact in one.concluded:
            found.setdefault(fact, set()).add(one.rule)
    return {fact: tuple(sorted(rules)) for fact, rules in found.items()}


def _said(facts: Iterable[Fact]) -> tuple[str, ...]:
    return tuple(str(fact) for fact in sorted(facts, key=fact_order))


def supports_of(firing: Firing) -> tuple[str, ...]:
    """What a firing rests on, in words: facts that hold, and what had to be absent."""
    return (*_said(firing.supports), *(say(condition) for condition in firing.absent))


def _firing_json(firing: Firing) -> dict[str, Any]:
    return {
        "rule": firing.rule,
        "from": list(_said(firing.supports)),
        "absent": [say(condition) for condition in firing.absent],
        "concluded": [str(fact) for fact in firing.concluded],
    }
