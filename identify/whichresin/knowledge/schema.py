"""Small pieces from which the form of every kind of file is put together.

A piece reads a node into a value and reports what is wrong with it; it never raises for what a file holds.
`Record` is the piece for a mapping with known keys; it gives a `Row`, whose getters return a plain default
for what was missing or wrong (already reported), so that checking can go on to the end.
The forms themselves are in `forms`; being data, they can be listed to write a guide or a schema for editors.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from collections.abc import Mapping as Map
from dataclasses import dataclass, field
from typing import Protocol

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import Scale, WordList, listed

from .positions import Mapping, Node, Scalar, Sequence
from .problems import Report, did_you_mean
from .steps import noted

_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d{1,3})?\Z")
_LEADING_ZERO = re.compile(r"[-+]?0\d")
_MOST_ROWS = 50_000  # a few thousand are in use; the rest is left over from earlier versions of files
NEVER_SEEN = "never_seen"  # the word of the scale for what a row of expectations does not list


class Rows:
    """Rows that were read without a fault, by the node: what has not changed is not read again.

    A row may use the words of the closed lists, and nothing else outside its node.
    """

    def __init__(self) -> None:
        # id of a node -> the node, the form it was read by, the row. The node is kept, so its id is nobody else's.
        self._rows: dict[int, tuple[Mapping, Record, Row]] = {}
        self._words: list[tuple[str, list[str]]] = []

    def hold_for(self, lists: Map[str, WordList]) -> None:
        """Forget all rows unless they were read by the same words."""
        words = [(name, list(words)) for name, words in lists.items()]
        if words != self._words or len(self._rows) > _MOST_ROWS:
            self._rows.clear()
            self._words = words

    def get(self, node: Mapping, form: Record) -> Row | None:
        """The row that this form made of the node."""
        known = self._rows.get(id(node))
        return known[2] if known is not None and known[0] is node and known[1] is form else None

    def keep(self, node: Mapping, form: Record, row: Row) -> None:
        self._rows[id(node)] = (node, form, row)


@noted
@dataclass(slots=True)
class Context:
    """What reading needs beside the node: where to report, and the closed lists."""

    report: Report
    lists: Map[str, WordList] = field(default_factory=dict)
    scales: Map[str, Scale] = field(default_factory=dict)
    rows: Rows = field(default_factory=Rows)

    def error(self, node: Node, code: str, sentence: str, hint: str = "") -> None:
        self.report.add("error", code, node.file, node.line, node.column, sentence, hint)

    def warning(self, node: Node, code: str, sentence: str, hint: str = "") -> None:
        self.report.add("warning", code, node.file, node.line, node.column, sentence, hint)

    def note(self, node: Node, code: str, sentence: str, hint: str = "") -> None:
        self.report.add("note", code, node.file, node.line, node.column, sentence, hint)


class Piece(Protocol):
    """Something that reads a node."""

    def read(self, node: Node, ctx: Context, what: str) -> object | None:
        """The value, or None when it is wrong and reported. `what` names the place in sentences."""

    def expected(self) -> str:
        """What is wanted here, for sentences: 'a number'."""


@dataclass(frozen=True, slots=True)
class Text:
    """Free words. `limit` in characters; `lines` allows line feeds."""

    limit: int = 300
    lines: bool = False

    def read(self, node: Node, ctx: Context, what: str) -> str | None:
        if not isinstance(node, Scalar):
            ctx.error(node, "wrong-shape", f"{what} is {shape(node)}; expected {self.expected()}")
            return None
        text = node.text.strip()
        if not text:
            ctx.error(node, "empty-text", f"{what} is empty; expected {self.expected()}")
            return None
        if len(text) > self.limit:
            ctx.error(
                node,
                "text-too-long",
                f"{what} has {len(text)} characters; at most {self.limit} fit the screen",
            )
            return None
        if not self.lines and "\n" in text:
            ctx.error(node, "text-of-several-lines", f"{what} runs over several lines; write it on one")
            return None
        return text

    def expected(self) -> str:
        return "a text"


@dataclass(frozen=True, slots=True)
class Ident:
    """A name that other files refer to. `pattern` is the allowed form, `form` says it in words."""

    pattern: str = r"[a-z][a-z0-9]*([-_][a-z0-9]+)*"
    form: str = "lower-case words joined by - or _"

    def read(self, node: Node, ctx: Context, what: str) -> str | None:
        text = Text(80).read(node, ctx, what)
        if text is not None and not re.fullmatch(self.pattern, text):
            ctx.error(node, "bad-id", f"{what} {shown(text)} is not {self.form}")
            return None
        return text

    def expected(self) -> str:
        return f"an id: {self.form}"


@dataclass(frozen=True, slots=True)
class Word:
    """One word of a closed list of `shared/lists.yaml`, or of `words` when the list is given here."""

    list_name: str
    words: tuple[str, ...] = ()

    def read(self, node: Node, ctx: Context, what: str) -> str | None:
        text = Text(80).read(node, ctx, what)
        if text is None:
            return None
        known = self.words or tuple(ctx.lists.get(self.list_name, ()))
        if known and text not in known:
            sentence = f"{what} is {shown(text)}; expected one of {listed(known)}"
            ctx.error(node, "unknown-word", sentence, did_you_mean(text, known))
            return None
        return text

    def expected(self) -> str:
        return f"one of the {self.list_name}"


@dataclass(frozen=True, slots=True)
class YesNo:
    """`yes` or `no`, written so."""

    def read(self, node: Node, ctx: Context, what: str) -> bool | None:
        text = node.text.strip() if isinstance(node, Scalar) else None
        if text in ("yes", "no"):
            return text == "yes"
        found = shape(node) if text is None else shown(text)
        ctx.error(node, "not-yes-or-no", f"{what} is {found}; expected yes or no")
        return None

    def expected(self) -> str:
        return "yes or no"


@dataclass(frozen=True, slots=True)
class Number:
    """A decimal number within limits, in the unit of its key's name. `whole` allows no fraction."""

    low: float = -1e12
    high: float = 1e12
    whole: bool = False

    def read(self, node: Node, ctx: Context, what: str) -> float | None:
        text = node.text.strip() if isinstance(node, Scalar) else None
        if text is None:
            ctx.error(node, "bad-number", f"{what} is {shape(node)}; expected {self.expected()}")
            return None
        value = number(text)
        if value is None or (self.whole and value != int(value)):
            hint = "write a decimal point, not a comma" if re.fullmatch(r"[-+]?\d+,\d+", text) else ""
            ctx.error(node, "bad-number", f"{what} is {shown(text)}; expected {self.expected()}", hint)
            return None
        if not self.low <= value <= self.high:
            sentence = f"{what} is {shown(text)}; expected {self.low:g} to {self.high:g}"
            ctx.error(node, "out-of-range", sentence)
            return None
        return value

    def expected(self) -> str:
        return "a whole number" if self.whole else "a number"


@dataclass(frozen=True, slots=True)
class Many:
    """A list of pieces. `single` lets one value stand for a list of one."""

    of: Piece
    at_least: int = 0
    single: bool = False
    says: str = ""

    def read(self, node: Node, ctx: Context, what: str) -> tuple[object, ...] | None:
        if not isinstance(node, Sequence):
            if self.single:
                value = self.of.read(node, ctx, what)
                return None if value is None else (value,)
            ctx.error(node, "wrong-shape", f"{what} is {shape(node)}; expected {self.expected()}")
            return None
        if len(node.items) < self.at_least:
            ctx.error(node, "too-few", f"{what} has {len(node.items)} entries; expected at least {self.at_least}")
        values = (self.of.read(item, ctx, f"{what}, entry {place}") for place, item in enumerate(node.items, 1))
        return tuple(value for value in values if value is not None)

    def expected(self) -> str:
        return self.says or f"a list ({self.of.expected()} each)"


@dataclass(frozen=True, slots=True)
class MapOf:
    """A mapping from free keys to pieces, such as `{id: text}`."""

    of: Piece
    key: Ident | Text = Text(80)

    def read(self, node: Node, ctx: Context, what: str) -> dict[str, object] | None:
        if not isinstance(node, Mapping):
            ctx.error(node, "wrong-shape", f"{what} is {shape(node)}; expected {self.expected()}")
            return None
        result: dict[str, object] = {}
        for key, value in node.pairs:
            name = self.key.read(key, ctx, f"a key of {what}")
            read = self.of.read(value, ctx, f"{what}, {key.text}")
            if name is not None and read is not None:
                result[name] = read
        return result

    def expected(self) -> str:
        return f"a mapping ({self.of.expected()} each)"


@dataclass(frozen=True, slots=True)
class Raw:
    """Whatever stands there, handed on as a node for a reader of its own."""

    says: str = "a list or mapping"

    def read(self, node: Node, ctx: Context, what: str) -> Node | None:
        return node

    def expected(self) -> str:
        return self.says


@dataclass(frozen=True, slots=True)
class Field:
    """One key of a record."""

    piece: Piece
    required: bool = True


@dataclass(frozen=True, slots=True)
class Record:
    """A mapping with known keys. `name` says in sentences what it is: 'a cue'."""

    name: str
    fields: Map[str, Field]

    def read(self, node: Node, ctx: Context, what: str = "") -> Row | None:
        if not isinstance(node, Mapping):
            ctx.error(node, "wrong-shape", f"{what or self.name} is {shape(node)}; expected {self.expected()}")
            return None
        known = ctx.rows.get(node, self)
        if known is not None:
            return known
        before = len(ctx.report)
        values: dict[str, object] = {}
        nodes: dict[str, Node] = {}
        for key, value in node.pairs:
            spec = self.fields.get(key.text)
            if spec is None:
                sentence = f"{shown(key.text)} is not a key of {self.name}; expected {listed(self.fields, 30)}"
                ctx.error(key, "unknown-key", sentence, _key_hint(key.text, self.fields))
                continue
            nodes[key.text] = value
            read = spec.piece.read(value, ctx, key.text)
            if read is not None:
                values[key.text] = read
        for name, spec in self.fields.items():
            if spec.required and name not in nodes:
                code = "missing-source" if name == "source" else "missing-key"
                ctx.error(node, code, f"{self.name} without {name}; expected {spec.piece.expected()}")
        row = Row(node, values, nodes)
        if len(ctx.report) == before:
            ctx.rows.keep(node, self, row)
        return row

    def expected(self) -> str:
        return f"a mapping with {listed((n for n, s in self.fields.items() if s.required), 8)}"


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """A record that was read. Getters give the default where nothing (right) was written. Equal only to itself."""

    node: Mapping
    values: Map[str, object]
    nodes: Map[str, Node]

    def __contains__(self, key: str) -> bool:
        return key in self.nodes

    def at(self, key: str) -> Node:
        """Where the value of `key` stands, or the row itself."""
        return self.nodes.get(key, self.node)

    def text(self, key: str, default: str = "") -> str:
        value = self.values.get(key)
        return value if isinstance(value, str) else default

    def number(self, key: str, default: float = 0.0) -> float:
        value = self.values.get(key)
        return value if isinstance(value, float) else default

    def flag(self, key: str, default: bool = False) -> bool:
        value = self.values.get(key)
        return value if isinstance(value, bool) else default

    def words(self, key: str) -> tuple[str, ...]:
        value = self.values.get(key)
        return tuple(v for v in value if isinstance(v, str)) if isinstance(value, tuple) else ()

    def row(self, key: str) -> Row | None:
        value = self.values.get(key)
        return value if isinstance(value, Row) else None

    def rows(self, key: str) -> tuple[Row, ...]:
        value = self.values.get(key)
        return tuple(v for v in value if isinstance(v, Row)) if isinstance(value, tuple) else ()

    def raw(self, key: str) -> Node | None:
        return self.nodes.get(key)

    def texts(self, key: str) -> dict[str, str]:
        value = self.values.get(key)
        return {k: v for k, v in value.items() if isinstance(v, str)} if isinstance(value, dict) else {}

    def numbers(self, key: str) -> dict[str, float]:
        value = self.values.get(key)
        return {k: v for k, v in value.items() if isinstance(v, float)} if isinstance(value, dict) else {}


def _key_hint(found: str, known: Iterable[str]) -> str:
    if found.isdigit():  # {low: 0,895} is read as two keys
        return "write a decimal point, not a comma"
    return did_you_mean(found, known)


def number(text: str) -> float | None:
    """The decimal number that a text spells (`0.9`, `1e-3`), or None: `010`, `12:30`, `nan` and `1_000` are none."""
    if not _NUMBER.match(text) or _LEADING_ZERO.match(text):
        return None
    value = float(text)
    return value if abs(value) < 1e300 else None


def shape(node: Node) -> str:
    """What a node is, in words."""
    if isinstance(node, Sequence):
        return "a list"
    if isinstance(node, Mapping):
        return "a mapping"
    return f"the text {shown(node.text)}" if node.text else "empty"


def required(fields: Map[str, Piece]) -> dict[str, Field]:
    return {name: Field(piece) for name, piece in fields.items()}


def optional(fields: Map[str, Piece]) -> dict[str, Field]:
    return {name: Field(piece, False) for name, piece in fields.items()}


def scalars(node: Node) -> Iterable[Scalar]:
    """The texts of a list, or the one text; other shapes give nothing."""
    if isinstance(node, Scalar):
        return (node,)
    return tuple(item for item in node.items if isinstance(item, Scalar)) if isinstance(node, Sequence) else ()
