"""What a front end must offer to the flow of an interview: plain lines and the full screen both do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Protocol

from . import words
from .lines import Line
from .page import Page

Text = Callable[[int], list[Line]]  # lines for a width in columns, so that a resize can wrap them anew


class Front(Protocol):
    """Where pages are shown and answers come from. Whatever waits raises `asks.Leave` when the person stops.

    The waiting methods are coroutines; those of the plain lines never suspend (`plain.run_plainly`).
    """

    has_panel: bool  # whether class and leading polymers stay in sight

    def say(self, text: Text, lasting: bool = False) -> None:
        """A remark beside what is asked next; a lasting one stays until the next lasting one."""
        ...

    async def show(self, title: str, text: Text, prompt: str = words.READ_PROMPT) -> str:
        """A longer text under a title; comes back once it may be taken as read, with the key that was pressed, if any.
        """
        ...

    async def key(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """One key in lower case, whether the page lists it or not; "" for Enter alone.

        `meanwhile` is drawn from while nothing is pressed; each page that it gives takes the place of the old one.
        """
        ...

    async def marks(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """The keys of all answers that apply, or one other key."""
        ...

    async def text(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """A typed line, stripped; for numbers a single letter may come back as soon as it is pressed."""
        ...
