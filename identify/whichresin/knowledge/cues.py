"""Cues and their tables of expectations: for each compound, how often each answer is seen."""

from __future__ import annotations

from collections.abc import Sequence as Seq
from dataclasses import dataclass

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import UnknownWord, listed

from .model import Compound, Cue, CueValue, Table
from .model import Row as TableRow
from .positions import Mapping, Node, Scalar
from .problems import did_you_mean
from .schema import NEVER_SEEN, Context, Row, number, shape
from .selectors import Selector, Selectors, bits
from .tree import Tree

HAZARDOUS = ("medium", "high")
FLOAT_ANSWERS = ("floats", "neutral", "sinks")


@dataclass(frozen=True, slots=True)
class Expectation:
    """One row of a cue's expectations, read: which compounds, and the weight of each answer that it names."""

    selector: Selector
    seen: dict[str, float]


def build_cues(tree: Tree, selectors: Selectors, compounds: Seq[Compound]) -> dict[str, Cue]:
    """All cues by id, in order of id, with their tables."""
    return {name: _cue(tree.cues[name].row, tree.ctx, selectors, compounds) for name in sorted(tree.cues)}


def _cue(row: Row, ctx: Context, selectors: Selectors, compounds: Seq[Compound]) -> Cue:
    values = tuple(CueValue(one.text("id"), one.text("text")) for one in row.rows("values"))
    _check_values(row, ctx)
    _check_care(row, ctx)
    table = None
    if "expect" in row:
        table = _table(row, tuple(value.id for value in values), ctx, selectors, compounds)
    return Cue(
        id=row.text("id"),
        kind=row.text("kind"),
        topic=row.text("topic"),
        group=row.text("group") or row.text("id"),
        physics=row.text("physics"),
        question=row.text("question"),
        how=row.text("how"),
        fooled_by=row.text("fooled_by"),
        lesson=row.text("lesson"),
        values=values,
        minutes=row.number("minutes"),
        marks_part=row.flag("marks_part"),
        tools=row.words("tools"),
        hazard=row.text("hazard"),
        wear=row.text("wear"),
        cautions=row.words("cautions"),
        opt_in=row.text("opt_in"),
        locked=row.flag("locked"),
        askable=row.flag("askable", True),
        table=table,
        source=row.words("source"),
    )


def _check_values(row: Row, ctx: Context) -> None:
    kind = row.text("kind")
    if kind in ("choice", "set") and "values" not in row:
        ctx.error(row.node, "missing-key", f"a {kind} cue without values; list the answers that it may have")
    if kind in ("number", "liquids", "text") and "values" in row:
        ctx.error(row.at("values"), "not-here", f"a {kind} cue has no list of answers")
    seen: dict[str, Row] = {}
    for value in row.rows("values"):
        name = value.text("id")
        if name in seen:
            there = seen[name].node
            ctx.error(
                value.node,
                "duplicate-id",
                f"answer {shown(name)} stands twice; the first is on line {there.line}",
            )
        seen.setdefault(name, value)
    physics = row.text("physics")
    wanted = {"float_water": "choice", "float_liquids": "liquids", "density": "number"}.get(physics, kind)
    if kind and wanted != kind:
        ctx.error(row.at("physics"), "not-here", f"physics {shown(physics)} goes with kind {wanted}, not {kind}")
    if physics == "float_water" and seen and tuple(sorted(seen)) != FLOAT_ANSWERS:
        ctx.error(row.at("values"), "unknown-word", f"a float cue has exactly the answers {listed(FLOAT_ANSWERS)}")


def _check_care(row: Row, ctx: Context) -> None:
    risky = row.text("hazard") in HAZARDOUS or row.text("opt_in")
    if risky and not row.words("cautions"):
        why = f"hazard {row.text('hazard')}" if row.text("hazard") in HAZARDOUS else f"opt_in {row.text('opt_in')}"
        sentence = f"a cue with {why} without cautions; name the cautions to show before the test"
        ctx.error(row.at("hazard"), "missing-caution", sentence)


def _table(
    row: Row, values: tuple[str, ...], ctx: Context, selectors: Selectors, compounds: Seq[Compound]
) -> Table | None:
    node = row.at("expect")
    kind = row.text("kind")
    if row.text("physics"):
        ctx.error(node, "not-here", "a cue with physics has no expect: its answers follow from density")
        return None
    if kind not in ("choice", "set"):
        ctx.error(node, "not-here", f"a {kind} cue has no expect")
        return None
    before = ctx.report.errors_so_far()
    expectations = [read for one in row.rows("expect") if (read := _expectation(one, values, ctx, selectors))]
    if not values or ctx.report.errors_so_far() != before or len(compounds) < 2 or not _has_floor(ctx):
        return None
    floor = ctx.scales["how_often"].numbers[NEVER_SEEN]
    build = _choice_rows if kind == "choice" else _set_rows
    by_compound = build(expectations, values, len(compounds) - 1, floor, node, ctx, compounds)
    if by_compound is None or ctx.report.errors_so_far() != before:
        return None
    return _shared(by_compound, compounds)


def _has_floor(ctx: Context) -> bool:
    """Whether the scale says what an unlisted answer counts; that it does not is reported with the scale."""
    return "how_often" in ctx.scales and NEVER_SEEN in ctx.scales["how_often"].numbers


def _expectation(row: Row, values: tuple[str, ...], ctx: Context, selectors: Selectors) -> Expectation | None:
    selector = selectors.read(row.at("for"), ctx) if "for" in row else None
    seen_node = row.raw("seen")
    if not isinstance(seen_node, Mapping):
        return None
    seen: dict[str, float] = {}
    for key, value in seen_node.pairs:
        if key.text not in values and values:
            sentence = f"{shown(key.text)} is not an answer of this cue; expected one of {listed(values, 20)}"
            ctx.error(key, "unknown-word", sentence, did_you_mean(key.text, values))
        weight = how_often(value, ctx)
        if weight is not None:
            seen[key.text] = weight
    return Expectation(selector, seen) if selector is not None else None


def how_often(node: Node, ctx: Context) -> float | None:
    """The weight that a word of the scale or a number above 0 and up to 1 stands for."""
    if not isinstance(node, Scalar):
        ctx.error(node, "wrong-shape", f"how often is {shape(node)}; expected a word such as usually, or a number")
        return None
    value = number(node.text)
    if value is not None:
        if 0.0 < value <= 1.0:
            return value
        hint = f"no answer is impossible: use {NEVER_SEEN}" if value == 0 else ""
        ctx.error(node, "out-of-range", f"how often is {shown(node.text)}; expected above 0 and up to 1", hint)
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


def _by_specificity(expectations: list[Expectation]) -> list[list[Expectation]]:
    levels: dict[int, list[Expectation]] = {}
    for one in expectations:
        levels.setdefault(one.selector.specificity, []).append(one)
    return [levels[level] for level in sorted(levels, reverse=True)]


def _assign(
    levels: list[list[Expectation]], size: int, answer: str | None, ctx: Context, compounds: Seq[Compound]
) -> tuple[list[Expectation | None], int]:
    """The winning row of each compound (looking only at rows that name `answer`, if given), and the
    unassigned.
    """
    winner: list[Expectation | None] = [None] * size
    left = (1 << size) - 1
    for level in levels:
        taken = 0
        for place, one in enumerate(level):
            if answer is not None and answer not in one.seen:
                continue
            for other in level[:place]:
                if answer is not None and answer not in other.seen:
                    continue
                both = one.selector.mask & other.selector.mask & left
                weights = (one.seen, other.seen) if answer is None else (one.seen[answer], other.seen[answer])
                if both and weights[0] != weights[1]:
                    _clash(one, other, both, answer, ctx, compounds)
            for index in bits(one.selector.mask & left):
                winner[index] = one
            taken |= one.selector.mask
        left &= ~taken
    return winner, left


def _clash(
    one: Expectation,
    other: Expectation,
    both: int,
    answer: str | None,
    ctx: Context,
    compounds: Seq[Compound],
) -> None:
    first = compounds[bits(both)[0]].id
    there = other.selector.node
    about = f" on {shown(answer)}" if answer else ""
    sentence = f"this row and the one on line {there.line} are equally specific{about} and both match {shown(first)}"
    ctx.error(one.selector.node, "equal-specificity", sentence, "make one of them more specific")


def _choice_rows(
    expectations: list[Expectation],
    values: tuple[str, ...],
    size: int,
    floor: float,
    node: Node,
    ctx: Context,
    compounds: Seq[Compound],
) -> list[TableRow] | None:
    winner, left = _assign(_by_specificity(expectations), size, None, ctx, compounds)
    if left:
        missing = bits(left)
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        sentence = f"no row matches compound {shown(compounds[missing[0]].id)}{more}"
        ctx.error(node, "compound-without-row", sentence, "add a row 'for: {}' for the rest")
        return None
    rows: dict[int, TableRow] = {}
    result = []
    for one in winner:
        assert one is not None
        if id(one) not in rows:
            weights = [one.seen.get(value, floor) for value in values]
            total = sum(weights)
            rows[id(one)] = tuple(weight / total for weight in weights)
        result.append(rows[id(one)])
    return result


def _set_rows(
    expectations: list[Expectation],
    values: tuple[str, ...],
    size: int,
    floor: float,
    node: Node,
    ctx: Context,
    compounds: Seq[Compound],
) -> list[TableRow] | None:
    levels = _by_specificity(expectations)
    columns = []
    for value in values:
        winner, _ = _assign(levels, size, value, ctx, compounds)
        columns.append([floor if one is None else one.seen[value] for one in winner])
    return list(zip(*columns, strict=True))


def _shared(by_compound: list[TableRow], compounds: Seq[Compound]) -> Table:
    """Distinct rows once; 'none of these' gets half the compounds' average and half an even spread."""
    known = sum(one.prior for one in compounds[:-1])
    width = len(by_compound[0])
    average = [
        sum(one.prior * row[column] for one, row in zip(compounds, by_compound, strict=False)) / known if known else 0.0
        for column in range(width)
    ]
    outside = tuple(0.5 * mean + 0.5 / width for mean in average)
    rows: dict[TableRow, int] = {}
    row_of = tuple(rows.setdefault(row, len(rows)) for row in (*by_compound, outside))
    return Table(tuple(rows), row_of)
