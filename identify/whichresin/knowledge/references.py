"""References between files: sources, cells, fillers, cautions. A kind that is empty so far is reported
once.
"""

from __future__ import annotations

from collections.abc import Iterator

from whichresin.vocabulary.text import shown

from .positions import Node
from .problems import did_you_mean
from .schema import Row, scalars
from .tree import Tree

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


def check_references(tree: Tree) -> None:
    """Report every name that nothing bears."""
    _check_sources(tree)
    for name in sorted(tree.polymers):
        row = tree.polymers[name].row
        if tree.cells:
            _known(row.at("cell"), row.text("cell"), "repair cell", tree.cells, tree)
        for compound in row.rows("compounds"):
            if tree.fillers:
                _known(compound.at("filler"), compound.text("filler"), "filler", tree.fillers, tree)
    for entry in (*tree.cues.values(), *tree.parts.values()):
        node = entry.row.raw("cautions")
        for scalar in scalars(node) if node is not None and tree.cautions else ():
            _known(scalar, scalar.text, "caution", tree.cautions, tree)


def _known(node: Node, text: str, what: str, known: dict[str, object] | object, tree: Tree) -> None:
    names = list(known) if isinstance(known, dict) else []
    if text and text not in names:
        tree.ctx.error(node, "no-such-reference", f"there is no {what} {shown(text)}", did_you_mean(text, names))


def _check_sources(tree: Tree) -> None:
    if not tree.sources:
        return
    known = (*NO_SOURCE_READ, *tree.sources)
    allowed = set(known)
    for row in _rows(tree):
        for key in _SOURCE_KEYS:
            node = row.raw(key)
            for scalar in scalars(node) if node is not None else ():
                if scalar.text and scalar.text.strip() not in allowed:
                    sentence = f"source {shown(scalar.text)} is not in shared/sources.yaml"
                    hint = did_you_mean(scalar.text, known) or "add it there, or write common practice or from memory"
                    tree.ctx.error(scalar, "unknown-source", sentence, hint)


def _single(tree: Tree) -> tuple[Row | None, ...]:
    """Files that are one row."""
    return (tree.losses, tree.words, tree.observer, tree.decisions, tree.vocabulary, tree.work)


def _rows(tree: Tree) -> Iterator[Row]:
    pending: list[Row] = [row for row in _single(tree) if row is not None]
    for kind in (
        tree.polymers,
        tree.fillers,
        tree.cues,
        tree.parts,
        tree.rules,
        tree.cells,
        tree.cautions,
        tree.facts,
        tree.processes,
    ):
        pending.extend(entry.row for entry in kind.values())
    while pending:
        row = pending.pop()
        yield row
        for value in row.values.values():
            if isinstance(value, Row):
                pending.append(value)
            elif isinstance(value, tuple):
                pending.extend(one for one in value if isinstance(one, Row))
