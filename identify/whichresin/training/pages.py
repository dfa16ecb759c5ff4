"""The author's manual, one page a code: made from the check itself and from the examples in `pages.yaml`."""

from __future__ import annotations

from collections.abc import Mapping as Map
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from whichresin.knowledge.codes import CODES
from whichresin.knowledge.positions import read
from whichresin.knowledge.schema import Context, MapOf, Record, Row, Text, optional, required

from .checks import ALL

_LONG = Text(2000, lines=True)
_LINES = Text(4000, lines=True)
SOURCE = Path(__file__).with_name("pages.yaml")


class BadPages(Exception):
    """The file of examples cannot be read; the message is the first problem."""


@dataclass(frozen=True, slots=True)
class Page:
    """What an author wants to know of one code."""

    code: str
    title: str
    why: str  # empty for what the loader refuses: the title says it
    advice: str
    level: str  # empty for what the loader refuses: the line itself says whether it is an error
    file: str  # of the pack in shared/authoring.md
    wrong: str
    right: str
    no_example: str

    def text(self) -> str:
        """The page as plain lines of at most about a hundred characters."""
        lines = [f"{self.code}: {self.title}", ""]
        if self.why:
            lines += [*_wrapped(self.why), ""]
        lines += [*_wrapped(f"What to do: {self.advice}"), ""]
        if self.no_example:
            return "\n".join([*lines, *_wrapped(f"No example: {self.no_example}")]) + "\n"
        lines += [f"Wrong, in {self.file}:", "", *_indented(self.wrong), "", "Right:", "", *_indented(self.right)]
        return "\n".join(lines) + "\n"


@dataclass(frozen=True, slots=True)
class Manual:
    """All pages by code, and the files that the examples need beside those of the guide."""

    pages: Map[str, Page]
    files: Map[str, str]


@lru_cache(maxsize=1)
def manual() -> Manual:
    """Every page. Raises BadPages when `pages.yaml` does not fit its form or the codes."""
    from whichresin.knowledge.problems import Report

    ctx = Context(Report())
    root, problems = read(SOURCE)
    row = _FORM.read(root, ctx) if root is not None else None
    for problem in (*problems, *ctx.report.sorted()):
        raise BadPages(str(problem))
    assert row is not None
    entries = row.values["pages"]
    assert isinstance(entries, dict)
    titles = {**CODES, **{code: one.title for code, one in ALL.items()}}
    for code in titles.keys() ^ entries.keys():
        raise BadPages(f"{SOURCE.name}: code {code} has no page, or the page no code")
    return Manual({code: _page(code, titles[code], entries[code]) for code in sorted(titles)}, row.texts("files"))


def _page(code: str, title: str, row: Row) -> Page:
    one = ALL.get(code)
    why, advice, level = (one.why, one.advice, one.level) if one is not None else ("", row.text("do"), "")
    if not advice or ("no_example" in row) == ("file" in row):
        raise BadPages(f"{SOURCE.name}: page {code} lacks advice, or an example or the reason why there is none")
    wrong, right = (str(row.values.get(key, "")) for key in ("wrong", "right"))
    return Page(code, title, why, advice, level, row.text("file"), wrong, right, row.text("no_example"))


def _wrapped(text: str) -> list[str]:
    from textwrap import wrap

    return wrap(text, 98)


def _indented(text: str) -> list[str]:
    return [f"    {line}" for line in text.rstrip().splitlines()] or ["    (left out)"]


@dataclass(frozen=True, slots=True)
class _Verbatim:
    """A piece of a file, spaces and all; it may be empty."""

    def read(self, node: object, ctx: Context, what: str) -> str | None:
        return str(getattr(node, "text", ""))

    def expected(self) -> str:
        return "lines of a file"


_PAGE = Record(
    "a page",
    optional({"do": _LONG, "file": Text(80), "wrong": _Verbatim(), "right": _Verbatim(), "no_example": _LONG}),
)
_FORM = Record("pages.yaml", required({"files": MapOf(_LINES), "pages": MapOf(_PAGE)}))
