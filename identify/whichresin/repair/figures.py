"""The figures of knowledge/repair/figures.yaml: what quantities and times are reckoned with, by id."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from whichresin.knowledge import paths
from whichresin.knowledge.forms import SOURCE
from whichresin.knowledge.positions import Reading, read
from whichresin.knowledge.problems import Problem, Report
from whichresin.knowledge.schema import Context, Ident, Many, Number, Record, Row, Text, Word, optional, required

from .bands import Band
from .files import repair_file

FIGURE = Record(
    "a figure",
    required(
        {
            "id": Ident(),
            "kind": Word("figure kinds", ("choice", "spread")),
            "low": Number(0, 1e5),
            "usual": Number(0, 1e5),
            "high": Number(0, 1e5),
            "means": Text(120, lines=True),
            "source": SOURCE,
        }
    )
    | optional({"note": Text(300, lines=True)}),
)
FIGURES = Record(
    "figures.yaml",
    required({"figures": Many(FIGURE, at_least=1)})
    | required({"not_reckoned": Text(600, lines=True), "not_reckoned_source": SOURCE})
    | optional({"about": Text(900, lines=True)}),
)
# What quantities, sizes and times reckon with; `tests/training/test_repair_files.py` holds it to their code.
NEEDED = (
    "antoine_a", "antoine_b", "antoine_c", "cartridge_ml", "cleaner_g_ml", "cleaner_g_mol", "cleaner_lel_percent",
    "cleaner_ml", "dish_share", "factor_per_10_k", "groove_depth_share", "groove_width_mm", "hold_up_ml", "margin_mm",
    "mesh_inside_mm", "mesh_overlap_mm", "mesh_waste", "patch_mm", "purge_ml", "rim_factor", "rod_mm", "rod_waste",
    "rule_celsius", "scarf_boat", "scarf_panel", "spreading_cm2_min", "tape_spacing_mm", "waste_factor",
    "weld_angle_degrees", "work_time_share",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure. `choice`: set by the person, `band.usual` unless said otherwise; else a spread nobody sets."""

    id: str
    choice: bool
    band: Band
    means: str
    note: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Figures:
    """All figures by id, and the sentence on what no shop can reckon."""

    rows: Mapping[str, Figure]
    not_reckoned: str
    not_reckoned_source: tuple[str, ...]

    def band(self, name: str) -> Band:
        """The band of a figure; KeyError for a name that the file lacks."""
        return self.rows[name].band

    def sources(self, *names: str) -> tuple[str, ...]:
        """The sources of several figures, each once."""
        return tuple(dict.fromkeys(source for name in names for source in self.rows[name].source))


class BadFigures(Exception):
    """The figures cannot be used; the message is the first problem, `problems` all of them."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(str(problems[0]))
        self.problems = problems


def load_figures(path: str | None = None, reading: Reading | None = None) -> Figures:
    """Read the figures (default: the shipped file; `reading`: what it holds, where that was read before).

    Raises BadFigures with every problem found.
    """
    place = path or repair_file("figures.yaml")
    report = Report()
    ctx = Context(report)
    found = read(place, paths.shown_path(place)) if reading is None else reading
    report.extend(found.problems)
    row = FIGURES.read(found.root, ctx) if found.root is not None else None
    figures = [_figure(one, ctx) for one in row.rows("figures")] if row is not None else []
    if row is None or report.has_errors:
        raise BadFigures(report.sorted())
    kept = {one.id: one for one in figures if one is not None}
    for name in NEEDED:
        if name not in kept:
            ctx.error(row.at("figures"), "missing-key", f"figures.yaml without {name}; quantities are reckoned with it")
    if report.has_errors:
        raise BadFigures(report.sorted())
    text = " ".join(row.text("not_reckoned").split())
    return Figures(kept, text, row.words("not_reckoned_source"))


def _figure(row: Row, ctx: Context) -> Figure | None:
    low, usual, high = (row.number(key) for key in ("low", "usual", "high"))
    if not low <= usual <= high:
        ctx.error(row.at("usual"), "bad-range", f"{row.text('id')} runs {low:g}, {usual:g}, {high:g}; it must rise")
        return None
    return Figure(
        row.text("id"),
        row.text("kind") == "choice",
        Band(low, usual, high),
        " ".join(row.text("means").split()),
        " ".join(row.text("note").split()),
        row.words("source"),
    )
