"""The course of an interview: what was believed and asked after each of its events."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from whichresin.belief.posterior import Workspace
from whichresin.engine.chain import Chain
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model

from .consult import Glance, glance
from .events import Answered, Declined, Event, PutOff, TakenBack, WhatIf
from .state import State, effective, fold, step
from .weighed import Desk

VOLUNTEERED, CHANGED = "volunteered", "changed"


@dataclass(frozen=True, slots=True)
class Moment:
    """One event and where it led; for a what-if, where it would have led.

    `cue` is the question that the event is about, `how` is volunteered (another question was asked), changed (an
    answer given before) or empty.
    """

    event: Event
    cue: str
    how: str
    after: Glance


def new_desk(model: Model) -> Desk:
    """A desk with nothing on it."""
    return Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())


def course(desk: Desk, start: State, events: Iterable[Event]) -> list[Moment]:
    """The moments of an interview, in order. The desk may have been used for other interviews before."""
    moments: list[Moment] = []
    told: list[Event] = []
    before = start
    now = glance(desk, start)
    for event in events:
        cue = event.cue if isinstance(event, Answered | Declined | PutOff | WhatIf) else _last_cue(told, event)
        how = _how(desk.model, event, before, now)
        told.append(event)
        if isinstance(event, WhatIf):
            tried = glance(desk, step(before, Answered(event.cue, event.value)))
            moments.append(Moment(event, cue, how, tried))
            continue
        after = fold(told, start)
        if after != before:
            now = glance(desk, after)
        before = after
        moments.append(Moment(event, cue, how, now))
    return moments


def _how(model: Model, event: Event, before: State, now: Glance) -> str:
    if not isinstance(event, Answered | Declined):
        return ""
    if isinstance(event, Answered) and _one_liquid_more(before, event):
        return "" if event.cue == now.asks else VOLUNTEERED
    if event.cue in before.answers or event.cue in before.declined:
        return CHANGED
    return VOLUNTEERED if event.cue != now.asks and model.cues[event.cue].kind != "text" else ""


def _one_liquid_more(before: State, event: Answered) -> bool:
    """Whether this is the answer given before with more liquids added: nothing was changed then."""
    earlier = before.answers.get(event.cue)
    if earlier is None or not isinstance(earlier.value, tuple) or not isinstance(event.value, tuple):
        return False
    pairs = any(isinstance(item, tuple) for item in event.value)
    return pairs and event.value[: len(earlier.value)] == earlier.value and len(event.value) > len(earlier.value)


def _last_cue(told: list[Event], event: Event) -> str:
    """The question whose answer is taken back."""
    if not isinstance(event, TakenBack):
        return ""
    kept = [e for e in effective(told) if isinstance(e, Answered | Declined | PutOff)]
    return kept[-1].cue if kept else ""
