"""'I think it is X': what speaks for it, what against, and the cheapest test that would refute it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from whichresin.belief.questions import cost_of
from whichresin.knowledge.model import Cue, Material, Model

from .reasons import answers_that_mattered
from .result import Because
from .weighed import Desk, Weighed

_NEAR = 75.0  # rapidfuzz score (0..100) from which words are taken for a material; from memory
_TELLING_BITS = 0.05  # a test that tells less than this, were both sides equally likely, is not worth naming


@dataclass(frozen=True, slots=True)
class Refuter:
    """A test, the answer that would speak most against the supposition, and how often it is seen with and without."""

    cue: str
    question: str
    value: str
    text: str
    if_true: float
    if_false: float


@dataclass(frozen=True, slots=True)
class Supposed:
    """How a supposition stands."""

    material: Material
    probability: float
    speaks_for: tuple[Because, ...]
    speaks_against: tuple[Because, ...]
    refuter: Refuter | None


def find_material(model: Model, words: str) -> Material | None:
    """The material that free words mean: a symbol, a name or a synonym; None when nothing is near."""
    from rapidfuzz import fuzz

    wanted = words.strip().casefold()
    if not wanted:
        return None
    best, best_score = None, _NEAR
    for material in model.materials.values():
        names = [material.id, material.symbol, material.name, *material.synonyms]
        score = max(fuzz.ratio(wanted, name.casefold()) for name in names)
        if score > best_score:
            best, best_score = material, score
    return best


def suppose(desk: Desk, at: Weighed, material: Material, cues: Iterable[str]) -> Supposed:
    """Hold the answers against one material; `cues` are the tests that may be proposed now."""
    model = desk.model
    inside = frozenset(i for i, c in enumerate(model.compounds) if c.material == material.id)
    chances = at.belief.belief.compounds
    mattered = answers_that_mattered(
        model, at.evidence.observations, at.prior, at.factors, inside, material.symbol, desk.workspace
    )
    return Supposed(
        material,
        sum(chances[i] for i in inside),
        tuple(b for b in mattered if b.weight > 0),
        tuple(b for b in mattered if b.weight < 0),
        refuter(model, chances, inside, cues),
    )


def refuter(
    model: Model, chances: Sequence[float], inside: frozenset[int], cues: Iterable[str]
) -> Refuter | None:
    """The test that tells most per minute whether the part is among `inside`, with its most damning answer."""
    best: Refuter | None = None
    best_rate = 0.0
    for cue in (model.cues[id] for id in cues):
        if cue.kind != "choice" or cue.table is None:
            continue
        bits, worst = _told(cue, chances, inside)
        rate = bits / max(cost_of(model, cue), 0.05)
        if bits >= _TELLING_BITS and rate > best_rate:
            best, best_rate = worst, rate
    return best


def _told(cue: Cue, chances: Sequence[float], inside: frozenset[int]) -> tuple[float, Refuter]:
    """Bits that the cue tells about 'inside or not', and the answer that speaks most against inside.

    Both sides are held equally likely, so that a test that could refute is found for a near certainty too.
    """
    assert cue.table is not None
    width = len(cue.values)
    true, false = [0.0] * width, [0.0] * width
    for i, p in enumerate(chances):
        side = true if i in inside else false
        for v, chance in enumerate(cue.table.rows[cue.table.row_of[i]]):
            side[v] += p * chance
    yes, no = max(sum(true), 1e-12), max(sum(false), 1e-12)
    bits = 0.0
    for a, b in zip(true, false, strict=True):
        both = (a / yes + b / no) / 2
        bits += sum(share / 2 * log(share / both) for share in (a / yes, b / no) if share > 0) / log(2)
    worst = max(range(width), key=lambda v: (false[v] / no) * log((false[v] / no) / (true[v] / yes)))
    value = cue.values[worst]
    return bits, Refuter(cue.id, cue.question, value.id, value.text, true[worst] / yes, false[worst] / no)
