"""Questions answered with one typed line each: the whole input that a running job needs."""

from __future__ import annotations

from typing import Protocol, TextIO

from .front import Leave


class Asks(Protocol):
    """Where answers come from."""

    def text(self, prompt: str) -> str:
        """The line that was typed, stripped. Raises Leave when the person stops."""


class LineAsks:
    """Reads lines from a stream and writes the prompt to another; the end of the input and Ctrl-C are `Leave`."""

    def __init__(self, source: TextIO, out: TextIO) -> None:
        self._source, self._out = source, out

    def text(self, prompt: str) -> str:
        """The next line, stripped."""
        self._out.write(prompt)
        self._out.flush()
        try:
            line = self._source.readline()
        except (KeyboardInterrupt, UnicodeDecodeError):
            self._out.write("\n")
            raise Leave from None
        if not line:
            self._out.write("\n")
            raise Leave
        if not self._source.isatty():
            self._out.write("\n")
        return line.strip()
