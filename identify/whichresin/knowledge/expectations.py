"""Expectations of a cue: rows of 'for these compounds, how often each answer', made into one table.

A choice cue takes for each compound the most specific row; a set cue takes for each answer the most specific row
that names it. Two rows that are equally specific and say different things of one compound are an error. A material
may bring rows of its own; they are narrowed to it, and win over a row of the cue that is equally specific.
"""

from __future__ import annotations

from collections.abc import Sequence as Seq
from dataclasses import dataclass

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import UnknownWord, listed

from .model import Row as TableRow
from .model import Table
from .positions import Mapping, Node, Scalar
from .problems import did_you_mean
from .schema import NEVER_SEEN, Context, Row, number, shape
from .selectors import Selector, Selectors, bits

# A smaller weight would be a hard zero in all but name: one misread answer could never be made good again.
MIN_WEIGHT = 0.0001

Weighed = tuple[tuple[str, float], ...]  # id and prior of each compound


@dataclass(frozen=True, slots=True)
class Expectation:
    """One row, read: which compounds, and the weight of each answer that it names."""

    selector: Selector
    seen: dict[str, float]
    own: bool = False  # a row of the material itself

    @property
    def rank(self) -> int:
        """The higher wins."""
        return 2 * self.selector.specificity + self.own


def how_often(node: Node, ctx: Context) -> float | None:
    """The weight that a word of the scale or a number stands for; None when it is wrong and reported."""
    if not isinstance(node, Scalar):
        ctx.error(node, "wrong-shape", f"how often is {shape(node)}; expected a word such as usually, or a number")
        return None
    value = number(node.text)
    if value is not None:
        if MIN_WEIGHT <= value <= 1.0:
            return value
        hint = f"no answer is impossible: use {NEVER_SEEN}" if 0 <= value < MIN_WEIGHT else ""
        ctx.error(node, "out-of-range", f"how often is {shown(node.text)}; expected {MIN_WEIGHT} to 1", hint)
        return None
    scale = ctx.scales.get("how_often")
    if scale is None:
        return None
    try:
        return scale.number(node.text)
    except UnknownWord as error:
        sentence = f"how often is {shown(node.text)}; expected a number or one of {listed(error.known)}"
        ctx.error(node, "unknown-word", sentence, did_you_mean(node.text, error.known))
        return None


class TableBuilder:
    """Builds the tables of cues against the compounds, each as id and prior; the last is 'none of these'."""

    def __init__(self, ctx: Context, selectors: Selectors, weighed: Weighed) -> None:
        self._ctx = ctx
        self._selectors = selectors
        self._weighed = weighed

    def build(self, row: Row, values: tuple[str, ...], own: Seq[tuple[str, Row]] = ()) -> Table | None:
        """The table of a cue that has `expect`, or None when something in it is wrong (reported).

        `own` are the rows that materials bring for this cue, each with the material's id.
        """
        ctx, node, kind = self._ctx, row.at("expect"), row.text("kind")
        if row.text("physics"):
            ctx.error(node, "not-here", "a cue with physics has no expect: its answers follow from density")
            return None
        if kind not in ("choice", "set"):
            ctx.error(node, "not-here", f"a {kind} cue has no expect")
            return None
        before = ctx.report.errors_so_far()
        parts = [("", part) for part in row.rows("expect")] + list(own)
        read = [one for name, part in parts if (one := self._expectation(name, part, values)) is not None]
        scale = ctx.scales.get("how_often")
        if scale is None or NEVER_SEEN not in scale.numbers:
            return None  # reported with the scale
        if not values or ctx.report.errors_so_far() != before or len(self._weighed) < 2:
            return None
        floor = scale.numbers[NEVER_SEEN]
        by_compound = self._choice(read, values, floor, node) if kind == "choice" else self._set(read, values, floor)
        return None if ctx.report.errors_so_far() != before else self._shared(by_compound)

    def _expectation(self, material: str, row: Row, values: tuple[str, ...]) -> Expectation | None:
        selector = None
        if material:
            selector = self._selectors.within(material, row.raw("for"), row.node, self._ctx)
        elif "for" in row:
            selector = self._selectors.read(row.at("for"), self._ctx)
        seen: dict[str, float] = {}
        node = row.raw("seen")
        for key, value in node.pairs if isinstance(node, Mapping) else ():
            if key.text not in values and values:
                sentence = f"{shown(key.text)} is not an answer of this cue; expected one of {listed(values, 20)}"
                self._ctx.error(key, "unknown-word", sentence, did_you_mean(key.text, values))
            weight = how_often(value, self._ctx)
            if weight is not None:
                seen[key.text] = weight
        return Expectation(selector, seen, bool(material)) if selector is not None else None

    def _assign(self, rows: list[Expectation]) -> tuple[list[Expectation | None], int, list[tuple[int, int, int]]]:
        """For each compound the most specific row; the compounds left over, as bits; and the ties.

        A tie is (place of a row, place of an earlier row, compounds that both match and no better row does).
        """
        size = len(self._weighed) - 1
        winner: list[Expectation | None] = [None] * size
        left, ties = (1 << size) - 1, []
        for level in sorted({one.rank for one in rows}, reverse=True):
            places = [place for place, one in enumerate(rows) if one.rank == level]
            taken = 0
            for place in places:
                mask = rows[place].selector.mask & left
                ties += [
                    (place, other, both)
                    for other in places
                    if other < place and (both := mask & rows[other].selector.mask)
                ]
                for index in bits(mask):
                    winner[index] = rows[place]
                taken |= mask
            left &= ~taken
        return winner, left, ties

    def _clash(self, one: Expectation, other: Expectation, both: int, about: str) -> None:
        first = shown(self._weighed[bits(both)[0]][0])
        line = other.selector.node.line
        sentence = f"this row and the one on line {line} are equally specific{about} and both match {first}"
        self._ctx.error(one.selector.node, "equal-specificity", sentence, "make one of them more specific")

    def _choice(self, read: list[Expectation], values: tuple[str, ...], floor: float, node: Node) -> list[TableRow]:
        winner, left, ties = self._assign(read)
        for place, other, both in ties:
            if read[place].seen != read[other].seen:
                self._clash(read[place], read[other], both, "")
        if left:
            missing = bits(left)
            more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
            sentence = f"no row matches compound {shown(self._weighed[missing[0]][0])}{more}"
            self._ctx.error(node, "compound-without-row", sentence, "add a row 'for: {}' for the rest")
        rows = {id(one): _normalised(one.seen, values, floor) for one in read}
        return [rows[id(one)] for one in winner if one is not None]

    def _set(self, read: list[Expectation], values: tuple[str, ...], floor: float) -> list[TableRow]:
        columns = []
        for value in values:
            naming = [one for one in read if value in one.seen]
            winner, _, ties = self._assign(naming)
            for place, other, both in ties:
                if naming[place].seen[value] != naming[other].seen[value]:
                    self._clash(naming[place], naming[other], both, f" on {shown(value)}")
            columns.append([floor if one is None else one.seen[value] for one in winner])
        return list(zip(*columns, strict=True))

    def _shared(self, by_compound: list[TableRow]) -> Table:
        """Distinct rows once; 'none of these' gets half the compounds' average and half an even spread."""
        priors = [prior for _, prior in self._weighed[:-1]]
        total, width = sum(priors) or 1.0, len(by_compound[0])
        average = [
            sum(prior * row[column] for prior, row in zip(priors, by_compound, strict=True)) / total
            for column in range(width)
        ]
        outside = tuple(0.5 * mean + 0.5 / width for mean in average)
        rows: dict[TableRow, int] = {}
        row_of = tuple(rows.setdefault(row, len(rows)) for row in (*by_compound, outside))
        return Table(tuple(rows), row_of, tuple(average))


def _normalised(seen: dict[str, float], values: tuple[str, ...], floor: float) -> TableRow:
    weights = [seen.get(value, floor) for value in values]
    total = sum(weights)
    return tuple(weight / total for weight in weights)
