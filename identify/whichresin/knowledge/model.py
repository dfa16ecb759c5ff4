"""The compiled knowledge: one immutable value that every room below reads.

Index order is fixed when the model is built: `compounds[i]` is hypothesis `i` everywhere, and the last one
is always 'none of these'.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from whichresin.engine.rules import Rule

Row = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Range:
    """A published range with its sources; units are in the name of the field that holds it."""

    low: float
    high: float
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Filler:
    """What is mixed into a polymer. `code` is the ISO 1043-2 spelling, `kind` one of none, fibre, mineral, bead."""

    code: str
    name: str
    kind: str
    density_g_cm3: Range | None
    conductive: bool
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Material:
    """A polymer or blend. `id` is the project's name, `symbol` the ISO 1043 / ISO 11469 spelling."""

    id: str
    symbol: str
    name: str
    klass: str
    family: str
    cell: str
    share: float
    density_g_cm3: Range
    melt_c: Range | None
    glass_c: Range | None
    surface_energy_mn_m: Range | None
    weldable: str
    synonyms: tuple[str, ...]
    typical_parts: str
    note: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Compound:
    """One hypothesis: polymer, filler, level and whether flame-retarded. Density as a normal, g/cm3."""

    id: str
    symbol: str
    name: str
    material: str
    klass: str
    family: str
    cell: str
    filler: str
    filler_kind: str
    percent: int
    retarded: bool
    prior: float
    density_g_cm3: float
    density_sd_g_cm3: float
    density_from: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CueValue:
    """One answer to a cue: the word used in files, and plain words for the person."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class Table:
    """P(answer | compound) of one cue. `rows` are the distinct rows, `row_of[i]` the row of compound `i`.

    For a choice cue a row holds one probability per value and sums to 1; for a set cue each entry is the
    chance that the value is reported, independently. No entry is 0.
    """

    rows: tuple[Row, ...]
    row_of: tuple[int, ...]
    usual: Row = ()  # how often each value is given for a part drawn from the prior; empty: all alike


@dataclass(frozen=True, slots=True)
class Cue:
    """Something that can be asked, seen or measured."""

    id: str
    kind: str  # choice | set | number | liquids | text
    topic: str  # gate | part | bench | burn | marking
    group: str  # cues of one group share the luck of one test
    physics: str  # "" | float_water | float_liquids | density
    question: str
    how: str
    fooled_by: str
    lesson: str
    values: tuple[CueValue, ...]
    minutes: float
    marks_part: bool
    tools: tuple[str, ...]
    hazard: str  # none | low | medium | high
    wear: str
    cautions: tuple[str, ...]
    opt_in: str  # "" | burn | solvent
    locked: bool  # asked only when a rule unlocks it
    askable: bool  # False: may be volunteered, is never proposed
    table: Table | None
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part: words people use for it, what it may never be repaired as, which materials it tends to be."""

    id: str
    name: str
    words: tuple[str, ...]
    gate: str  # open | ask | refer | replace
    gate_reason: str
    cautions: tuple[str, ...]
    tilt: tuple[float, ...]  # multiplies the prior of compound i
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """A repair cell: compounds that are repaired the same way."""

    id: str
    name: str
    means: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SplitLoss:
    """An extra loss that applies when the shop has a tool: calling a compound of one side the other."""

    shop: str
    by: str  # "fibre" (filler_kind is fibre) | "filled" | "class"
    miss: float  # treated as plain though it is not
    false_alarm: float  # treated as not plain though it is


@dataclass(frozen=True, slots=True)
class Losses:
    """What a wrong call costs, in minutes of bench work. `table[true cell][treated as]`; last action is 'defer'."""

    cells: tuple[str, ...]
    actions: tuple[str, ...]
    table: tuple[Row, ...]
    splits: tuple[SplitLoss, ...]
    polymer_wrong: float
    polymer_defer: float
    settled_below: float
    hazard_minutes: Mapping[str, float]
    marks_part_minutes: float
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution text; `level` is danger, warning or care."""

    id: str
    level: str
    hazard: str
    text: str
    source: tuple[str, ...]
    tests: tuple[str, ...] = ()
    processes: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Skill:
    """A kind of observer: `slip` per answer, `muddled` per test."""

    id: str
    share: float
    slip: float
    muddled: float


@dataclass(frozen=True, slots=True)
class Observer:
    """The person at the bench and the shop's means of measuring, from shared/observer.yaml."""

    skills: tuple[Skill, ...]
    sure: Mapping[str, float]
    doubt: Mapping[str, float]
    neutral_within_g_cm3: float
    liquid_uncertainty_g_cm3: float
    water_uncertainty_g_cm3: float
    density_uncertainty_g_cm3: float
    slip_follows_usual: float = 0.0  # share of slips that give the usual answer of the cue, the rest any answer
    likelihood_counts: float = 1.0  # power of the likelihood in the confidence that is said
    # Log likelihood ratio of kin to base from which a conclusion is withheld (of one polymer where it stands there,
    # else of any), and what is at stake in that, minutes: what a further test may save.
    strange_withholds: float = 50.0
    strange_withholds_for: Mapping[str, float] = field(default_factory=dict)
    strange_stake_minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Against:
    """Evidence that a rule brings: multiply the likelihood of these compounds, mute cues it speaks for."""

    rule: str
    factor: float
    compounds: tuple[int, ...]
    instead_of: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FactWord:
    """A derived fact that rules may conclude: allowed values, and how to say each one to a person."""

    name: str
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Model:
    """Everything the tool knows, compiled from `knowledge/` and `shared/`."""

    key: str  # hash of content and version
    materials: Mapping[str, Material]
    fillers: Mapping[str, Filler]
    compounds: tuple[Compound, ...]
    cues: Mapping[str, Cue]
    parts: Mapping[str, PartKind]
    cells: Mapping[str, Cell]
    losses: Losses
    cautions: Mapping[str, Caution]
    rules: tuple[Rule, ...]
    against: Mapping[str, Against]  # by rule id
    facts: Mapping[str, FactWord]
    observer: Observer
    how_sure: tuple[tuple[float, str], ...]
    sources: Mapping[str, str]
    # What is known of mending, packed: `repair_codec.book_of` makes records of it.
    repair: str = field(default="", repr=False)
