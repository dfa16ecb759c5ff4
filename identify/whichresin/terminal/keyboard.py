"""The keys of the full screen: one key an answer, typed lines where a line is wanted, floods refused."""

from __future__ import annotations

import time
from typing import Protocol

from prompt_toolkit.buffer import Buffer
from prompt_toolkit.filters import Condition
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys

from .asks import EndOfInput, Leave

LONGEST = 500  # characters of a typed line
_FLOOD = 8  # keys that come at once, more than anybody presses
_QUIET = 1.0  # seconds without a key after which a flood is over


class Takes(Protocol):
    """What the keys act on."""

    buffer: Buffer

    @property
    def typing(self) -> bool:
        """Whether a line is typed; else single keys count."""

    @property
    def awaited(self) -> bool:
        """Whether a page waits for a key or a line just now."""

    @property
    def wants_figure(self) -> bool:
        """Whether the line is a figure, so that a letter can only be a key."""

    def pressed(self, key: str) -> None:
        """A key, or a finished line."""

    def turn(self) -> bool:
        """On to the next part of a long page."""

    def turn_back(self) -> None:
        """Back to the part before."""

    def refuse(self, count: int) -> None:
        """Say that so many characters at once are no answer."""

    def leave(self, how: Leave) -> None:
        """The person goes."""


class Flood:
    """Keys that come by the dozen are a paste or a book on the keyboard: none of them is an answer."""

    def __init__(self, screen: Takes) -> None:
        self._screen = screen
        self._count, self._ends = 0, 0.0

    def takes(self, event: KeyPressEvent) -> bool:
        """Whether this key belongs to a flood; the whole of it is then thrown away."""
        waiting = event.app.key_processor.input_queue
        now = time.monotonic()
        if self._screen.typing or (len(waiting) < _FLOOD and now > self._ends):
            return False
        self._count = len(waiting) + 1 + (self._count if now <= self._ends else 0)
        self._ends = now + _QUIET
        event.app.key_processor.empty_queue()
        self._screen.refuse(self._count)
        return True


def bindings_for(screen: Takes) -> KeyBindings:
    """The bindings that hand every key to the screen."""
    flood = Flood(screen)
    bindings = KeyBindings()
    typing = Condition(lambda: screen.typing)

    @bindings.add(Keys.Any, filter=~typing)
    def _any(event: KeyPressEvent) -> None:
        if flood.takes(event):
            return
        char = event.data[:1]
        if char.isprintable() and char:
            screen.pressed(char.lower() if screen.awaited else char)

    @bindings.add("enter")
    @bindings.add("c-j")
    def _enter(event: KeyPressEvent) -> None:
        if flood.takes(event):
            return
        screen.pressed(screen.buffer.text[:LONGEST] if screen.typing and screen.awaited else "")

    @bindings.add("pagedown", filter=~typing)
    @bindings.add("down", filter=~typing)
    def _down(event: KeyPressEvent) -> None:
        screen.turn()
        event.app.invalidate()

    @bindings.add("pageup", filter=~typing)
    @bindings.add("up", filter=~typing)
    def _up(event: KeyPressEvent) -> None:
        screen.turn_back()
        event.app.invalidate()

    @bindings.add(Keys.Any, filter=typing)
    def _typed(event: KeyPressEvent) -> None:
        if flood.takes(event):
            return
        char = event.data
        if not screen.awaited:  # typed ahead: it belongs to the line that comes next
            screen.pressed(char)
            return
        figure = screen.wants_figure
        if figure and not screen.buffer.text and len(char) == 1 and (char.isalpha() or char == "?"):
            screen.pressed(char.lower())
        elif char.isprintable() and len(screen.buffer.text) < LONGEST:
            screen.buffer.insert_text(char)

    @bindings.add(Keys.BracketedPaste)
    def _paste(event: KeyPressEvent) -> None:
        text = event.data
        if not screen.typing:
            screen.refuse(len(text))
            return
        line = " ".join(text.split())
        screen.buffer.insert_text("".join(c for c in line if c.isprintable())[:LONGEST])

    @bindings.add("c-c")
    @bindings.add(Keys.SIGINT)
    def _interrupt(event: KeyPressEvent) -> None:
        screen.leave(Leave())

    @bindings.add("c-z")
    def _suspend(event: KeyPressEvent) -> None:
        event.app.suspend_to_background()  # else the library writes the sign itself into the line

    @bindings.add("c-d")
    def _end(event: KeyPressEvent) -> None:
        screen.leave(EndOfInput())

    return bindings
