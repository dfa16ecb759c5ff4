"""What would change a conclusion: the fewest answers that turn it, the one to repeat, what the next test can do.

Worked out on request or at the end of an interview: it takes longer than a question.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from whichresin.belief.decision import DEFER
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.belief.questions import can_be_ranked, rank
from whichresin.belief.stopping import Choice
from whichresin.knowledge.model import Model

from .believed import NONE_ID
from .events import AnswerValue
from .otherwise import Reading, Search
from .present import OUTSIDE
from .reasons import value_text
from .state import State
from .weighed import Desk, Weighed, weigh_state

NOTHING = "nothing of it"
PUT_OFF = "put off until more is known"
LEAST_SAVED = 0.05  # minutes; below it repeating saves nothing to speak of
_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Otherwise:
    """One answer, and what it would have been."""

    cue: str
    question: str
    said: str
    instead: str
    value: AnswerValue

    def as_json(self) -> dict[str, Any]:
        """The answer as an object."""
        value: object = self.value
        if isinstance(self.value, tuple):
            value = [list(v) if isinstance(v, tuple) else v for v in self.value]
        return {"cue": self.cue, "said": self.said, "instead": self.instead, "value": value}


@dataclass(frozen=True, slots=True)
class Turned:
    """The fewest answers that turn something, and what it turns to; no answers: none of up to three do."""

    now: str
    then: str
    now_text: str
    then_text: str
    answers: tuple[Otherwise, ...]

    def as_json(self) -> dict[str, Any]:
        """The turn as an object."""
        return {"now": self.now, "then": self.then or None, "answers": [a.as_json() for a in self.answers]}


@dataclass(frozen=True, slots=True)
class Repeat:
    """The answer most worth getting once more, with fresh luck: minutes of wrong work saved, what it costs,
    and bits told about what is to be settled (which chooses when none saves anything)."""

    cue: str
    question: str
    saves_minutes: float
    costs_minutes: float
    tells_bits: float

    def as_json(self) -> dict[str, Any]:
        """The answer to repeat as an object."""
        saves, costs = round(self.saves_minutes, 2), round(self.costs_minutes, 2)
        return {
            "cue": self.cue,
            "question": self.question,
            "saves_minutes": saves,
            "costs_minutes": costs,
            "tells_bits": round(self.tells_bits, _DIGITS),
        }


@dataclass(frozen=True, slots=True)
class Move:
    """One result of the next test: how likely it is, who leads then, and what becomes of today's leader."""

    value: str
    text: str
    probability: float
    leader: str
    leader_probability: float
    today: float | None  # probability of the present leader after it; None where only a range is foreseen

    def as_json(self) -> dict[str, Any]:
        """The result as an object."""
        return {
            "value": self.value,
            "probability": round(self.probability, _DIGITS),
            "leader": self.leader,
            "leader_probability": round(self.leader_probability, _DIGITS),
            "present_leader_probability": None if self.today is None else round(self.today, _DIGITS),
        }


@dataclass(frozen=True, slots=True)
class NextTest:
    """The test that would tell most now, and how far each result would move the belief."""

    cue: str
    question: str
    leader: str
    leader_text: str
    leader_probability: float
    moves: tuple[Move, ...]

    def as_json(self) -> dict[str, Any]:
        """The test as an object."""
        return {
            "cue": self.cue,
            "question": self.question,
            "leader": self.leader_text,
            "leader_probability": round(self.leader_probability, _DIGITS),
            "results": [move.as_json() for move in self.moves],
        }


@dataclass(frozen=True, slots=True)
class WouldChange:
    """What would change the conclusion."""

    klass: Turned
    decision: Turned
    repeat: Repeat | None
    next_test: NextTest | None

    def as_json(self) -> dict[str, Any]:
        """The whole as an object, as it stands under `would_change` in a result."""
        return {
            "class": self.klass.as_json(),
            "decision": self.decision.as_json(),
            "repeat": self.repeat.as_json() if self.repeat else None,
            "next_test": self.next_test.as_json() if self.next_test else None,
        }


def would_change(desk: Desk, state: State, at: Weighed, choice: Choice) -> WouldChange:
    """What would change the conclusion that `state` leads to; `at` and `choice` are those of this state.

    The desk is left as it was found.
    """
    search = Search(desk, state, at)
    klass, decision = _turned(search, search.klass), _turned(search, search.decision)
    if search.disturbed:
        weigh_state(desk, state)
    return WouldChange(klass, decision, _repeat(desk, state, at), _next_test(desk, at, choice))


def _turned(search: Search, reading: Reading) -> Turned:
    now, then, chosen = search.fewest(reading)
    named = _names(search.model)
    return Turned(now, then, named.get(now, now), named.get(then, then), tuple(_otherwise(search, k) for k in chosen))


def _otherwise(search: Search, k: int) -> Otherwise:
    model, (place, value) = search.model, search.changes[k]
    cue = model.cues[search.seen[place].cue]
    said = value_text(model, cue.id, search.state.answers[cue.id].value)
    return Otherwise(cue.id, cue.question, said or NOTHING, value_text(model, cue.id, value) or NOTHING, value)


def _repeat(desk: Desk, state: State, at: Weighed) -> Repeat | None:
    """Each answer valued as a question asked again, its first answer kept: the dearest doubt first."""
    model, belief = desk.model, at.belief
    found: list[Repeat] = []
    for seen in at.evidence.observations:
        cue = model.cues[seen.cue]
        if not can_be_ranked(cue) or (at.finding.alarm and cue.id != at.finding.worst):
            continue
        # The luck of the test is drawn anew; the piece and so its density is the same.
        groups = {key: group for key, group in belief.groups.items() if cue.physics or key[0] != cue.group}
        fresh = replace(belief, answered=belief.answered - {cue.id}, groups=groups)
        for asked in rank(model, fresh, [cue.id], state.target, state.shop, desk.workspace, deep=False):
            found.append(Repeat(cue.id, cue.question, max(asked.worth + asked.cost, 0.0), asked.cost, asked.gain))
    saving = [one for one in found if one.saves_minutes >= LEAST_SAVED]
    if saving:
        return max(saving, key=lambda one: (one.saves_minutes - one.costs_minutes, one.cue))
    return max(found, key=lambda one: (one.tells_bits, one.cue), default=None)


def _next_test(desk: Desk, at: Weighed, choice: Choice) -> NextTest | None:
    """The best question left, worth its cost or not, and what each result would do."""
    if not choice.ranked:
        return None
    model, best = desk.model, choice.ranked[0]
    cue = model.cues[best.cue]
    field = "material" if choice.leader in model.materials else "cell"
    inside = [getattr(c, field) == choice.leader for c in model.compounds]
    texts = {value.id: value.text for value in cue.values}
    moves, named = [], _names(model)
    for outcome in best.values:
        today = None
        if cue.kind == "choice" and outcome.value in texts:
            told = [*at.evidence.observations, Observation(cue.id, outcome.value)]
            after = posterior(model, told, at.prior, at.factors, desk.workspace).compounds
            today = sum(p for p, counts in zip(after, inside, strict=True) if counts)
        text = texts.get(outcome.value, outcome.value)
        leader, leads = named.get(outcome.leader, outcome.leader), outcome.leader_probability
        moves.append(Move(outcome.value, text, outcome.probability, leader, leads, today))
    leader_text = named.get(choice.leader, choice.leader)
    return NextTest(cue.id, cue.question, choice.leader, leader_text, choice.leader_probability, tuple(moves))


def _names(model: Model) -> Mapping[str, str]:
    """Plain names for what is read: classes, actions, cells and materials."""
    cells = {id: cell.name for id, cell in model.cells.items()}
    materials = {id: material.symbol for id, material in model.materials.items()}
    return {**materials, **cells, NONE_ID: OUTSIDE, DEFER: PUT_OFF}
