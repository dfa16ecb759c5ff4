"""Line input for pipes, dumb terminals and screen readers: append-only, one answer a line."""

from __future__ import annotations

from typing import Protocol, TextIO


class Leave(Exception):
    """The person wants to stop here: Ctrl-C, Ctrl-D, or the end of the input."""


class Reader(Protocol):
    """Where answers come from. Both methods raise `Leave` when the person stops."""

    def key(self, prompt: str, keys: str, status: str) -> str:
        """One key out of `keys`, or any other single character that was typed; "" for Enter alone."""
        ...

    def text(self, prompt: str) -> str:
        """A line of text without its line end."""
        ...


class PlainReader:
    """Reads lines from a stream and echoes the prompt to another."""

    def __init__(self, source: TextIO, out: TextIO) -> None:
        self._source = source
        self._out = out

    def key(self, prompt: str, keys: str, status: str) -> str:
        """The first character of the next line."""
        return self.text(prompt)[:1].lower()

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
        if not getattr(self._source, "isatty", lambda: False)():
            self._out.write("\n")
        return line.strip()
