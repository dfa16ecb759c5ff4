"""The world that simulated interviews are held in: as the tables say, or off from them in stated ways.

`World.true` is what the parts and the people are drawn from; `World.tool` is the knowledge that the interview
is held with. Without misfit the two are the same model.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from math import exp, isfinite

from whichresin.knowledge.model import Against, Compound, Model, Observer, Row, Skill, Table

LARGEST = 0.95  # no chance of a slip or a muddled test is raised above this
# What a word of the command line means, and the largest number that makes sense for it.
MEANING: Mapping[str, tuple[str, float]] = {
    "errs": ("times as many slips and muddled tests as the tables say", 10.0),
    "bursts": ("share of interviews with three wrong answers in a row", 1.0),
    "jitter": ("how far the tables are off: standard deviation of the logarithm of every chance", 3.0),
    "missing": ("materials taken out of the knowledge while parts of them still come in", 1000.0),
    "strangers": ("share of parts of the missing materials, each alike; without it they come as often as they do", 1.0),
    "painted": ("share of parts under a coat that nobody mentions", 1.0),
    "regrind": ("share of parts that hold a second plastic, which gives one answer in four", 1.0),
    "outside": ("share of parts that are nothing in the knowledge", 1.0),
}


class BadMisfit(ValueError):
    """A misfit that cannot be used; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Misfit:
    """How the world differs from the tables; the fields are described in `MEANING`."""

    errs: float = 1.0
    bursts: float = 0.0
    jitter: float = 0.0
    missing: int = 0
    strangers: float = 0.0
    painted: float = 0.0
    regrind: float = 0.0
    outside: float = 0.0

    def as_json(self) -> dict[str, float]:
        """Only what differs from the tables."""
        return {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) != f.default}


AS_THE_TABLES_SAY = Misfit()


def read_misfit(text: str) -> Misfit:
    """`errs=1.5|bursts=0.1` (or separated by commas) as a Misfit. Raises BadMisfit."""
    found: dict[str, float] = {}
    for item in text.replace("|", ",").split(","):
        name, sign, number = (part.strip() for part in item.partition("="))
        if not item.strip():
            continue
        if name not in MEANING or not sign:
            raise BadMisfit(f"{item.strip()!r} is no misfit; expected {', '.join(f'{n}=NUMBER' for n in MEANING)}.")
        try:
            value = float(number)
        except ValueError:
            raise BadMisfit(f"{name} needs a number, not {number!r}.") from None
        if not isfinite(value) or not 0.0 <= value <= MEANING[name][1]:
            raise BadMisfit(f"{name}={number} is out of range; expected 0 to {MEANING[name][1]:g}.")
        found[name] = value
    if "missing" in found and found["missing"] != int(found["missing"]):
        raise BadMisfit("missing counts materials, so it needs a whole number.")
    if found.get("strangers") and not found.get("missing"):
        raise BadMisfit("strangers are parts of missing materials; give missing=NUMBER too.")
    return Misfit(**{n: int(v) if n == "missing" else v for n, v in found.items()})  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class World:
    """Where parts and answers come from, and what the tool knows of it."""

    true: Model
    tool: Model
    misfit: Misfit
    missing: frozenset[str]  # materials that the tool does not know
    coated: Mapping[str, float]  # cue → chance that a coat answers in the plastic's place


def world_of(model: Model, misfit: Misfit, seed: int) -> World:
    """The world of one seed: which materials are missing and how the tables are off belongs to the seed."""
    rng = random.Random(f"{seed}:world")
    true = replace(model, observer=_erring(model.observer, misfit.errs))
    if misfit.jitter:
        cues = {
            id: replace(cue, table=_jittered(cue.table, misfit.jitter, cue.kind == "set", rng)) if cue.table else cue
            for id, cue in true.cues.items()
        }
        true = replace(true, cues=cues)
    names = sorted({c.material for c in model.compounds[:-1]})
    if misfit.missing >= len(names):
        raise BadMisfit(f"missing={misfit.missing} leaves no material; the knowledge has {len(names)}.")
    missing = frozenset(rng.sample(names, misfit.missing))
    return World(true, without(model, missing) if missing else model, misfit, missing, _coated(model))


def _erring(observer: Observer, times: float) -> Observer:
    skills = [
        Skill(s.id, s.share, min(LARGEST, s.slip * times), min(LARGEST, s.muddled * times)) for s in observer.skills
    ]
    return replace(observer, skills=tuple(skills))


def _jittered(table: Table, spread: float, is_set: bool, rng: random.Random) -> Table:
    """Every chance times the exponential of a normal deviate; a row of choices is brought back to sum 1."""
    rows: list[Row] = []
    for row in table.rows:
        off = [exp(spread * rng.gauss(0.0, 1.0)) for _ in row]
        if is_set:  # the odds are moved, so that a chance stays below 1
            rows.append(tuple(p * k / (1.0 - p + p * k) for p, k in zip(row, off, strict=True)))
        else:
            total = sum(p * k for p, k in zip(row, off, strict=True))
            rows.append(tuple(p * k / total for p, k in zip(row, off, strict=True)))
    return Table(tuple(rows), table.row_of, table.usual)


def without(model: Model, materials: frozenset[str]) -> Model:
    """The model with these materials taken out, as if nobody had ever written them down."""
    kept = [i for i, c in enumerate(model.compounds) if c.material not in materials]
    total = sum(model.compounds[i].prior for i in kept)
    compounds: list[Compound] = [replace(model.compounds[i], prior=model.compounds[i].prior / total) for i in kept]
    place = {old: new for new, old in enumerate(kept)}
    cues = {
        id: replace(cue, table=replace(cue.table, row_of=tuple(cue.table.row_of[i] for i in kept)))
        if cue.table
        else cue
        for id, cue in model.cues.items()
    }
    parts = {id: replace(part, tilt=tuple(part.tilt[i] for i in kept)) for id, part in model.parts.items()}
    against = {
        id: Against(a.rule, a.factor, tuple(place[i] for i in a.compounds if i in place), a.instead_of)
        for id, a in model.against.items()
    }
    return replace(
        model,
        key=f"{model.key}-without-{'-'.join(sorted(materials))}",
        materials={id: m for id, m in model.materials.items() if id not in materials},
        compounds=tuple(compounds),
        cues=cues,
        parts=parts,
        against=against,
    )


def _coated(model: Model) -> dict[str, float]:
    """The cues that a coat fools, from the rules that doubt an answer once `painted` is told."""
    found: dict[str, float] = {}
    for rule in model.rules:
        if "painted" not in repr(rule.when):
            continue
        for conclusion in rule.conclude:
            kind, _, cue = conclusion.name.partition(":")
            if kind == "doubt" and isinstance(conclusion.value, str):
                found[cue] = max(found.get(cue, 0.0), model.observer.doubt.get(conclusion.value, 0.0))
    return found
