"""What commands write: one JSON document, or one sentence on standard error."""

from __future__ import annotations

import json
import os
import sys
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
