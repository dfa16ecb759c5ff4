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
from .steps import Steps, noted
from .tree import Tree, grow, settle

noted(Model)  # here, as the model itself must load fast


@noted
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
    steps: Steps | None = None,
) -> Compiled:
    """Read, check, resolve and compile; problems are in `tree.ctx.report`.

    `contents` are the bytes of the files; one that is missing there is opened, to say what is wrong with it.
    `reader` and `rows` are handed to `tree.grow`; `steps` are those of the last time.
    """
    files, steps = tuple(files), steps or Steps()
    tree = grow(files, contents, with_others, reader, rows)
    settle(tree, steps)
    ctx, report, run = tree.ctx, tree.ctx.report, steps.run
    check_needed(tree)
    check_packs(tree, files)
    check_references(tree, steps)
    materials_faulty = report.has_errors_under("materials/")
    none_share = tree.observer.number("none_of_these", 0.02) if tree.observer is not None else 0.02
    fillers = run("build fillers", build_fillers, report, tree)
    materials = run("build materials", build_materials, report, tree)
    compounds = run("build compounds", build_compounds, report, tree, materials, fillers, none_share)
    compounds = steps.settled("compounds", compounds, compounds)
    selectors = Selectors(compounds[:-1], whole=not materials_faulty)
    selectors = steps.settled("selectors", selectors, selectors.says())
    cues = build_cues(tree, selectors, tuple((one.id, one.prior) for one in compounds), steps)
    cues = steps.settled("built cues", cues, list(cues.items()))
    parts = run("build parts", build_parts, report, tree, selectors, len(compounds))
    cells = run("build cells", build_cells, report, tree)
    losses = run("build losses", build_losses, report, tree, cells)
    observer, how_sure = build_observer(tree), build_how_sure(tree)
    names = run("names", names_of, report, tree)
    names = steps.settled("names", names, names.says())
    rules = read_rules(tree, names, selectors, steps)
    rules = steps.settled("read rules", rules, rules)
    run("dependencies", check_dependencies, report, rules, names, ctx)
    repairs = run("repairs", build_repairs, report, tree, names, selectors, len(compounds))
    model = None
    if not report.has_errors and losses is not None and observer is not None:
        model = Model(
            key=key,
            materials=materials,
            fillers=fillers,
            compounds=compounds,
            cues=cues,
            parts=parts,
            cells=cells,
            losses=losses,
            cautions=run("build cautions", build_cautions, report, tree),
            rules=tuple(one.rule for one in rules if one.rule is not None),
            against={one.rule: one for rule in rules for c in rule.concluded if (one := c.against) is not None},
            facts=build_facts(tree),
            observer=observer,
            how_sure=how_sure,
            sources={name: text for name, (text, _, _) in tree.sources.items()},
            repair=run("packed book", packed, report, repairs.book),
        )
    return Compiled(model, tree, rules, names, selectors, repairs)
