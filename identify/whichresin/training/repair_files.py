"""Looks at the files of repair/ that are read apart from the model: shape, sources, and the names they use."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.layers import SourceFile
from whichresin.knowledge.model import Model
from whichresin.knowledge.paths import shown_path
from whichresin.knowledge.positions import Reading, read
from whichresin.knowledge.problems import Problem, Report, did_you_mean
from whichresin.knowledge.schema import Context, Record, Row, scalars
from whichresin.knowledge.steps import Steps
from whichresin.repair.failure import FAILURES, BadFailures, load_failures
from whichresin.repair.figures import FIGURES, BadFigures, load_figures
from whichresin.repair.product_rules import PRODUCT_RULES, BadProductRules, load_product_rules
from whichresin.repair.shelf import PRODUCT, TIME_KEYS
from whichresin.vocabulary.text import shown

from .chart import CHART, BadChart, read_chart

_NO_SOURCE_READ = ("common practice", "from memory")
_LOADERS: dict[str, tuple[Record, Callable[[str, Reading], object]]] = {
    "figures.yaml": (FIGURES, load_figures),
    "products.yaml": (PRODUCT_RULES, load_product_rules),
    "failures.yaml": (FAILURES, load_failures),
    "chart.yaml": (CHART, read_chart),
}


def look_at_repair_files(
    compiled: Compiled,
    files: Iterable[SourceFile],
    contents: Mapping[str, bytes],
    reader: Callable[[bytes, str], Reading],
    steps: Steps,
) -> None:
    """Put what is wrong with figures, products, failures and the chart of every layer into the report of the knowledge.

    `contents` are the bytes of the files, by path, and `reader` reads them.
    """
    for file in files:
        folder, _, name = file.inside.rpartition("/")
        if name not in _LOADERS or folder != "repair":
            continue
        shown_as, data = shown_path(file.path), contents.get(file.path)
        found = read(file.path, shown_as) if data is None else reader(data, shown_as)
        steps.run(("repair file", file.path), _look_at, compiled.tree.ctx.report, name, file.path, found, compiled)


def _look_at(name: str, path: str, found: Reading, compiled: Compiled) -> None:
    report = compiled.tree.ctx.report
    row, problems = _row_of(name, path, found)
    report.extend(problems)
    if row is not None:
        report.extend(_sources(row, (*_NO_SOURCE_READ, *compiled.tree.sources)))
        if compiled.model is not None:
            report.extend(_names(name, row, compiled.model))


def _row_of(name: str, path: str, found: Reading) -> tuple[Row | None, tuple[Problem, ...]]:
    """The file as a row, or what its own reader refuses."""
    form, load = _LOADERS[name]
    try:
        load(path, found)
    except (BadFigures, BadProductRules, BadFailures, BadChart) as error:
        return None, tuple(error.problems)
    return form.read(found.root, Context(Report())), ()  # type: ignore[arg-type]


def _sources(row: Row, known: tuple[str, ...]) -> Iterator[Problem]:
    """Sources that are not in shared/sources.yaml."""
    for key in ("source", "not_reckoned_source"):
        node = row.raw(key)
        for scalar in scalars(node) if node is not None else ():
            if scalar.text not in known:
                sentence = f"source {shown(scalar.text)} is not in shared/sources.yaml"
                hint = did_you_mean(scalar.text, known)
                yield Problem(scalar.file, scalar.line, scalar.column, "error", "unknown-source", sentence, hint)
    for value in row.values.values():
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, Row):
                yield from _sources(one, known)


def _names(name: str, row: Row, model: Model) -> Iterator[Problem]:
    """Cautions, cues, answers, kinds and times that do not exist."""
    if name == "failures.yaml":
        for pattern in row.rows("patterns"):
            evidence = pattern.row("evidence")
            if evidence is None:
                continue
            cue = model.cues.get(evidence.text("cue"))
            values = tuple(value.id for value in cue.values) if cue is not None else ()
            yield from _missing(evidence, "cue", "cue", (evidence.text("cue"),), tuple(model.cues))
            if cue is not None:
                yield from _missing(evidence, "value", f"answer to {cue.id}", (evidence.text("value"),), values)
    elif name == "chart.yaml":
        for step in row.rows("order"):
            yield from _missing(step, "cue", "cue", (step.text("cue"),), tuple(model.cues))
    elif name == "products.yaml":
        kinds = tuple(kind.text("id") for kind in row.rows("kinds"))
        times = tuple(TIME_KEYS.values())
        for kind in row.rows("kinds"):
            yield from _missing(kind, "needs", "key of a product", kind.words("needs"), tuple(PRODUCT.fields))
            yield from _missing(kind, "times", "time", kind.words("times"), times)
        for content in row.rows("contents"):
            yield from _missing(content, "cautions", "caution", content.words("cautions"), tuple(model.cautions))
        clocks = tuple(clock.text("id") for clock in row.rows("clocks"))
        for clock in row.rows("clocks"):
            yield from _missing(clock, "products", "kind of product", clock.words("products"), kinds)
            yield from _missing(clock, "times", "time", clock.words("times"), times)
            for key in ("starts", "ends"):
                if key in clock:
                    yield from _missing(clock, key, "clock", (clock.text(key),), clocks)


def _missing(row: Row, key: str, what: str, names: Iterable[str], known: tuple[str, ...]) -> Iterator[Problem]:
    node = row.at(key)
    for one in names:
        if one not in known:
            hint = did_you_mean(one, known)
            sentence = f"there is no {what} {shown(one)}"
            yield Problem(node.file, node.line, node.column, "error", "no-such-reference", sentence, hint)
