"""What can happen in an interview. Events are plain data: the state is a fold over them, so undo is a shorter list."""

from __future__ import annotations

from dataclasses import dataclass

AnswerValue = str | float | tuple[str, ...] | tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class Answered:
    """A cue was answered.

    `value` is a word, a number, several words, or pairs of a density in g/cm3 with floats, neutral or sinks.
    """

    cue: str
    value: AnswerValue
    sure: str = "medium"
    uncertainty: float | None = None  # g/cm3, for a measured density


@dataclass(frozen=True, slots=True)
class Declined:
    """The person does not know, or skips the cue: neutral, and the cue is not proposed again."""

    cue: str


@dataclass(frozen=True, slots=True)
class PutOff:
    """The cue is put off: other questions go first, and it comes back when they run out."""

    cue: str


@dataclass(frozen=True, slots=True)
class Allowed:
    """The person agreed to a kind of hazardous test: burn or solvent."""

    what: str


@dataclass(frozen=True, slots=True)
class AtBench:
    """The bench and its liquids are at this temperature, degrees Celsius; float liquids are made for it from now on."""

    celsius: float


@dataclass(frozen=True, slots=True)
class TakenBack:
    """The last answer, refusal or putting off is undone."""


@dataclass(frozen=True, slots=True)
class Noted:
    """A free remark, kept with the record."""

    text: str


@dataclass(frozen=True, slots=True)
class WhatIf:
    """An answer was tried without giving it; it leaves everything as it is, and is kept with the record."""

    cue: str
    value: AnswerValue


Event = Answered | Declined | PutOff | Allowed | AtBench | TakenBack | Noted | WhatIf
