"""What is known of mending, compiled: processes with their steps, what decides between them, and words for damage.

Whether a condition holds is left to the engine: every `when` became a rule of `RepairBook.rules` that concludes
(`TELLS`, its id). A `when` of "" always holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from whichresin.engine.rules import Rule

TELLS = "holds"  # name of the fact that the rules of the book conclude; its value is the id of the condition


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step as the file holds it. `minutes` is (least, most) or empty."""

    id: str
    stage: str
    do: str
    why: str
    minutes: tuple[float, ...]
    work: tuple[str, ...]
    cautions: tuple[str, ...]
    hold: str
    record: tuple[str, ...]
    timer: str
    source: tuple[str, ...]
    when: str


@dataclass(frozen=True, slots=True)
class Forbidden:
    """Something that must not be done."""

    text: str
    because: str
    source: tuple[str, ...]
    when: str


@dataclass(frozen=True, slots=True)
class Need:
    """Something that must be at hand; `item` is its word in the shop's list, or ""."""

    text: str
    item: str
    when: str


@dataclass(frozen=True, slots=True)
class AskFirst:
    """A cue that must be answered before the process is begun."""

    cue: str
    because: str
    when: str


@dataclass(frozen=True, slots=True)
class Process:
    """One way to mend a part, or to do without mending it."""

    id: str
    name: str
    process: str
    decision: str  # repair | replace
    because: str
    treat_as: tuple[str, ...]  # repair cells whose treatment this process can give
    one_unfilled_plastic: bool  # only when one weldable, unfilled plastic with rod at hand is as good as certain
    ask_first: tuple[AskFirst, ...]
    needs: tuple[Need, ...]
    must_not: tuple[Forbidden, ...]
    steps: tuple[StepRow, ...]
    source: tuple[str, ...]
    when: str


@dataclass(frozen=True, slots=True)
class Costs:
    """What a process costs and is expected to lose, in minutes, for each compound it could be used on."""

    process: str
    minutes: tuple[float, ...]  # by compound, 'none of these' last
    notes: tuple[str, ...]  # by compound: why, where the file says so


@dataclass(frozen=True, slots=True)
class Adds:
    """Minutes added to some processes when something holds."""

    to: tuple[str, ...]
    minutes: float
    because: str
    when: str


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Facts to try out: would the decision be another one?"""

    tell: tuple[tuple[str, str], ...]
    text: str
    when: str


@dataclass(frozen=True, slots=True)
class SaidValue:
    """A value that free words may tell, with the words for it."""

    id: str
    text: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WordGroup:
    """A fact that free words may tell; `negated` groups also take note of what is denied ('no fuel')."""

    name: str
    reads: tuple[str, ...]  # damage | context | shop
    values: tuple[SaidValue, ...]
    negated: bool


@dataclass(frozen=True, slots=True)
class Words:
    """The vocabulary for damage, context and shop; lengths in millimetres."""

    groups: tuple[WordGroup, ...]
    lengths_mm: Mapping[str, float]
    longest_mm: float
    sizes_mm: Mapping[str, float]  # name of a size -> from how many millimetres on
    denials: tuple[str, ...]
    fillers: tuple[str, ...]  # words that carry no meaning of their own


@dataclass(frozen=True, slots=True)
class WorkKind:
    """A kind of work, as cautions name it among their processes; `words` give it away in a text."""

    id: str
    name: str
    words: tuple[str, ...]
    hazardous: bool


@dataclass(frozen=True, slots=True)
class RepairBook:
    """Everything known of mending."""

    processes: tuple[Process, ...] = ()
    costs: tuple[Costs, ...] = ()
    adds: tuple[Adds, ...] = ()
    must_not: tuple[Forbidden, ...] = ()
    flips: tuple[WhatIf, ...] = ()
    weld_from: float = 1.0
    matters_from: float = 0.0
    ask_if_it_saves_minutes: float = 0.0
    words: Words | None = None
    work: tuple[WorkKind, ...] = ()
    stuff: tuple[tuple[str, str], ...] = ()  # words for materials in cautions -> condition
    rules: tuple[Rule, ...] = ()

    def process(self, name: str) -> Process | None:
        """The process of this id."""
        return next((one for one in self.processes if one.id == name), None)
