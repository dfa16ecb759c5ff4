"""Cues: what can be asked, seen or measured, each checked for its answers and its care."""

from __future__ import annotations

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .expectations import TableBuilder, Weighed
from .model import Cue, CueValue
from .problems import did_you_mean
from .schema import Context, Row
from .selectors import Selectors
from .steps import Steps
from .tree import Tree

HAZARDOUS = ("medium", "high")
FLOAT_ANSWERS = ("floats", "neutral", "sinks")


def build_cues(tree: Tree, selectors: Selectors, weighed: Weighed, steps: Steps) -> dict[str, Cue]:
    """All cues by id, in order of id, with their tables."""
    report, ctx = tree.ctx.report, tree.ctx
    own = steps.run("own expectations", own_expectations, report, tree)
    return {
        name: steps.run(("cue", name), _cue, report, tree.cues[name].row, ctx, selectors, weighed, own.get(name, ()))
        for name in sorted(tree.cues)
    }


def own_expectations(tree: Tree) -> dict[str, tuple[tuple[str, Row], ...]]:
    """By cue: the rows that materials bring for it, each with the material's id. Rows for no such cue are reported."""
    found: dict[str, tuple[tuple[str, Row], ...]] = {}
    for name in sorted(tree.polymers):
        for row in tree.polymers[name].row.rows("expect"):
            cue, node = row.text("cue"), row.at("cue")
            if cue not in tree.cues:
                if cue and cue not in tree.unread.get("cue", ()):
                    tree.ctx.error(
                        node, "no-such-reference", f"there is no cue {shown(cue)}", did_you_mean(cue, tree.cues)
                    )
            elif "expect" not in tree.cues[cue].row:
                tree.ctx.error(node, "not-here", f"the answers to cue {shown(cue)} are expected of no material")
            else:
                found[cue] = (*found.get(cue, ()), (name, row))
    return found


def _cue(row: Row, ctx: Context, selectors: Selectors, weighed: Weighed, own: tuple[tuple[str, Row], ...]) -> Cue:
    values = tuple(CueValue(one.text("id"), one.text("text")) for one in row.rows("values"))
    _check_values(row, ctx)
    _check_care(row, ctx)
    table = None
    if "expect" in row:
        tables = TableBuilder(ctx, selectors, weighed)
        table = tables.build(row, tuple(value.id for value in values), own)
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
