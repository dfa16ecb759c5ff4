"""The products on the shop's shelf: one YAML file each, read with positions; every fault found, none guessed round.

A file repeats the product's own sheet. Which keys there are, and which a kind must have, is in `PRODUCT` and in
knowledge/repair/products.yaml; substrates are named by the words of the knowledge: a class, a repair cell, a family,
a material, a kind of filler, or `any`.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from whichresin.knowledge.forms import NAMES
from whichresin.knowledge.model import Model
from whichresin.knowledge.paths import shown_path
from whichresin.knowledge.positions import Node, read
from whichresin.knowledge.problems import Problem, Report, did_you_mean
from whichresin.knowledge.schema import (
    Context,
    Ident,
    Many,
    Number,
    Record,
    Row,
    Text,
    Word,
    YesNo,
    optional,
    required,
    scalars,
)
from whichresin.vocabulary.text import shown

from .product_rules import ProductRules

_MINUTES = Number(0.05, 100_000)
_CELSIUS = Number(-40, 120)
_ML = Number(0.1, 20_000)
_BETWEEN = Record("a range", required({"low": _CELSIUS, "high": _CELSIUS}))
_DATE = re.compile(r"(\d{4})-(\d{2})(?:-(\d{2}))?\Z")
_RATIO = re.compile(r"\d+(\.\d+)?(:\d+(\.\d+)?)+\Z")
# Key of a file -> id of the time it holds.
TIME_KEYS = {
    "flash_off_minutes": "flash_off",
    "window_minutes": "promoter_window",
    "work_minutes": "work",
    "handling_minutes": "handling",
    "sand_minutes": "sand",
    "cure_minutes": "cure",
    "cool_minutes": "cool",
}
PRODUCT = Record(
    "a product",
    required(
        {
            "id": Ident(),
            "name": Text(60),
            "kind": Ident(),
            "contents": Ident(),
            "suits": Many(Text(40), at_least=1, says="a list such as [polyolefin, PA6], or [any]"),
            "sheet": Text(120),
        }
    )
    | optional(
        {
            "not_for": Many(Text(40)),
            "needs_promoter": Many(Text(40)),
            "stiffness": Word("stiffness", ("flexible", "semi_rigid", "rigid")),
            "ratio": Text(20),
            "cartridge_ml": _ML,
            "hold_up_ml": _ML,
            "purge_ml": _ML,
            "spreading_cm2_min": Number(1, 1000),
            "at_celsius": _CELSIUS,
            **dict.fromkeys(TIME_KEYS, _MINUTES),
            "use_celsius": _BETWEEN,
            "store_celsius": _BETWEEN,
            "rod_mm": Number(1, 12),
            "lot": Text(40),
            "expires": Text(10),
            "cautions": NAMES,
            "invented": YesNo(),
            "note": Text(400, lines=True),
        }
    ),
)


@dataclass(frozen=True, slots=True)
class Product:
    """A product as its file tells it. Temperatures in C, times in minutes by id, volumes in mL; None: not said.

    `suits`, `not_for`, `needs_promoter`: indices of the compounds that each word means, by the word as a
    person would say it.
    """

    id: str
    name: str
    kind: str
    contents: str
    suits: Mapping[str, frozenset[int]]
    not_for: Mapping[str, frozenset[int]]
    needs_promoter: Mapping[str, frozenset[int]]
    sheet: str
    stiffness: str
    ratio: str
    cartridge_ml: float | None
    hold_up_ml: float | None
    purge_ml: float | None
    spreading_cm2_min: float | None
    at_celsius: float | None
    minutes: Mapping[str, float]
    use_celsius: tuple[float, float] | None
    store_celsius: tuple[float, float] | None
    rod_mm: float | None
    lot: str
    expires: date | None
    cautions: tuple[str, ...]  # its own and those of its contents
    invented: bool
    file: str


@dataclass(frozen=True, slots=True)
class Shelf:
    """The products that could be read, by id, and everything that was found."""

    products: Mapping[str, Product]
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that made a product unusable."""
        return tuple(problem for problem in self.problems if problem.level == "error")


def read_shelf(places: Iterable[str], model: Model, rules: ProductRules) -> Shelf:
    """Read product files, or all .yaml files of folders. Never raises for what files hold."""
    report = Report()
    ctx = Context(report)
    kept: dict[str, Product] = {}
    for path in _files(places, report):
        before = report.errors_so_far()
        found = read(path, shown_path(str(path)))
        report.extend(found.problems)
        row = PRODUCT.read(found.root, ctx, "the file") if found.root is not None else None
        product = _product(row, ctx, model, rules) if row is not None else None
        if product is None or row is None or report.errors_so_far() > before:
            continue
        if product.id in kept:
            there = kept[product.id].file
            ctx.error(row.at("id"), "duplicate-id", f"id {shown(product.id)} is already used in {there}")
        else:
            kept[product.id] = product
    return Shelf(kept, report.sorted())


def _files(places: Iterable[str], report: Report) -> list[Path]:
    found: list[Path] = []
    for place in places:
        path = Path(place)
        if not path.is_dir():
            found.append(path)
            continue
        try:
            files = sorted(one for one in path.iterdir() if one.suffix in (".yaml", ".yml"))
        except OSError as error:
            sentence = f"the folder cannot be read: {error.strerror}"
            report.add("error", "no-such-file", shown_path(place), 0, 0, sentence)
            continue
        if not files:
            report.add("error", "no-such-file", shown_path(place), 0, 0, "the folder holds no .yaml file of a product")
        found += files
    return found


def _product(row: Row, ctx: Context, model: Model, rules: ProductRules) -> Product | None:
    kind = rules.kinds.get(row.text("kind"))
    if kind is None:
        _unknown(row.at("kind"), ctx, "kind of product", row.text("kind"), rules.kinds)
        return None
    if row.text("contents") not in rules.cautions:
        _unknown(row.at("contents"), ctx, "content", row.text("contents"), rules.cautions)
    for key in kind.needs:
        if key not in row:
            ctx.error(row.node, "missing-key", f"a product of kind {kind.id} without {key}; its sheet gives it")
    timed = [key for key in TIME_KEYS if key in row]
    if timed and "at_celsius" not in row and any(TIME_KEYS[key] != "cool" for key in timed):
        ctx.error(
            row.at(timed[0]), "missing-key", "times without at_celsius; say at which temperature the sheet gives them"
        )
    if "ratio" in row and not _RATIO.match(row.text("ratio")):
        ctx.error(
            row.at("ratio"), "bad-ratio", f"ratio is {shown(row.text('ratio'))}; expected parts such as 1:1 or 10:1"
        )
    for caution in row.words("cautions"):
        if caution not in model.cautions:
            _unknown(row.at("cautions"), ctx, "caution", caution, model.cautions)
    own = (*rules.cautions.get(row.text("contents"), ()), *row.words("cautions"))
    return Product(
        row.text("id"),
        row.text("name"),
        kind.id,
        row.text("contents"),
        _substrates(row, "suits", ctx, model),
        _substrates(row, "not_for", ctx, model),
        _substrates(row, "needs_promoter", ctx, model),
        row.text("sheet"),
        row.text("stiffness"),
        row.text("ratio"),
        _figure(row, "cartridge_ml"),
        _figure(row, "hold_up_ml"),
        _figure(row, "purge_ml"),
        _figure(row, "spreading_cm2_min"),
        _figure(row, "at_celsius"),
        {TIME_KEYS[key]: row.number(key) for key in timed},
        _range(row, "use_celsius", ctx),
        _range(row, "store_celsius", ctx),
        _figure(row, "rod_mm"),
        row.text("lot"),
        _expiry(row, ctx),
        tuple(dict.fromkeys(own)),
        row.flag("invented"),
        row.node.file,
    )


def _figure(row: Row, key: str) -> float | None:
    return row.number(key) if key in row.values else None


def _range(row: Row, key: str, ctx: Context) -> tuple[float, float] | None:
    between = row.row(key)
    if between is None:
        return None
    low, high = between.number("low"), between.number("high")
    if low >= high:
        ctx.error(row.at(key), "bad-range", f"{key} runs from {low:g} to {high:g}; low must be below high")
    return low, high


def _expiry(row: Row, ctx: Context) -> date | None:
    """The last day on which it may be used; a month alone means its last day."""
    text = row.text("expires")
    if not text:
        return None
    match = _DATE.match(text)
    try:
        if match is not None:
            year, month = int(match[1]), int(match[2])
            return date(year, month, int(match[3]) if match[3] else calendar.monthrange(year, month)[1])
    except ValueError:
        pass
    ctx.error(row.at("expires"), "bad-date", f"expires is {shown(text)}; expected a date such as 2027-03-31 or 2027-03")
    return None


def _substrates(row: Row, key: str, ctx: Context, model: Model) -> dict[str, frozenset[int]]:
    found = {}
    node: Node = row.at(key)
    for scalar in scalars(node) if key in row else ():
        meant = compounds_meant(scalar.text, model)
        if meant:
            found[_said(scalar.text, model)] = meant
        else:
            known = {word for one in model.compounds for word in _words_of(one)} | {"any"}
            sentence = (
                f"{key} names {shown(scalar.text)}, which is no class, repair cell, family, material or kind of filler"
            )
            ctx.error(scalar, "no-such-reference", sentence, did_you_mean(scalar.text, sorted(known)))
    return found


def _said(word: str, model: Model) -> str:
    """The word as a person would say it: a repair cell by its name, a filler as what is in the plastic."""
    if word in model.cells:
        return model.cells[word].name
    if any(word == one.filler_kind for one in model.compounds):
        return f"plastic with {word} in it"
    return "any plastic" if word == "any" else word


def compounds_meant(word: str, model: Model) -> frozenset[int]:
    """Indices of the compounds that a word means; empty for a word that means none. `any` leaves none-of-these out."""
    last = len(model.compounds) - 1  # 'none of these' is no substrate
    return frozenset(
        i for i, one in enumerate(model.compounds) if i < last and (word == "any" or word in _words_of(one))
    )


def _words_of(compound: object) -> tuple[str, ...]:
    fields = ("klass", "cell", "family", "material", "filler_kind")
    return tuple(str(getattr(compound, name)) for name in fields if getattr(compound, name) not in ("", "none"))


def _unknown(node: Node, ctx: Context, what: str, found: str, known: Iterable[str]) -> None:
    from whichresin.vocabulary.words import listed

    sentence = f"there is no {what} {shown(found)}; expected one of {listed(known, 12)}"
    ctx.error(node, "unknown-word", sentence, did_you_mean(found, list(known)))
