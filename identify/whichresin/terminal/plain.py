"""The interview in plain lines, for pipes, dumb terminals and screen readers: append-only, one answer a line."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Coroutine, Iterator
from typing import Any, TextIO, TypeVar

from . import words
from .asks import LineAsks
from .front import Text
from .lines import Line, write
from .page import Page
from .render import heading, key_lines, page_lines

_T = TypeVar("_T")


def run_plainly(flow: Coroutine[Any, Any, _T]) -> _T:
    """Run a flow whose front end never suspends; returns what it returns."""
    try:
        flow.send(None)
    except StopIteration as end:
        return end.value  # type: ignore[no-any-return]
    raise RuntimeError("a plain front end does not suspend")


class PlainFront:
    """Reads lines from a stream and writes everything to another, nothing ever twice and nothing over."""

    has_panel = False

    def __init__(
        self,
        source: TextIO | None,
        out: TextIO,
        attributes: bool = False,
        width: Callable[[], int] | None = None,
        greeted: bool = False,
    ) -> None:
        """`greeted`: the first page stands on the screen already."""
        self._asks = LineAsks(source, out)
        self._out = out
        self._attributes = attributes
        self._width = width or (lambda: shutil.get_terminal_size((80, 24)).columns)
        self._greeted = greeted
        self._on_paper: tuple[int, str, str, str] | None = None  # the page that was written last

    def say(self, text: Text, lasting: bool = False) -> None:
        """Write it at once."""
        self._write(text(self._columns()))

    async def show(self, title: str, text: Text, prompt: str = words.READ_PROMPT) -> str:
        """Write it at once; whoever reads lines reads at their own pace."""
        width = self._columns()
        titled = self._on_paper is None or title != self._on_paper[1]
        self._write([*(heading(title, width) if titled else []), *text(width)])
        return ""

    async def key(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """The first character of the next line."""
        self._present(page)
        return self._asks.text(page.prompt)[:1].lower()

    async def marks(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """The next line, in lower case."""
        self._present(page)
        return self._asks.text(page.prompt).lower()

    async def text(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """The next line, stripped."""
        self._present(page)
        return self._asks.text(page.prompt)

    def _present(self, page: Page) -> None:
        """The page, unless it was written last; the keys that it has, each time."""
        width = self._columns()
        if page.aside:
            return
        if _identity(page) != self._on_paper and not self._greeted:
            self._write(page_lines(page, width))
        self._on_paper, self._greeted = _identity(page), False
        if page.keys:
            self._write(key_lines(page.keys, width))

    def _write(self, lines: list[Line]) -> None:
        write(lines, self._out, self._attributes)

    def _columns(self) -> int:
        return max(20, min(100, self._width() - 1))


def _identity(page: Page) -> tuple[int, str, str, str]:
    return page.number, page.question, page.kind, page.how
