"""The state of one interview: a pure fold over its events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from whichresin.knowledge.model import Model

from .events import Allowed, Answered, AtBench, Declined, Event, Noted, PutOff, TakenBack, WhatIf

TARGETS = ("decision", "polymer")
USUAL_CELSIUS = 23.0  # of the bench and its liquids until another is told: the laboratory temperature of ISO 291


@dataclass(frozen=True, slots=True)
class State:
    """What is known of the part and what was answered, in the order in which it was answered."""

    answers: Mapping[str, Answered] = field(default_factory=dict)
    declined: tuple[str, ...] = ()
    allowed: tuple[str, ...] = ()
    shop: tuple[str, ...] = ()
    target: str = "decision"
    notes: tuple[str, ...] = ()
    put_off: tuple[str, ...] = ()  # cues to come back to, longest put off first
    celsius: float = USUAL_CELSIUS  # of the bench and its liquids
    said: tuple[tuple[str, str], ...] = ()  # facts that free words told, such as (damage, crack)

    def with_answer(self, event: Answered) -> State:
        """This state with one more answer; an earlier answer to the same cue is replaced in place."""
        answers = {**self.answers, event.cue: event}
        return replace(
            self,
            answers=answers,
            declined=_without(self.declined, event.cue),
            put_off=_without(self.put_off, event.cue),
        )

    def text(self, cue: str) -> str:
        """The free text answered to a text cue, or an empty string."""
        answer = self.answers.get(cue)
        return str(answer.value) if answer else ""


def step(state: State, event: Event) -> State:
    """The state after one event. `TakenBack` cannot be stepped: it is resolved by `fold`."""
    if isinstance(event, Answered):
        return state.with_answer(event)
    if isinstance(event, Declined):
        kept = {cue: a for cue, a in state.answers.items() if cue != event.cue or _in_liquids(a)}
        declined = (*_without(state.declined, event.cue), event.cue)
        return replace(state, answers=kept, declined=declined, put_off=_without(state.put_off, event.cue))
    if isinstance(event, PutOff):
        if event.cue in state.answers:
            return state
        put_off = (*_without(state.put_off, event.cue), event.cue)
        return replace(state, put_off=put_off, declined=_without(state.declined, event.cue))
    if isinstance(event, Allowed):
        return replace(state, allowed=tuple(sorted({*state.allowed, event.what})))
    if isinstance(event, AtBench):
        return replace(state, celsius=event.celsius)
    if isinstance(event, Noted):
        return replace(state, notes=(*state.notes, event.text))
    if isinstance(event, WhatIf):
        return state
    raise TypeError(f"{event!r} is resolved by fold, not by step")


def _without(cues: tuple[str, ...], cue: str) -> tuple[str, ...]:
    return tuple(other for other in cues if other != cue)


def _in_liquids(answer: Answered) -> bool:
    """Results of float tests stay when one more liquid is refused: they were seen."""
    return isinstance(answer.value, tuple) and any(isinstance(item, tuple) for item in answer.value)


def effective(events: Iterable[Event]) -> list[Event]:
    """The events that still count once every `TakenBack` has removed the answer, refusal or putting off before it."""
    kept: list[Event] = []
    for event in events:
        if not isinstance(event, TakenBack):
            kept.append(event)
            continue
        for place in range(len(kept) - 1, -1, -1):
            if isinstance(kept[place], Answered | Declined | PutOff):
                del kept[place]
                break
    return kept


def fold(events: Iterable[Event], start: State | None = None) -> State:
    """The state after all events; equal for equal effective events, however they came about."""
    state = start or State()
    for event in effective(events):
        state = step(state, event)
    return state


def still_fits(model: Model, event: Event) -> bool:
    """Whether an event recorded earlier can be told to this model: its cue, and the words answered, still exist."""
    if not isinstance(event, Answered | Declined | PutOff | WhatIf):
        return True
    cue = model.cues.get(event.cue)
    if cue is None or isinstance(event, Declined | PutOff):
        return cue is not None
    if cue.kind not in ("choice", "set"):
        return isinstance(event.value, float) == (cue.kind == "number")
    words = event.value if isinstance(event.value, tuple) else (event.value,)
    return set(words) <= {value.id for value in cue.values}
