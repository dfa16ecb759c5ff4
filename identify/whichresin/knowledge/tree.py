"""Everything that was read, merged by id: within one layer an id stands once, a later layer overrides an
earlier.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from collections.abc import Mapping as Map
from dataclasses import dataclass, field

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import Scale, WordList, listed

from . import forms, repair_forms
from .layers import FOLDERS, LONE, OTHER, OTHER_FOLDERS, PACK, STRAY, TELLTALE, SourceFile
from .paths import shown_path
from .positions import Mapping, Node, Reading, read, read_bytes
from .problems import Report, did_you_mean
from .schema import NEVER_SEEN, Context, Record, Row, Rows, shape
from .steps import Steps, noted


@dataclass(slots=True)
class Entry:
    """One row with its id and the layer that it came from."""

    id: str
    row: Row
    layer: int


@noted
@dataclass(slots=True)
class Tree:
    """Rows by id for each kind, and the single files of shared/ and repair/."""

    ctx: Context
    polymers: dict[str, Entry] = field(default_factory=dict)
    fillers: dict[str, Entry] = field(default_factory=dict)
    cues: dict[str, Entry] = field(default_factory=dict)
    parts: dict[str, Entry] = field(default_factory=dict)
    rules: dict[str, Entry] = field(default_factory=dict)
    cells: dict[str, Entry] = field(default_factory=dict)
    cautions: dict[str, Entry] = field(default_factory=dict)
    facts: dict[str, Entry] = field(default_factory=dict)
    processes: dict[str, Entry] = field(default_factory=dict)
    sources: dict[str, tuple[str, int, Node]] = field(default_factory=dict)
    packs: dict[int, Row] = field(default_factory=dict)  # by layer: what its pack.yaml says
    decisions: Row | None = None
    vocabulary: Row | None = None
    work: Row | None = None
    losses: Row | None = None
    words: Row | None = None
    observer: Row | None = None
    unread: dict[str, set[str]] = field(default_factory=dict)  # by kind: names of files that hold no row


# The kinds of which a tree holds rows by id.
KINDS = ("polymers", "fillers", "cues", "parts", "rules", "cells", "cautions", "facts", "processes")


def settle(tree: Tree, steps: Steps) -> None:
    """Put what has not changed since the tree before in place of its equal, so that steps see that it has not."""
    for kind in KINDS:
        entries = getattr(tree, kind)
        by = [(entry.id, entry.row, entry.layer) for entry in entries.values()]
        setattr(tree, kind, steps.settled(kind, entries, by))
    tree.sources = steps.settled("sources", tree.sources, list(tree.sources.items()))
    tree.packs = steps.settled("packs", tree.packs, list(tree.packs.items()))
    tree.unread = steps.settled("unread", tree.unread, tree.unread)
    ctx = tree.ctx
    ctx.lists = steps.settled("lists", ctx.lists, [(name, list(one.means.items())) for name, one in ctx.lists.items()])
    scales = [(name, list(one.numbers.items())) for name, one in ctx.scales.items()]
    ctx.scales = steps.settled("scales", ctx.scales, scales)


def grow(
    files: Iterable[SourceFile],
    contents: Map[str, bytes],
    with_others: bool = False,
    reader: Callable[[bytes, str], Reading] = read_bytes,
    rows: Rows | None = None,
) -> Tree:
    """Read all files into a tree. `with_others` also looks into files that are no part of the model.

    `reader` turns bytes and a file name into nodes; one that remembers saves reading again what has not changed.
    `rows` does the same for rows.
    """
    ordered = sorted(files, key=lambda file: (file.kind != "lists", file.layer))
    tree = Tree(Context(Report(), rows=rows or Rows()))
    open_lists = True
    for file in ordered:
        if open_lists and file.kind != "lists":
            open_lists = False
            tree.ctx.rows.hold_for(tree.ctx.lists)
        if file.kind == STRAY:
            _stray(tree, file)
        if file.kind in (OTHER, STRAY) and not with_others:
            continue
        name, data = shown_path(file.path), contents.get(file.path)
        root, problems = read(file.path, name) if data is None else reader(data, name)
        tree.ctx.report.extend(problems)
        if file.kind in (OTHER, STRAY):
            continue
        if isinstance(root, Mapping):
            _take(tree, file, root)
        else:
            _unread(tree, file, root)
    return tree


def _stray(tree: Tree, file: SourceFile) -> None:
    """A file that nobody will read is a mistake that would otherwise show only by its absence."""
    folder = file.inside.rpartition("/")[0]
    known = (*FOLDERS, *OTHER_FOLDERS)
    sentence = f"nothing reads files in the folder {shown(folder)}; expected one of {listed(known)}"
    hint = did_you_mean(folder, known)
    tree.ctx.report.add("warning", "stray-file", shown_path(file.path), 0, 0, sentence, hint)


def _unread(tree: Tree, file: SourceFile, root: Node | None) -> None:
    """Note that a file holds no row, so that what refers to it is not reported as well."""
    stem = file.inside.rpartition("/")[2].rpartition(".")[0]
    tree.unread.setdefault(file.kind, set()).add(stem)
    if root is not None:
        what = shape(root)
        tree.ctx.error(root, "wrong-shape", f"the file is {what}; expected keys such as id or rules")


def _take(tree: Tree, file: SourceFile, root: Mapping) -> None:
    kind = file.kind if file.kind != LONE else _kind_by_keys(root, tree.ctx)
    ctx, layer = tree.ctx, file.layer
    if kind == "polymer":
        _one(tree.polymers, forms.MATERIAL, root, ctx, layer, file.path)
    elif kind == "filler":
        _one(tree.fillers, forms.FILLER, root, ctx, layer, file.path)
    elif kind == "cue":
        _one(tree.cues, forms.CUE, root, ctx, layer, file.path)
    elif kind == "process":
        _one(tree.processes, repair_forms.PROCESS, root, ctx, layer, file.path)
    elif kind == "decisions":
        tree.decisions = _whole(tree.decisions, repair_forms.DECISIONS, root, ctx, layer)
    elif kind == "vocabulary":
        tree.vocabulary = _whole(tree.vocabulary, repair_forms.VOCABULARY, root, ctx, layer)
    elif kind == "work":
        tree.work = _whole(tree.work, repair_forms.WORK, root, ctx, layer)
    elif kind == "parts":
        if isinstance(root, Mapping) and root.get("parts") is None:
            _one(tree.parts, forms.PART, root, ctx, layer)
        else:
            _several(tree.parts, forms.PARTS, "parts", forms.PART, root, ctx, layer)
    elif kind == "rules":
        _several(tree.rules, forms.RULES, "rules", forms.RULE, root, ctx, layer)
    elif kind in ("cells", "cautions", "facts"):
        _listed(tree, kind, root, layer)
    elif kind == PACK:
        row = forms.PACK.read(root, ctx, "the file")
        if row is not None:
            tree.packs[layer] = row
    elif kind == "sources":
        _sources(tree, root, layer)
    elif kind == "losses":
        tree.losses = _whole(tree.losses, forms.LOSSES, root, ctx, layer)
    elif kind == "observer":
        tree.observer = _whole(tree.observer, forms.OBSERVER, root, ctx, layer)
    elif kind == "words":
        _words(tree, root, layer)
    elif kind == "lists" and layer:
        ctx.error(root, "not-here", "the closed lists give words their effect in the program; a pack has none")
    elif kind == "lists":
        _lists(tree, root)


def _one(into: dict[str, Entry], form: Record, root: Node, ctx: Context, layer: int, path: str = "") -> None:
    row = form.read(root, ctx, "the file")
    if row is None:
        return
    entry = _keep(into, row, "id", ctx, layer)
    if entry is not None and path:
        stem = path.replace("\\", "/").rpartition("/")[2].rpartition(".")[0]
        if stem != slug(entry.id):
            ctx.warning(
                row.at("id"),
                "file-name",
                f"the file of {shown(entry.id)} should be named {slug(entry.id)}.yaml",
            )


def _several(
    into: dict[str, Entry], outer: Record, key: str, form: Record, root: Node, ctx: Context, layer: int
) -> None:
    file_row = outer.read(root, ctx, "the file")
    values = file_row.values.get(key) if file_row is not None else None
    for node in values if isinstance(values, tuple) else ():
        row = form.read(node, ctx)
        if row is not None:
            _keep(into, row, "id", ctx, layer)


def _listed(tree: Tree, kind: str, root: Node, layer: int) -> None:
    form, into, key = {
        "cells": (forms.CELLS, tree.cells, "id"),
        "cautions": (forms.CAUTIONS, tree.cautions, "id"),
        "facts": (forms.FACTS, tree.facts, "name"),
    }[kind]
    file_row = form.read(root, tree.ctx, "the file")
    for row in file_row.rows(kind) if file_row is not None else ():
        _keep(into, row, key, tree.ctx, layer)


def _keep(into: dict[str, Entry], row: Row, key: str, ctx: Context, layer: int) -> Entry | None:
    name = row.text(key)
    if not name:
        return None
    here = row.at(key)
    before = into.get(name)
    entry = Entry(name, row, layer)
    if before is not None:
        there = before.row.at(key)
        if before.layer == layer:
            ctx.error(here, "duplicate-id", f"{key} {shown(name)} is already used at {there.file}:{there.line}")
            return None
        ctx.note(here, "overrides", f"{shown(name)} takes the place of the one at {there.file}:{there.line}")
    into[name] = entry
    return entry


def _sources(tree: Tree, root: Node, layer: int) -> None:
    row = forms.SOURCES.read(root, tree.ctx, "the file")
    node = row.raw("sources") if row is not None else None
    texts = row.texts("sources") if row is not None else {}
    for key, _ in node.pairs if isinstance(node, Mapping) else ():
        if key.text not in texts:
            continue
        before = tree.sources.get(key.text)
        if before is not None and before[0] != texts[key.text]:
            there = f"{before[2].file}:{before[2].line}"
            tree.ctx.note(key, "overrides", f"source {shown(key.text)} takes the place of the one at {there}")
        tree.sources[key.text] = (texts[key.text], layer, key)


def _whole(before: Row | None, form: Record, root: Node, ctx: Context, layer: int) -> Row | None:
    """A file that is replaced as a whole by a later layer."""
    row = form.read(root, ctx, "the file")
    if row is not None and before is not None and layer:
        ctx.note(root, "overrides", f"this file takes the place of {before.node.file}")
    return row or before


def _words(tree: Tree, root: Node, layer: int) -> None:
    row = _whole(tree.words, forms.WORDS, root, tree.ctx, layer)
    if row is not None and row is not tree.words:
        numbers = row.numbers("how_often")
        if NEVER_SEEN not in numbers:
            sentence = f"how_often without {NEVER_SEEN}; answers that a row leaves out need its number"
            tree.ctx.error(row.at("how_often"), "missing-key", sentence)
        tree.words = row
        tree.ctx.scales = {**tree.ctx.scales, "how_often": Scale("how often", numbers)}


def _lists(tree: Tree, root: Node) -> None:
    row = forms.LISTS.read(root, tree.ctx, "the file")
    lists = row.values.get("lists") if row is not None else None
    if isinstance(lists, dict):
        found = {name: WordList(name, means) for name, means in lists.items() if isinstance(means, dict)}
        tree.ctx.lists = {**tree.ctx.lists, **found}


def _kind_by_keys(root: Mapping, ctx: Context) -> str:
    keys = [key.text for key, _ in root.pairs]
    for telltale, kind in TELLTALE:
        if telltale in keys:
            return kind
    known = [word for word, _ in TELLTALE]
    near = next((hint for hint in (did_you_mean(key, known) for key in keys) if hint), "")
    sentence = f"no key tells what kind of file this is; expected one of {listed(known)}"
    ctx.error(root, "unknown-file", sentence, near)
    return "unknown"


def slug(name: str) -> str:
    """The file name that goes with an id: `PC+ABS` -> `pc-abs`, `UP-GF SMC` -> `up-gf-smc`."""
    return name.lower().replace("+", "-").replace("/", "-").replace(" ", "-")
