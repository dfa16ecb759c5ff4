"""The plan for a part: what it means for the repair. The only home of its JSON shape (schema 1).

A plan is a value: it holds what was understood, the decision with its reasons, and the steps. Nothing downstream
decides anything; a front end shows it, a job sheet prints it. `quantities` is filled in by those who know the
shop's products; until then it is an empty mapping.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from whichresin.knowledge.model import Caution

from .reason import Reason as Reason
from .surfaces import Wetting

DECISIONS = ("repair", "replace", "refer", "test_more")
PROCESSES = ("two_part_adhesive", "fusion_weld", "solvent_bond", "laminate", "mechanical", "none")
PROMOTERS = ("required", "not_required", "follow_product_sheet")
# Times that the product's own sheet gives; a step that waits for one of them names it.
TIMERS = ("flash_off", "promoter_window", "work", "handling", "cure", "cool", "dry")
_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work. `cautions` are shown before it; `hold` must be answered before going on."""

    id: str
    do: str
    why: str
    minutes: tuple[float, float] | None
    cautions: tuple[str, ...]
    hold: str | None
    record: tuple[str, ...]
    timer: str | None
    source: tuple[str, ...]
    stage: str = ""

    @property
    def time(self) -> str:
        """How long it takes, in words; "" when nobody can say."""
        if self.minutes is None:
            return "as the product sheet says" if self.timer else ""
        low, high = self.minutes
        said = _minutes(low) if low == high else f"{low:g} to {_minutes(high)}"
        return f"{said}; the product sheet wins" if self.timer else said

    def as_json(self, texts: Mapping[str, Caution]) -> dict[str, Any]:
        """The step as an object; `texts` are the cautions by id."""
        return {
            "id": self.id,
            "stage": self.stage,
            "do": self.do,
            "why": self.why,
            "time": {
                "text": self.time,
                "minutes": list(self.minutes) if self.minutes else None,
                "timer": self.timer,
            },
            "cautions": _cautions(self.cautions, texts),
            "hold": self.hold,
            "record": list(self.record),
            "source": list(self.source),
        }


@dataclass(frozen=True, slots=True)
class Reading:
    """How one piece of free words was understood: what was taken from it, and the words that meant nothing here."""

    text: str
    meanings: tuple[str, ...] = ()
    not_understood: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The reading as an object."""
        return {"text": self.text, "meanings": list(self.meanings), "not_understood": list(self.not_understood)}


@dataclass(frozen=True, slots=True)
class Damage:
    """What the damage is: kind and sizes in millimetres, None where nobody said."""

    kind: str = ""
    name: str = ""
    length_mm: float | None = None
    width_mm: float | None = None
    wall_mm: float | None = None

    def as_json(self) -> dict[str, Any]:
        """The damage as an object."""
        return {
            "kind": self.kind or None,
            "name": self.name,
            "length_mm": self.length_mm,
            "width_mm": self.width_mm,
            "wall_mm": self.wall_mm,
        }


@dataclass(frozen=True, slots=True)
class Understood:
    """How the free words were understood. `facts`: what they told and what the rules concluded, values by name."""

    part: Reading
    part_kind: str
    part_name: str
    part_sure: str  # clear | unsure | not_understood | not_said
    part_others: tuple[str, ...]
    part_choices: tuple[str, ...]  # kinds to ask between; the first counts until somebody says
    damage_words: Reading
    damage: Damage
    context: Reading
    shop: tuple[str, ...]
    facts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    celsius: float | None = None  # of the room, where it was said
    missing: tuple[str, ...] = ()  # sentences: what was left out and is needed

    def as_json(self) -> dict[str, Any]:
        """The reading as an object."""
        return {
            "part": {
                **self.part.as_json(),
                "kind": self.part_kind or None,
                "name": self.part_name,
                "sure": self.part_sure,
                "others": list(self.part_others),
                **({"do_you_mean": list(self.part_choices)} if self.part_choices else {}),
            },
            "damage": {**self.damage_words.as_json(), **self.damage.as_json()},
            "context": self.context.as_json(),
            "shop": list(self.shop),
            "facts": {name: list(values) for name, values in self.facts.items()},
            "celsius": self.celsius,
            "missing": list(self.missing),
        }


@dataclass(frozen=True, slots=True)
class Option:
    """One way to go, with what it is expected to lose in minutes of bench work, or worth as much."""

    decision: str
    process: str
    text: str
    loss: float
    note: str = ""  # what weighs against it on this plastic

    def as_json(self) -> dict[str, Any]:
        """The option as an object."""
        return {
            "decision": self.decision,
            "process": self.process,
            "text": self.text,
            "expected_loss_minutes": round(self.loss, 1),
            "note": self.note,
        }


@dataclass(frozen=True, slots=True)
class Flip:
    """What would change the decision, and to what."""

    text: str
    decision: str
    process: str

    def as_json(self) -> dict[str, Any]:
        """The flip as an object."""
        return {"text": self.text, "decision": self.decision, "process": self.process}


@dataclass(frozen=True, slots=True)
class NextTest:
    """The question that settles the decision; `because` says what hangs on it."""

    cue: str
    question: str
    how: str
    because: str
    values: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()

    def as_json(self, texts: Mapping[str, Caution]) -> dict[str, Any]:
        """The question as an object."""
        return {
            "cue": self.cue,
            "question": self.question,
            "how": self.how,
            "because": self.because,
            "values": [value for value, _ in self.values],
            "cautions": _cautions(self.cautions, texts),
        }


@dataclass(frozen=True, slots=True)
class Share:
    """A material, repair cell or class with its probability and the word for it."""

    id: str
    name: str
    probability: float
    word: str

    def as_json(self) -> dict[str, Any]:
        """The share as an object."""
        return {
            "id": self.id,
            "name": self.name,
            "probability": round(self.probability, _DIGITS),
            "word": self.word,
        }


@dataclass(frozen=True, slots=True)
class Identified:
    """What the part is believed to be, never surer than the belief. `open` says what is still open, in words."""

    klass: str
    klass_word: str
    cells: tuple[Share, ...]
    polymers: tuple[Share, ...]
    fibre: float  # probability that it holds fibre
    filled: float
    none_of_these: float
    status: str
    open: tuple[str, ...] = ()
    evidence: tuple[Reason, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The identification as an object."""
        return {
            "class": self.klass,
            "class_word": self.klass_word,
            "cells": [share.as_json() for share in self.cells],
            "polymers": [share.as_json() for share in self.polymers],
            "fibre": round(self.fibre, _DIGITS),
            "filled": round(self.filled, _DIGITS),
            "none_of_these": round(self.none_of_these, _DIGITS),
            "status": self.status,
            "open": list(self.open),
            "evidence": [reason.as_json() for reason in self.evidence],
        }


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do with the part, and why.

    `cautions` are ids, worst first, of everything that the steps need and that holds for the part as such;
    `caution_texts` holds each of them and of the steps. Steps are empty unless the decision is `repair`.
    """

    understood: Understood
    decision: str  # one of DECISIONS
    process: str  # one of PROCESSES; none unless the decision is repair
    variant: str  # id of the process file that was followed, such as flexible_thermoset; "" without one
    promoter: str  # one of PROMOTERS
    promoter_because: Reason
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]
    caution_texts: Mapping[str, Caution]
    must_not: tuple[Reason, ...]
    because: tuple[Reason, ...]
    options: tuple[Option, ...]  # what was weighed, least loss first; empty when the gate decided
    runner_up: Option | None
    flips: tuple[Flip, ...]
    next_test: NextTest | None
    open_question: str  # what is still open and whether it matters here; "" when nothing is
    needs: tuple[str, ...]  # what must be at hand
    gate: str  # open | shut | not_known
    identified: Identified
    knowledge: str
    quantities: Mapping[str, Any] = field(default_factory=dict)
    wetting: Wetting | None = None  # None where nothing is put on that must wet the plastic

    def as_json(self) -> dict[str, Any]:
        """The document that `--json` prints: design contract, schema 1."""
        texts = self.caution_texts
        return {
            "schema": 1,
            "understood": self.understood.as_json(),
            "decision": self.decision,
            "process": self.process,
            "variant": self.variant or None,
            "promoter": self.promoter,
            "promoter_because": self.promoter_because.as_json(),
            "wetting": self.wetting.as_json() if self.wetting else None,
            "steps": [step.as_json(texts) for step in self.steps],
            "quantities": dict(self.quantities),
            "cautions": _cautions(self.cautions, texts),
            "must_not": [reason.as_json() for reason in self.must_not],
            "because": [reason.as_json() for reason in self.because],
            "options": [option.as_json() for option in self.options],
            "runner_up": self.runner_up.as_json() if self.runner_up else None,
            "flips": [flip.as_json() for flip in self.flips],
            "next_test": self.next_test.as_json(texts) if self.next_test else None,
            "open_question": self.open_question,
            "needs": list(self.needs),
            "gate": self.gate,
            "identified": self.identified.as_json(),
            "knowledge": self.knowledge,
        }


def in_hundred(probability: float) -> str:
    """A probability in words, never all or none: nobody can promise that."""
    if probability >= 0.995:
        return "over 99 in 100"
    return "under 1 in 100" if probability < 0.01 else f"{probability * 100:.0f} in 100"


def _cautions(ids: Iterable[str], texts: Mapping[str, Caution]) -> list[dict[str, str]]:
    return [{"id": one, "level": texts[one].level, "text": texts[one].text} for one in ids]


def _minutes(value: float) -> str:
    return f"{value:g} minute{'' if value == 1 else 's'}"
