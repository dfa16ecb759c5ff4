"""What knowledge/repair/products.yaml says of products: kinds, contents with their cautions, thresholds of belief."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from whichresin.knowledge import paths
from whichresin.knowledge.forms import SOURCE
from whichresin.knowledge.positions import Reading, read
from whichresin.knowledge.problems import Problem, Report
from whichresin.knowledge.schema import (
    Context,
    Ident,
    Many,
    MapOf,
    Number,
    Record,
    Row,
    Text,
    Word,
    YesNo,
    optional,
    required,
)

from .files import repair_file

_KIND = Record(
    "a kind of product",
    required({"id": Ident(), "means": Text(80), "needs": Many(Ident()), "times": Many(Ident()), "source": SOURCE})
    | optional({"strict": YesNo()}),
)
_CONTENT = Record(
    "a content",
    required({"id": Ident(), "means": Text(80), "cautions": Many(Ident()), "source": SOURCE})
    | optional({"isopropanol": YesNo()}),
)
_CLOCK = Record(
    "a clock",
    required({"id": Ident(), "name": Text(60), "kind": Word("clock kinds", ("wait", "limit"))})
    | required({"products": Many(Ident()), "times": Many(Ident())})
    | optional({"starts": Ident(), "ends": Ident()}),
)
_SHARE = Number(0, 1)
PRODUCT_RULES = Record(
    "products.yaml",
    required({"kinds": Many(_KIND, at_least=1), "contents": Many(_CONTENT, at_least=1), "source": SOURCE})
    | required({"uses": MapOf(Many(Ident())), "clocks": Many(_CLOCK, at_least=1)})
    | required({"refuse_from": _SHARE, "suits_from": _SHARE, "strict_from": _SHARE})
    | optional({"about": Text(900, lines=True)}),
)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of product: keys that its file must have, times that it may carry. `strict`: near enough is refused."""

    id: str
    means: str
    needs: tuple[str, ...]
    times: tuple[str, ...]
    strict: bool


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock of the bench. `kind` wait: not before; limit: not after. `starts` and `ends` name other clocks."""

    id: str
    name: str
    kind: str
    products: tuple[str, ...]  # kinds of product that set it
    times: tuple[str, ...]  # which of their times, the first that is given
    starts: str
    ends: str


@dataclass(frozen=True, slots=True)
class ProductRules:
    """Kinds by id, cautions by content, and from which belief a product's own word counts."""

    kinds: Mapping[str, Kind]
    cautions: Mapping[str, tuple[str, ...]]
    isopropanol: frozenset[str]  # contents whose vapour is reckoned as that of isopropanol
    uses: Mapping[str, tuple[str, ...]]  # kinds by process, in the order of use
    clocks: Mapping[str, Clock]
    refuse_from: float
    suits_from: float
    strict_from: float


class BadProductRules(Exception):
    """The file cannot be used; the message is the first problem, `problems` all of them."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(str(problems[0]))
        self.problems = problems


def load_product_rules(path: str | None = None, reading: Reading | None = None) -> ProductRules:
    """Read the file (default: the shipped one; `reading`: what it holds, where that was read before).

    Raises BadProductRules.
    """
    place = path or repair_file("products.yaml")
    report = Report()
    found = read(place, paths.shown_path(place)) if reading is None else reading
    report.extend(found.problems)
    row = PRODUCT_RULES.read(found.root, Context(report)) if found.root is not None else None
    if row is None or report.has_errors:
        raise BadProductRules(report.sorted())
    kinds = (
        Kind(one.text("id"), one.text("means"), one.words("needs"), one.words("times"), one.flag("strict"))
        for one in row.rows("kinds")
    )
    used = row.values.get("uses")
    return ProductRules(
        {kind.id: kind for kind in kinds},
        {one.text("id"): one.words("cautions") for one in row.rows("contents")},
        frozenset(one.text("id") for one in row.rows("contents") if one.flag("isopropanol")),
        {name: tuple(map(str, words)) for name, words in used.items()} if isinstance(used, dict) else {},
        {one.text("id"): _clock(one) for one in row.rows("clocks")},
        row.number("refuse_from"),
        row.number("suits_from"),
        row.number("strict_from"),
    )


def _clock(row: Row) -> Clock:
    id, name, kind = (row.text(key) for key in ("id", "name", "kind"))
    return Clock(id, name, kind, row.words("products"), row.words("times"), row.text("starts"), row.text("ends"))
