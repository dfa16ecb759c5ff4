"""Read YAML text-first: a tree in which every scalar is text with its line and column. Nothing is guessed.

    root, problems = read("answers.yaml")

`root` is a `Mapping`, `Sequence` or `Scalar`, or None when nothing could be read; `problems` holds everything
that was wrong (a tree may come with problems, such as a repeated key). `drips: no`, `010` and `12:30` are the
texts `no`, `010` and `12:30`; what they mean is for the reader's schema to say.

Only YAML events are used, never construction, so no tag can build anything. Refused: more than 1 MiB, deeper
than 24 levels, more than 200 aliases or 100,000 nodes once aliases are followed, tags, a second document,
bytes that are not UTF-8, control characters.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from whichresin.vocabulary.text import first_control, shown

from .problems import Problem
from .stamps import MAX_FILE_BYTES

MAX_BYTES = MAX_FILE_BYTES
MAX_DEPTH = 24
MAX_ALIASES = 200
MAX_NODES = 100_000
_YAML_TAG = "tag:yaml.org,2002:"


class Scalar(NamedTuple):
    """One text. `quoted` tells `"no"` from `no`, should a reader care."""

    text: str
    file: str
    line: int
    column: int
    quoted: bool = False


class Sequence(NamedTuple):
    """A list of nodes."""

    items: tuple[Node, ...]
    file: str
    line: int
    column: int


class Mapping(NamedTuple):
    """Keys and values in the order of the file; a repeated key is reported and only its first value kept."""

    pairs: tuple[tuple[Scalar, Node], ...]
    file: str
    line: int
    column: int

    def get(self, key: str) -> Node | None:
        """The value under `key`, or None."""
        return next((value for name, value in self.pairs if name.text == key), None)


Node = Scalar | Sequence | Mapping


class Reading(NamedTuple):
    """What a file held, and what was wrong with it."""

    root: Node | None
    problems: tuple[Problem, ...]


def read(path: str | os.PathLike[str], shown_as: str | None = None, max_bytes: int = MAX_BYTES) -> Reading:
    """Read one file. Never raises for what the file holds or for a file that cannot be opened."""
    name = shown_as if shown_as is not None else os.fspath(path)
    try:
        if os.path.isdir(path):
            return _refused(name, "not-a-file", "this is a folder; a file was expected")
        with open(path, "rb") as stream:
            data = stream.read(max_bytes + 1)
    except FileNotFoundError:
        return _refused(name, "no-such-file", "there is no such file")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        return _refused(name, "cannot-read", f"the file cannot be opened: {reason}")
    return read_bytes(data, name, max_bytes)


def read_bytes(data: bytes, file: str, max_bytes: int = MAX_BYTES) -> Reading:
    """As `read`, from bytes in hand; `file` is the name that problems carry."""
    if len(data) > max_bytes:
        return _refused(file, "too-large", f"the file is larger than {max_bytes // 1024} KiB")
    if b"\0" in data:
        return _refused(file, "not-text", "the file holds NUL bytes; a text file in UTF-8 was expected")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode("utf-8", "replace")) + 1
        sentence = f"byte {data[error.start]:#04x} is not UTF-8; save the file as UTF-8 text"
        return Reading(None, (Problem(file, line, column, "error", "not-text", sentence),))
    return read_text(text, file)


def read_text(text: str, file: str) -> Reading:
    """As `read`, from text in hand."""
    text = text.replace("\r\n", "\n")
    at = first_control(text)
    if at >= 0:
        line, column = text.count("\n", 0, at) + 1, at - (text.rfind("\n", 0, at) + 1) + 1
        sentence = f"control character {shown(text[at])} is not allowed; take it out"
        return Reading(None, (Problem(file, line, column, "error", "control-character", sentence),))
    if not text.strip():
        return _refused(file, "empty-file", "the file is empty")
    from . import _yaml_errors

    builder = _Builder(file)
    try:
        builder.take_all(_yaml_errors.events(text))
    except _Stop as stop:
        return Reading(None, (*builder.problems, stop.problem))
    except _yaml_errors.YAML_ERRORS as error:
        return Reading(None, (*builder.problems, _yaml_errors.problem_of(error, file, text)))
    if builder.root is None and not builder.problems:
        return _refused(file, "empty-file", "the file holds no data, only comments")
    return Reading(builder.root, tuple(builder.problems))


def walk(node: Node) -> Iterator[Node]:
    """The node and everything under it, keys included, in file order."""
    pending: list[Node] = [node]
    while pending:
        here = pending.pop()
        yield here
        if isinstance(here, Sequence):
            pending.extend(reversed(here.items))
        elif isinstance(here, Mapping):
            for key, value in reversed(here.pairs):
                pending.extend((value, key))


def texts_under(node: Node) -> list[Scalar]:
    """Every text in the node, keys included, in no order to rely on; several times as fast as `walk`."""
    found: list[Scalar] = []
    pending: list[Node] = [node]
    for here in pending:  # grows while it is read
        if isinstance(here, Scalar):
            found.append(here)
        elif isinstance(here, Sequence):
            pending += here.items
        else:
            for pair in here.pairs:
                pending += pair
    return found


def _refused(file: str, code: str, sentence: str) -> Reading:
    return Reading(None, (Problem(file, 0, 0, "error", code, sentence),))


class _Stop(Exception):
    """The rest of this file is not worth reading."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.sentence)
        self.problem = problem


class _Open:
    """A list or mapping whose end has not been met. With aliases followed it unfolds to `len(items) + more` entries,
    itself included; the highest list or mapping in it has `deep` levels."""

    __slots__ = ("anchor", "column", "deep", "is_mapping", "items", "line", "more")

    def __init__(self, is_mapping: bool, line: int, column: int, anchor: str | None) -> None:
        self.is_mapping, self.line, self.column, self.anchor = is_mapping, line, column, anchor
        self.items: list[Node] = []
        self.more = 1  # itself, and what lies below its items
        self.deep = 0


class _Builder:
    """Turns YAML events into nodes with a stack of its own, so that no input can exhaust the call stack."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self._open: list[_Open] = []
        self._anchors: dict[str, tuple[Node, int, int] | None] = {}
        self._aliases = 0

    def take_all(self, events: Iterable[Any]) -> None:
        """Take the parser's events. Two in three are plain texts in a list or mapping; those are made right here."""
        file, opened, new = self.file, self._open, tuple.__new__
        items: list[Node] = []
        room = 0  # how many items the innermost list or mapping may have; none are made where nothing is open
        for event in events:
            if event.__class__.__name__ == "ScalarEvent" and len(items) < room:
                style = event.style
                if style != '"' and event.tag is None and event.anchor is None:
                    mark = event.start_mark
                    # As Scalar(...), in a third of the time.
                    items.append(new(Scalar, (event.value, file, mark.line + 1, mark.column + 1, bool(style))))
                    continue
            self._take(event)
            if opened:
                items, room = opened[-1].items, MAX_NODES - opened[-1].more
            else:
                items, room = [], 0

    def _take(self, event: Any) -> None:
        kind = event.__class__.__name__
        if kind == "ScalarEvent":
            self._scalar(event)
        elif kind in ("MappingEndEvent", "SequenceEndEvent"):
            self._close()
        elif kind in ("MappingStartEvent", "SequenceStartEvent"):
            line, column = _place_of(event)
            self._no_tag(event.tag, line, column)
            if len(self._open) >= MAX_DEPTH:
                self._stop(line, column, "too-deep", f"this is nested deeper than {MAX_DEPTH} levels")
            if event.anchor:
                self._anchors[event.anchor] = None
            self._open.append(_Open(kind == "MappingStartEvent", line, column, event.anchor))
        elif kind == "AliasEvent":
            self._alias(event.anchor, *_place_of(event))
        elif kind == "DocumentStartEvent" and self.root is not None:
            self._stop(*_place_of(event), "second-document", "a second document starts here; one file holds one")

    def _scalar(self, event: Any) -> None:
        line, column = _place_of(event)
        text, style = event.value, event.style
        self._no_tag(event.tag, line, column)
        if style == '"' and (at := first_control(text)) >= 0:  # by an escape such as \e; the rest was looked at
            sentence = f"this text holds control character {shown(text[at])}; take it out"
            self._stop(line, column, "control-character", sentence)
        node = Scalar(text, self.file, line, column, bool(style))
        if event.anchor:
            self._anchors[event.anchor] = (node, 1, 1)
        self._place(node, 1, 1, line, column)

    def _close(self) -> None:
        done = self._open.pop()
        node: Node
        if done.is_mapping:
            node = Mapping(self._pairs(done), self.file, done.line, done.column)
        else:
            node = Sequence(tuple(done.items), self.file, done.line, done.column)
        height = max(done.deep, 1 if done.items else 0) + 1
        if done.anchor:
            self._anchors[done.anchor] = (node, len(done.items) + done.more, height)
        self._place(node, len(done.items) + done.more, height, done.line, done.column)

    def _pairs(self, done: _Open) -> tuple[tuple[Scalar, Node], ...]:
        pairs: list[tuple[Scalar, Node]] = []
        first: dict[str, Scalar] = {}
        keys = iter(done.items)
        for key, value in zip(keys, keys, strict=False):
            if not isinstance(key, Scalar):
                self._report(key.line, key.column, "bad-key", "a key must be one word, not a list or mapping")
            elif key.text in first:
                there = first[key.text].line
                sentence = f"key {shown(key.text)} stands here a second time; the first is on line {there}"
                self._report(key.line, key.column, "repeated-key", sentence)
            else:
                first[key.text] = key
                pairs.append((key, value))
        return tuple(pairs)

    def _alias(self, anchor: str, line: int, column: int) -> None:
        self._aliases += 1
        if self._aliases > MAX_ALIASES:
            self._stop(line, column, "too-many-aliases", f"more than {MAX_ALIASES} aliases in one file")
        known = self._anchors.get(anchor)
        if known is None:
            what = "refers to the list it stands in" if anchor in self._anchors else "names an anchor that is not set"
            self._stop(line, column, "bad-alias", f"alias {shown('*' + anchor)} {what}")
            return
        node, size, height = known
        if len(self._open) + height > MAX_DEPTH:
            self._stop(line, column, "too-deep", f"followed here, this alias nests deeper than {MAX_DEPTH} levels")
        self._place(node, size, height, line, column)

    def _place(self, node: Node, size: int, height: int, line: int, column: int) -> None:
        if not self._open:
            self.root = node
            return
        parent = self._open[-1]
        parent.items.append(node)
        parent.more += size - 1
        if height > parent.deep:
            parent.deep = height
        if len(parent.items) + parent.more > MAX_NODES:
            self._stop(line, column, "too-many-nodes", f"the file unfolds to more than {MAX_NODES} entries")

    def _no_tag(self, tag: str | None, line: int, column: int) -> None:
        if tag is not None:
            found = shown("!!" + tag.removeprefix(_YAML_TAG) if tag.startswith(_YAML_TAG) else tag)
            self._stop(line, column, "tag", f"tag {found} is not allowed; write plain text or a list")

    def _report(self, line: int, column: int, code: str, sentence: str) -> None:
        self.problems.append(Problem(self.file, line, column, "error", code, sentence))

    def _stop(self, line: int, column: int, code: str, sentence: str) -> None:
        raise _Stop(Problem(self.file, line, column, "error", code, sentence))


def _place_of(event: Any) -> tuple[int, int]:
    """Line and column of an event, from 1."""
    mark = event.start_mark
    return mark.line + 1, mark.column + 1
