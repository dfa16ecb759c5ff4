"""The one result that every front end reads, and the only home of its JSON shape (schema 1)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .recipes import MadeLiquid
    from .would_change import WouldChange

_DIGITS = 6  # probabilities are rounded on output, so that records replay byte for byte on any machine


@dataclass(frozen=True, slots=True)
class Chance:
    """Something with a probability: a material, compound, cell, filler or class."""

    id: str
    symbol: str
    name: str
    probability: float
    word: str
    klass: str = ""
    note: str = ""

    def as_json(self) -> dict[str, Any]:
        """Every field, with `class` as the key of the class."""
        return {
            "id": self.id,
            "symbol": self.symbol,
            "name": self.name,
            "probability": round(self.probability, _DIGITS),
            "word": self.word,
            **({"class": self.klass} if self.klass else {}),
            **({"note": self.note} if self.note else {}),
        }


@dataclass(frozen=True, slots=True)
class Outcome:
    """One possible answer to a proposed question: how likely it is, and who would lead after it."""

    value: str
    text: str
    probability: float
    leader: str
    leader_probability: float


@dataclass(frozen=True, slots=True)
class Question:
    """A question that could be asked next. `worth` is minutes saved, net of what asking costs."""

    cue: str
    question: str
    worth: float
    minutes: float
    hazard: str
    values: tuple[tuple[str, str], ...]
    kind: str
    cautions: tuple[str, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    liquid: MadeLiquid | None = None  # for a float test in a liquid to be made

    def as_json(self) -> dict[str, Any]:
        """The question as an object; `values` are the words that an answer file may hold."""
        return {
            "cue": self.cue,
            "question": self.question,
            "kind": self.kind,
            "values": [value for value, _ in self.values],
            "worth": round(self.worth, 3),
            "minutes": self.minutes,
            "hazard": self.hazard,
            "cautions": list(self.cautions),
            "outcomes": [
                {
                    "value": o.value,
                    "probability": round(o.probability, 4),
                    "leader": o.leader,
                    "leader_probability": round(o.leader_probability, 4),
                }
                for o in self.outcomes
            ],
            **({"liquid": self.liquid.as_json()} if self.liquid else {}),
        }


@dataclass(frozen=True, slots=True)
class Because:
    """One reason: a sentence, the facts it rests on, the rule if one spoke, and its sources."""

    text: str
    facts: tuple[str, ...]
    source: tuple[str, ...]
    rule: str = ""
    weight: float = 0.0  # natural log of how much more likely the leader is made against its best rival

    def as_json(self) -> dict[str, Any]:
        """The reason as an object."""
        return {
            "text": self.text,
            "facts": list(self.facts),
            "source": list(self.source),
            **({"rule": self.rule} if self.rule else {"weight": round(self.weight, 3)}),
        }


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution that applies now."""

    id: str
    level: str
    text: str

    def as_json(self) -> dict[str, Any]:
        """The caution as an object."""
        return {"id": self.id, "level": self.level, "text": self.text}


@dataclass(frozen=True, slots=True)
class Said:
    """A derived statement for the next step, or a question kept back: what, in plain words, and why."""

    name: str
    value: str
    text: str
    because: str
    source: tuple[str, ...] = ()
    rule: str = ""  # the rule that says so, if one does; in JSON it stands with the reasons

    def as_json(self) -> dict[str, Any]:
        """The statement as an object."""
        return {
            "name": self.name,
            "value": self.value,
            "text": self.text,
            "because": self.because,
            "source": list(self.source),
        }


@dataclass(frozen=True, slots=True)
class Gate:
    """May this part be repaired at all? `state` is open, shut or not_known; not known counts as shut."""

    state: str
    decision: str
    reason: str

    def as_json(self) -> dict[str, Any]:
        """The gate as an object."""
        return {"state": self.state, "decision": self.decision, "reason": self.reason}


@dataclass(frozen=True, slots=True)
class Understood:
    """How free words were understood."""

    text: str
    kind: str
    name: str
    sure: str
    others: tuple[str, ...] = ()
    do_you_mean: tuple[str, ...] = ()  # kinds to ask between; the first counts until somebody says
    not_known: tuple[str, ...] = ()  # words that are part of no known name

    def as_json(self) -> dict[str, Any]:
        """The reading as an object."""
        return {
            "text": self.text,
            "kind": self.kind or None,
            "name": self.name,
            "sure": self.sure,
            "others": list(self.others),
            **({"do_you_mean": list(self.do_you_mean)} if self.do_you_mean else {}),
            **({"not_known": list(self.not_known)} if self.not_known else {}),
        }


@dataclass(frozen=True, slots=True)
class WrongCall:
    """What it would cost, in minutes of bench work, if the part were something else than the tool acts on."""

    if_it_is: str
    probability: float
    minutes: float

    def as_json(self) -> dict[str, Any]:
        """The cost as an object."""
        return {
            "if_it_is": self.if_it_is,
            "probability": round(self.probability, _DIGITS),
            "minutes": self.minutes,
        }


@dataclass(frozen=True, slots=True)
class Filled:
    """Whether something is mixed in, and what."""

    probability: float
    word: str
    kinds: Mapping[str, float]
    fillers: tuple[Chance, ...]

    def as_json(self) -> dict[str, Any]:
        """The filler belief as an object."""
        return {
            "probability": round(self.probability, _DIGITS),
            "word": self.word,
            "kinds": {kind: round(p, _DIGITS) for kind, p in self.kinds.items()},
            "fillers": [chance.as_json() for chance in self.fillers],
        }


@dataclass(frozen=True, slots=True)
class Result:
    """Where an interview stands. Nothing downstream computes: it only shows."""

    status: str  # concluded | open | contradiction | unknown
    stopped: str  # why nothing more is asked, or ""
    target: str
    class_chances: Mapping[str, float]
    class_word: str
    class_name: str  # the class stated, or "undetermined"
    none_of_these: float
    polymers: tuple[Chance, ...]
    compounds: tuple[Chance, ...]
    cells: tuple[Chance, ...]
    rival: Chance | None  # the strongest other explanation: a repair cell, or a material when the name is wanted
    refuter: Said | None  # the test and the answer that would speak most against the leader
    filled: Filled
    gate: Gate
    part: Understood | None
    marking: Mapping[str, Any] | None
    next: Question | None
    gate_question: Question | None  # what must still be known before any repair, settled or not
    questions: tuple[Question, ...]
    kept_back: tuple[Said, ...]
    because: tuple[Because, ...]
    derived: tuple[Said, ...]
    next_steps: tuple[Said, ...]
    contradictions: tuple[Because, ...]
    repeat: str | None  # the cue whose answer is most worth repeating
    open_points: tuple[Said, ...]
    wrong_calls: tuple[WrongCall, ...]
    cautions: tuple[Warned, ...]
    offer: str  # burn or solvent: leave for it would open a question worth asking
    answered: Mapping[str, Any]
    declined: tuple[str, ...]
    knowledge: str
    # How much better a plastic that is not in the base would explain the answers (natural log of the likelihood
    # ratio); None as long as no conclusion is near.
    strangeness: float | None = None
    withheld: bool = False  # a conclusion was near, but the answers fit nothing in the base well enough to act on it
    would_change: WouldChange | None = None  # worked out once the interview is over

    def as_json(self) -> dict[str, Any]:
        """The document that `--json` prints: design contract, schema 1."""
        return {
            "schema": 1,
            "status": self.status,
            "stopped": self.stopped,
            "target": self.target,
            **({} if self.strangeness is None else {"strangeness": round(self.strangeness, 3)}),
            **({"withheld": True} if self.withheld else {}),
            "class": {name: round(p, _DIGITS) for name, p in self.class_chances.items()},
            "class_stated": self.class_name,
            "class_word": self.class_word,
            "none_of_these": round(self.none_of_these, _DIGITS),
            "polymers": [chance.as_json() for chance in self.polymers],
            "compounds": [chance.as_json() for chance in self.compounds],
            "cells": [chance.as_json() for chance in self.cells],
            "rival": self.rival.as_json() if self.rival else None,
            "refuter": self.refuter.as_json() if self.refuter else None,
            "filled": self.filled.as_json(),
            "gate": self.gate.as_json(),
            "part": self.part.as_json() if self.part else None,
            "marking": self.marking,
            "next": self.next.as_json() if self.next else None,
            "gate_question": self.gate_question.as_json() if self.gate_question else None,
            "questions": [question.as_json() for question in self.questions],
            "kept_back": [said.as_json() for said in self.kept_back],
            "because": [because.as_json() for because in self.because],
            "derived": [said.as_json() for said in self.derived],
            "next_steps": [said.as_json() for said in self.next_steps],
            "contradictions": [because.as_json() for because in self.contradictions],
            "repeat": self.repeat,
            "open_points": [said.as_json() for said in self.open_points],
            "wrong_calls": [call.as_json() for call in self.wrong_calls],
            "cautions": [caution.as_json() for caution in self.cautions],
            "offer": self.offer or None,
            "answered": dict(self.answered),
            "declined": list(self.declined),
            "knowledge": self.knowledge,
            **({"would_change": self.would_change.as_json()} if self.would_change else {}),
        }
