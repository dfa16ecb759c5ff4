"""Questions answered with one typed line each: all the input that plain lines and a running job need."""

from __future__ import annotations

from typing import Protocol, TextIO


class Leave(Exception):
    """The person wants to stop here: Ctrl-C, Ctrl-D, or the end of the input."""


class EndOfInput(Leave):
    """Nothing more can be typed: Ctrl-D, or the end of a file or pipe."""


class Asks(Protocol):
    """Where typed answers come from."""

    def text(self, prompt: str) -> str:
        """The line that was typed, stripped. Raises `Leave` when the person stops."""


class LineAsks:
    """Reads lines from a stream and writes the prompt to another."""

    def __init__(self, source: TextIO | None, out: TextIO) -> None:
        self._source = source
        self._out = out

    def text(self, prompt: str) -> str:
        """The next line, stripped."""
        self._out.write(prompt)
        self._out.flush()
        if self._source is None:  # closed before we were started
            raise EndOfInput
        try:
            line = self._source.readline()
        except KeyboardInterrupt:
            self._out.write("\n")
            raise Leave from None
        except (OSError, ValueError):  # closed, or no longer ours to read
            self._out.write("\n")
            raise EndOfInput from None
        if not line:
            self._out.write("\n")
            raise EndOfInput
        if not getattr(self._source, "isatty", lambda: False)():
            self._out.write("\n")
        return line.strip()
