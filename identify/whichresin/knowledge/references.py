"""References between files: sources, cells, fillers, cautions. A kind that is empty so far is reported
once.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from whichresin.vocabulary.text import shown

from .positions import Node, Scalar
from .problems import did_you_mean
from .schema import Row, scalars
from .steps import Steps
from .tree import KINDS, Tree

NO_SOURCE_READ = ("common practice", "from memory")
_SOURCE_KEYS = ("source", "share_source")
# Kinds without which there is no model: attribute of the tree, what it is called, where it belongs.
_NEEDED = (
    ("polymers", "material", "knowledge/materials/polymers"),
    ("fillers", "filler", "knowledge/materials/fillers"),
    ("cues", "cue", "knowledge/cues"),
    ("cells", "repair cell", "knowledge/repair/cells.yaml"),
    ("losses", "table of losses", "knowledge/repair/losses.yaml"),
    ("cautions", "caution", "shared/cautions.yaml"),
    ("facts", "fact word", "shared/facts.yaml"),
    ("sources", "source", "shared/sources.yaml"),
    ("words", "scale of words", "shared/words.yaml"),
    ("observer", "observer", "shared/observer.yaml"),
)


def check_needed(tree: Tree) -> None:
    """Report each kind of knowledge that is missing as a whole."""
    for attribute, name, place in _NEEDED:
        if not getattr(tree, attribute) and not tree.ctx.report.has_errors_under(place):
            tree.ctx.report.add("error", "nothing-there", place, 0, 0, f"there is no {name} yet; expected at least one")
    if not tree.ctx.lists:
        tree.ctx.report.add("error", "nothing-there", "shared/lists.yaml", 0, 0, "there are no closed lists of words")


def check_references(tree: Tree, steps: Steps) -> None:
    """Report every name that nothing bears."""
    report = tree.ctx.report
    for kind in KINDS:
        steps.run(f"sources of {kind}", _check_sources_of, report, kind, tree)
    steps.run("other sources", _check_other_sources, report, tree)
    steps.run("names in materials", _check_materials, report, tree)
    steps.run("names of cautions", _check_cautions, report, tree)


def _check_materials(tree: Tree) -> None:
    for name in sorted(tree.polymers):
        row = tree.polymers[name].row
        if tree.cells:
            _known(row.at("cell"), row.text("cell"), "repair cell", tree.cells, tree)
        for compound in row.rows("compounds"):
            if tree.fillers:
                _known(compound.at("filler"), compound.text("filler"), "filler", tree.fillers, tree)


def _check_cautions(tree: Tree) -> None:
    for entry in (*tree.cues.values(), *tree.parts.values()):
        node = entry.row.raw("cautions")
        for scalar in scalars(node) if node is not None and tree.cautions else ():
            _known(scalar, scalar.text, "caution", tree.cautions, tree)


def _known(node: Node, text: str, what: str, known: dict[str, object] | object, tree: Tree) -> None:
    names = list(known) if isinstance(known, dict) else []
    if text and text not in names:
        tree.ctx.error(node, "no-such-reference", f"there is no {what} {shown(text)}", did_you_mean(text, names))


def _check_sources_of(kind: str, tree: Tree) -> None:
    _check_sources((entry.row for entry in getattr(tree, kind).values()), tree)


def _check_other_sources(tree: Tree) -> None:
    """Sources in the files that are one row."""
    single = (tree.losses, tree.words, tree.observer, tree.decisions, tree.vocabulary, tree.work)
    _check_sources((row for row in single if row is not None), tree)


def _check_sources(rows: Iterable[Row], tree: Tree) -> None:
    if not tree.sources:
        return
    known = (*NO_SOURCE_READ, *tree.sources)
    allowed, ctx = set(known), tree.ctx
    for scalar in (scalar for row in rows for scalar in _cited(row)):
        if scalar.text and scalar.text.strip() not in allowed:
            sentence = f"source {shown(scalar.text)} is not in shared/sources.yaml"
            hint = did_you_mean(scalar.text, known) or "add it there, or write common practice or from memory"
            ctx.error(scalar, "unknown-source", sentence, hint)


@lru_cache(maxsize=8192)  # asked again after every change elsewhere
def _cited(row: Row) -> tuple[Scalar, ...]:
    """The sources that a row cites, and the rows in it."""
    found: list[Scalar] = []
    pending = [row]
    for here in pending:  # grows while it is read
        for key in _SOURCE_KEYS:
            node = here.nodes.get(key)
            if node is not None:
                found += scalars(node)
        for value in here.values.values():
            if isinstance(value, Row):
                pending.append(value)
            elif isinstance(value, tuple):
                pending.extend(one for one in value if isinstance(one, Row))
    return tuple(found)
