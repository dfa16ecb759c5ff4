"""What commands write: one JSON document, or one sentence on standard error."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable
from typing import Any

from whichresin.vocabulary.text import escaped

DONE, NEGATIVE, BAD_INPUT = 0, 1, 2


class BadInput(Exception):
    """Input that cannot be used; the message is one clear sentence: what, where, what to do instead."""


def say_json(document: Any) -> None:
    """One JSON document on standard output and nothing else."""
    sys.stdout.write(json.dumps(document, ensure_ascii=True, indent=2) + "\n")
    sys.stdout.flush()


def say_error(sentence: str) -> None:
    """One sentence on standard error; control characters never reach the terminal raw."""
    sys.stderr.write(f"whichresin: {escaped(sentence)}\n")


def say_lines(lines: Iterable[str]) -> None:
    """Lines for a person: control characters made visible; on a terminal long ones are broken at spaces and their
    rest is set in, so that a narrow screen shows where an entry begins. Into a pipe each line goes whole."""
    from shutil import get_terminal_size
    from textwrap import wrap

    width = get_terminal_size().columns if sys.stdout.isatty() else 0
    for text in lines:
        for line in map(escaped, text.split("\n")):
            if width and len(line) > width:
                inner = " " * min(len(line) - len(line.lstrip(" ")) + 4, width // 4)
                sys.stdout.writelines(f"{part}\n" for part in wrap(line, width, subsequent_indent=inner))
            else:
                sys.stdout.write(f"{line}\n")


def prepare_streams() -> None:
    """Let odd consoles show what they can instead of failing on a character they lack."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    if sys.stdin is not None and hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="backslashreplace")


def abandon_stdout() -> None:
    """After a closed pipe: point standard output away so that leaving does not fail a second time."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        return
