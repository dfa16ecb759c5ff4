"""The test liquids of knowledge/liquids/, read into the formulas of `physics`, and what a bench adds to a weighing.

Read apart from the `Model`: only the commands that make liquids or weigh pay for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import pairwise
from pathlib import Path

from whichresin.physics import solutions
from whichresin.physics.liquids import Density, Liquid

from . import paths
from .forms import SOURCE
from .positions import Node, Scalar, Sequence, read
from .problems import Problem, Report
from .schema import Context, Ident, Many, MapOf, Number, Piece, Record, Row, Text, Word, optional, required

HAZARDS = ("none", "low", "medium", "high")
FORMULAS = ("apparent_volume", "alcoholometric", "contraction", "tabulated")
_NUMBERS = Many(Number())
_POINTS = Many(Many(Number()))
_LONG = Text(900, lines=True)
LIQUID = Record(
    "a liquid",
    required(
        {
            "id": Ident(),
            "name": Text(60),
            "solute": Text(60),
            "order": Number(1, 99, whole=True),
            "minutes": Number(0, 240),
            "hazard": Word("hazards", HAZARDS),
            "formula": Word("formulas", FORMULAS),
            "percent_high": Number(1, 99),
            "celsius": Record("a range", required({"low": Number(0.5, 39), "high": Number(1, 39.5)})),
            "model_g_cm3": Number(0, 0.1),
            "strength_percent": Number(1, 100),
            "strength_uncertainty_percent": Number(0, 20),
            "handling_g_cm3": Number(0, 0.1),
            "cautions": Many(Ident()),
            "advice": _LONG,
            "source": SOURCE,
        }
    )
    | optional(
        {
            "coefficients": _NUMBERS,
            "shrinks": _NUMBERS,
            "of_water": _NUMBERS,
            "crossed": _POINTS,
            "at_20": _POINTS,
            "per_degree": _POINTS,
            "per_degree_g_cm3": Number(0, 0.01),
            "note": _LONG,
        }
    ),
)
WARNING = Record(
    "a warning",
    required({"id": Ident(), "text": _LONG, "source": SOURCE})
    | optional({"for": Many(Text(40)), "for_filler": Many(Text(10))}),
)
_ALLOWANCES = (
    "bubble_mm3",
    "thread_g",
    "tap_water_g_cm3",
    "celsius_uncertainty",
    "volume_reading_share",
    "named_liquid_g_cm3",
    "enough_g_cm3",
)
_ALLOWANCE_FIELDS: dict[str, Piece] = {name: Number(0, 10) for name in _ALLOWANCES}
BENCH = Record(
    "bench.yaml", required(_ALLOWANCE_FIELDS) | required({"source": SOURCE, "warnings": Many(WARNING, at_least=1)})
)
SOURCES = Record("sources.yaml", required({"sources": MapOf(_LONG)}))
TENSION = Record("a tension", required({"low": Number(5, 100), "high": Number(5, 100)}))
SPREADING = Record(
    "a liquid that is put on",
    required({"id": Ident(), "name": Text(60), "source": SOURCE, "low": Number(5, 100), "high": Number(5, 100)})
    | optional({"short": Text(40), "for": Many(Ident(), single=True)}),
)
PREPARED = Record(
    "a prepared surface",
    required({"id": Ident(), "text": Text(120), "source": SOURCE})
    | optional({"carries": TENSION, "told": Text(80), "on": Many(Ident(), single=True)}),
)
TOLD_WETTING = Record(
    "what a cue says of the surface",
    required({"cue": Ident(), "value": Ident(), "text": Text(120), "carries": TENSION, "source": SOURCE}),
)
WETTING = Record(
    "wetting.yaml",
    required(
        {
            "reserve_mn_m": Number(0, 30),
            "papers_differ_mn_m": Number(0, 20),
            "source": SOURCE,
            "liquids": Many(SPREADING, at_least=1),
            "prepared": Many(PREPARED, at_least=1),
            "means": Record("meanings", required({"none": _LONG, "some": _LONG, "all": _LONG})),
            "told": Many(TOLD_WETTING),
            "told_means": Record("meanings", required({"below": _LONG, "within": _LONG, "above": _LONG})),
        }
    ),
)
# Formula -> how many numbers each of its keys holds; 0 is any number.
_SHAPES: dict[str, dict[str, int]] = {
    "apparent_volume": {"coefficients": 5},
    "alcoholometric": {"coefficients": 0, "of_water": 0, "crossed": 0},
    "contraction": {"coefficients": 2, "shrinks": 5},
    "tabulated": {"at_20": 0, "per_degree": 0},
}


@dataclass(frozen=True, slots=True)
class BenchWarning:
    """Something to watch for; `text` has gaps for numbers. `materials`, `fillers`: only when one is likely."""

    id: str
    text: str
    materials: tuple[str, ...]
    fillers: tuple[str, ...]
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spreading:
    """A liquid that is put on a surface: between which tensions it lies, mN/m; `processes` are those that use it."""

    id: str
    name: str
    low: float
    high: float
    source: tuple[str, ...]
    short: str = ""
    processes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Prepared:
    """A state of a surface; `carries` (low, high in mN/m) where it replaces what the clean plastic carries.

    `told`: its name in a plan, "" where plans do not speak of it. `cells`: only for these repair cells.
    """

    id: str
    text: str
    carries: tuple[float, float] | None
    source: tuple[str, ...]
    told: str = ""
    cells: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ToldWetting:
    """What the answer to a cue says of the bare surface: it carries between `low` and `high`, mN/m."""

    cue: str
    value: str
    text: str
    low: float
    high: float
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WettingTable:
    """What is put on plastics and what their preparation leaves; tensions in mN/m."""

    reserve_mn_m: float  # what a surface should be above the liquid
    papers_differ_mn_m: float  # standard uncertainty of a published surface energy
    liquids: Mapping[str, Spreading]
    prepared: Mapping[str, Prepared]
    means: Mapping[str, str]  # none | some | all of the liquids spread on the abraded plastic -> what it means
    told: tuple[ToldWetting, ...]
    told_means: Mapping[str, str]  # below | within | above what the plastic carries -> what it means
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class LiquidShelf:
    """The liquids by id, the one to try first in front; the bench's allowances by name; the warnings by id."""

    liquids: Mapping[str, Liquid]
    allowances: Mapping[str, float]
    warnings: Mapping[str, BenchWarning]
    sources: Mapping[str, str]
    wetting: WettingTable


class BadLiquids(Exception):
    """The folder of liquids cannot be used; `problems` says where and why."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(str(problems[0]) if problems else "the liquids cannot be read")
        self.problems = problems


def load_liquids(folder: str | None = None) -> LiquidShelf:
    """The liquids of a folder (default: the shipped one). Raises BadLiquids with every problem found."""
    place = Path(folder or Path(paths.shipped().knowledge) / "liquids")
    report = Report()
    ctx = Context(report)
    try:
        files = sorted(path for path in place.iterdir() if path.suffix == ".yaml")
    except OSError as error:
        sentence = f"the folder cannot be read: {error.strerror}"
        raise BadLiquids((Problem(str(place), 0, 0, "error", "no-such-file", sentence),)) from None
    rows = {path.name: _row(path, _form(path.name), ctx) for path in files}
    bench, listed, wetting = (rows.pop(name, None) for name in ("bench.yaml", "sources.yaml", "wetting.yaml"))
    kept = sorted((row for row in rows.values() if row is not None), key=lambda row: row.number("order"))
    liquids = [liquid for row in kept if (liquid := _liquid(row, ctx)) is not None]
    if bench is None or wetting is None or report.has_errors:
        name = "bench.yaml" if bench is None else "wetting.yaml"
        missing = Problem(str(place), 0, 0, "error", "no-such-file", f"{name} is missing from the liquids")
        raise BadLiquids(report.sorted() or (missing,))
    return LiquidShelf(
        {liquid.id: liquid for liquid in liquids},
        {name: bench.number(name) for name in _ALLOWANCES},
        {row.text("id"): _warning(row) for row in bench.rows("warnings")},
        listed.texts("sources") if listed is not None else {},
        _wetting(wetting),
    )


def _wetting(row: Row) -> WettingTable:
    liquids = [
        Spreading(
            one.text("id"),
            one.text("name"),
            *_ends(one),
            one.words("source"),
            one.text("short") or one.text("name"),
            one.words("for"),
        )
        for one in row.rows("liquids")
    ]
    states = []
    for one in row.rows("prepared"):
        carries = one.row("carries")
        ends = _ends(carries) if carries is not None else None
        states.append(
            Prepared(
                one.text("id"), one.text("text"), ends, one.words("source"), one.text("told"), one.words("on")
            )
        )
    told = [
        ToldWetting(one.text("cue"), one.text("value"), one.text("text"), *_ends(carries), one.words("source"))
        for one in row.rows("told")
        if (carries := one.row("carries")) is not None
    ]
    return WettingTable(
        row.number("reserve_mn_m"),
        row.number("papers_differ_mn_m"),
        {one.id: one for one in liquids},
        {one.id: one for one in states},
        _meanings(row, "means"),
        tuple(told),
        _meanings(row, "told_means"),
        row.words("source"),
    )


def _meanings(row: Row, key: str) -> Mapping[str, str]:
    found = row.row(key)
    return {name: " ".join(found.text(name).split()) for name in found.values} if found is not None else {}


def _ends(row: Row) -> tuple[float, float]:
    return row.number("low"), row.number("high")


@lru_cache(maxsize=1)
def shipped_shelf() -> LiquidShelf:
    """The shipped liquids, read once. Raises BadLiquids."""
    return load_liquids()


def _form(name: str) -> Record:
    return {"bench.yaml": BENCH, "sources.yaml": SOURCES, "wetting.yaml": WETTING}.get(name, LIQUID)


def _row(path: Path, form: Record, ctx: Context) -> Row | None:
    found = read(path, paths.shown_path(str(path)))
    ctx.report.extend(found.problems)
    return form.read(found.root, ctx) if found.root is not None else None


def _warning(row: Row) -> BenchWarning:
    text = " ".join(row.text("text").split())
    return BenchWarning(row.text("id"), text, row.words("for"), row.words("for_filler"), row.words("source"))


def _liquid(row: Row, ctx: Context) -> Liquid | None:
    density = _density(row, ctx)
    limits = row.row("celsius")
    if density is None or limits is None:
        return None
    return Liquid(
        row.text("id"),
        row.text("name"),
        density,
        row.number("percent_high") / 100.0,
        limits.number("low"),
        limits.number("high"),
        row.number("model_g_cm3"),
        row.number("per_degree_g_cm3"),
        row.number("strength_percent") / 100.0,
        row.number("strength_uncertainty_percent") / 100.0,
        row.number("handling_g_cm3"),
        row.number("minutes"),
        row.text("hazard"),
        row.words("cautions"),
        " ".join(row.text("advice").split()),
        row.words("source"),
    )


def _density(row: Row, ctx: Context) -> Density | None:
    """The formula with its coefficients filled in; None when they are missing or of the wrong number."""
    formula = row.text("formula")
    for key, count in _SHAPES.get(formula, {}).items():
        found = row.values.get(key)
        if not isinstance(found, tuple) or not found or (count and len(found) != count):
            wanted = f"{count} numbers" if count else "numbers"
            ctx.error(row.at(key), "bad-coefficients", f"formula {formula} wants {wanted} under {key}")
            return None
    if formula == "apparent_volume":
        return partial(solutions.apparent_volume, coefficients=_floats(row.at("coefficients")))
    if formula == "contraction":
        return partial(
            solutions.contraction, solute=_floats(row.at("coefficients")), shrinks=_floats(row.at("shrinks"))
        )
    if formula == "alcoholometric":
        return partial(
            solutions.alcoholometric,
            at_20=_floats(row.at("coefficients")),
            of_water=_floats(row.at("of_water")),
            crossed=_lists(row.at("crossed")),
        )
    at_20, per_degree = _points(row, "at_20", ctx), _points(row, "per_degree", ctx)
    if at_20 is None or per_degree is None:
        return None
    return partial(solutions.tabulated, at_20=at_20, per_degree=per_degree)


def _points(row: Row, key: str, ctx: Context) -> tuple[tuple[float, float], ...] | None:
    """Pairs of (percent, value) as (fraction, value). The first column rises, above 0 and up to percent_high."""
    pairs = _lists(row.at(key))
    rising = all(a[0] < b[0] for a, b in pairwise(pairs))
    whole = all(len(pair) == 2 for pair in pairs)
    if not whole or not rising or pairs[0][0] <= 0.0 or pairs[-1][0] < row.number("percent_high"):
        ctx.error(row.at(key), "bad-table", f"{key} wants pairs [percent, value], rising from above 0 to percent_high")
        return None
    return tuple((pair[0] / 100.0, pair[1]) for pair in pairs)


def _floats(node: Node) -> tuple[float, ...]:
    items = node.items if isinstance(node, Sequence) else ()
    return tuple(float(item.text) for item in items if isinstance(item, Scalar))


def _lists(node: Node) -> tuple[tuple[float, ...], ...]:
    return tuple(_floats(item) for item in node.items) if isinstance(node, Sequence) else ()
