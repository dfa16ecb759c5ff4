"""Put it all together: read the layers, check them, and compile one immutable Model.

Four steps: read (`tree`), check names (`references`, `names`), build (`materials`, `cues`, `parts`,
`rulebook`), check how rules rest on one another (`dependencies`). Each gives a value and reports problems;
none stops early.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from .cues import build_cues
from .dependencies import check_dependencies
from .layers import SourceFile
from .materials import build_compounds, build_fillers, build_materials
from .model import Model
from .names import Names, names_of
from .packs import check_packs
from .parts import (
    build_cautions,
    build_cells,
    build_facts,
    build_how_sure,
    build_losses,
    build_observer,
    build_parts,
)
from .positions import Reading, read_bytes
from .references import check_needed, check_references
from .repair_codec import packed
from .repairs import Repairs, build_repairs
from .rulebook import ReadRule, read_rules
from .schema import Rows
from .selectors import Selectors
from .tree import Tree, grow


@dataclass(frozen=True, slots=True)
class Compiled:
    """A model (None after errors) with what the checks of `training` need beside it."""

    model: Model | None
    tree: Tree
    rules: tuple[ReadRule, ...]
    names: Names
    selectors: Selectors
    repairs: Repairs


def compile_files(
    files: Iterable[SourceFile],
    key: str,
    contents: Mapping[str, bytes],
    with_others: bool = False,
    reader: Callable[[bytes, str], Reading] = read_bytes,
    rows: Rows | None = None,
) -> Compiled:
    """Read, check, resolve and compile; problems are in `tree.ctx.report`.

    `contents` are the bytes of the files; one that is missing there is opened, to say what is wrong with it.
    `reader` and `rows` are handed to `tree.grow`.
    """
    files = tuple(files)
    tree = grow(files, contents, with_others, reader, rows)
    ctx = tree.ctx
    check_needed(tree)
    check_packs(tree, files)
    check_references(tree)
    materials_faulty = ctx.report.has_errors_under("materials/")
    none_share = tree.observer.number("none_of_these", 0.02) if tree.observer is not None else 0.02
    fillers = build_fillers(tree)
    materials = build_materials(tree)
    compounds = build_compounds(tree, materials, fillers, none_share)
    selectors = Selectors(compounds[:-1], whole=not materials_faulty)
    cues = build_cues(tree, selectors, compounds)
    parts = build_parts(tree, selectors, compounds)
    cells = build_cells(tree)
    losses = build_losses(tree, cells)
    observer, how_sure = build_observer(tree), build_how_sure(tree)
    names = names_of(tree)
    rules = read_rules(tree, names, selectors)
    check_dependencies(rules, names, ctx)
    repairs = build_repairs(tree, names, selectors, compounds)
    model = None
    if not ctx.report.has_errors and losses is not None and observer is not None:
        model = Model(
            key=key,
            materials=materials,
            fillers=fillers,
            compounds=compounds,
            cues=cues,
            parts=parts,
            cells=cells,
            losses=losses,
            cautions=build_cautions(tree),
            rules=tuple(one.rule for one in rules if one.rule is not None),
            against={one.rule: one for rule in rules for c in rule.concluded if (one := c.against) is not None},
            facts=build_facts(tree),
            observer=observer,
            how_sure=how_sure,
            sources={name: text for name, (text, _, _) in tree.sources.items()},
            repair=packed(repairs.book),
        )
    return Compiled(model, tree, rules, names, selectors, repairs)
