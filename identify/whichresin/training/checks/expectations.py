"""Expectations of cues: do they add up, and do they tell anything apart?"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import log2

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.model import Cue, Model
from whichresin.knowledge.positions import Mapping, Scalar
from whichresin.knowledge.schema import Row, number
from whichresin.vocabulary.text import shown

from .base import Finding, check

LEAST_BITS = 0.005  # what a question must tell on average to be worth asking at all
# Of a row of words for a choice, where one answer is given: from hardly half an answer to two answers.
LEAST_SUM, MOST_SUM = 0.45, 2.0


@check(
    "expectation-sum",
    "warning",
    "the answers expected of a compound do not add up",
    "Counted numbers add up to 1; words to about one usually with some seldom beside it, or two often.",
)
def sums(compiled: Compiled) -> Iterator[Finding]:
    """A choice has one answer. Its row is divided by its sum, so a lone seldom becomes a near certainty and four
    times usually becomes four times a quarter: not what the words say."""
    scale = compiled.tree.ctx.scales.get("how_often")
    for cue, row in rows_by_cue(compiled):
        if scale is not None and cue.text("kind") == "choice":
            off = _off(row, tuple(scale.numbers.items()))
            if off:
                yield Finding(row.at("seen"), off)


@lru_cache(maxsize=8192)  # asked again after every change elsewhere
def _off(row: Row, scale: tuple[tuple[str, float], ...]) -> str:
    """How far the answers of a row are from adding up; empty when they do, or when the loader finds fault with them."""
    numbers, texts = dict(scale), _texts(row)
    counted = [value for text in texts if (value := number(text)) is not None]
    words = [numbers[text] for text in texts if text in numbers]
    total = sum(counted) + sum(words)
    if not texts or len(counted) + len(words) != len(texts) or any(not 0.0 <= one <= 1.0 for one in counted):
        return ""
    if not words:
        return "" if 0.97 <= total <= 1.03 else f"the numbers of this row add up to {total:.3g}; expected 1"
    if LEAST_SUM <= total <= MOST_SUM:
        return ""
    off = "little" if total < LEAST_SUM else "much"
    return f"the words of this row add up to {total:.2g}: too {off} for one answer"


def rows_by_cue(compiled: Compiled) -> Iterator[tuple[Row, Row]]:
    """Every row of expectations with its cue: those of the cue itself, and those that materials bring."""
    cues = compiled.tree.cues
    for entry in cues.values():
        yield from ((entry.row, row) for row in entry.row.rows("expect"))
    for entry in compiled.tree.polymers.values():
        yield from ((cues[row.text("cue")].row, row) for row in entry.row.rows("expect") if row.text("cue") in cues)


def _texts(row: Row) -> list[str]:
    node = row.raw("seen")
    return [v.text for _, v in node.pairs if isinstance(v, Scalar)] if isinstance(node, Mapping) else []


def told_bits(model: Model, cue: Cue) -> float:
    """What one careful answer tells of the compound on average, in bits (mutual information; a set: its best value)."""
    if cue.table is None:
        return 0.0
    share = [0.0] * len(cue.table.rows)
    for compound, row in zip(model.compounds, cue.table.row_of, strict=True):
        share[row] += compound.prior
    columns = range(len(cue.table.rows[0]))
    if cue.kind == "choice":
        return sum(_part(share, [row[column] for row in cue.table.rows]) for column in columns)
    best = 0.0
    for column in columns:
        seen = [row[column] for row in cue.table.rows]
        best = max(best, _part(share, seen) + _part(share, [1.0 - one for one in seen]))
    return best


def _part(share: list[float], seen: list[float]) -> float:
    mean = sum(weight * p for weight, p in zip(share, seen, strict=True))
    return sum(weight * p * log2(p / mean) for weight, p in zip(share, seen, strict=True) if weight > 0 and p > 0)


@check(
    "separates-nothing",
    "warning",
    "the answer to a cue is expected alike of all compounds",
    "Add the rows that make the difference, or drop expect and let rules alone use the answer.",
    whole=True,
)
def separates_nothing(compiled: Compiled) -> Iterator[Finding]:
    """A test is worth its minutes when its answer is likelier for some compounds than for others."""
    model = compiled.model
    for cue in model.cues.values() if model is not None else ():
        bits = told_bits(model, cue) if model is not None and cue.table is not None else 1.0
        if bits < LEAST_BITS:
            row = compiled.tree.cues[cue.id].row
            yield Finding(row.at("expect"), f"the answer to cue {shown(cue.id)} tells {bits:.4f} bit of the compound")
