"""Typed lines with an eye on the clock: while nobody types, what comes due is told."""

from __future__ import annotations

import select
from collections.abc import Callable
from typing import TextIO

from .asks import Leave, LineAsks


class WatchfulAsks(LineAsks):
    """As `LineAsks`; on a terminal `watch` is called about every `seconds` until a line has been typed.

    `watch` is given the prompt; it tells what is due, and returns the prompt to write again, or "" if nothing was told.
    """

    def __init__(self, source: TextIO | None, out: TextIO, seconds: float = 1.0) -> None:
        super().__init__(source, out)
        self._in, self._seconds = source, seconds
        self.watch: Callable[[str], str] = lambda prompt: ""

    def text(self, prompt: str) -> str:
        """The next line, stripped. Raises Leave when the person stops."""
        self._out.write(prompt)
        self._out.flush()
        try:
            while not self._typed():
                again = self.watch(prompt)
                if again:
                    self._out.write(again)
                    self._out.flush()
        except KeyboardInterrupt:
            self._out.write("\n")
            raise Leave from None
        return super().text("")

    def _typed(self) -> bool:
        """Whether a line is there; True as well where that cannot be asked."""
        try:
            if self._in is None or not self._in.isatty():
                return True
            return bool(select.select([self._in], [], [], self._seconds)[0])
        except (OSError, ValueError):
            return True
