"""Lines of text with a style, wrapped to a width, written with or without terminal attributes."""

from __future__ import annotations

import os
import re
import textwrap
from collections.abc import Iterable, Mapping
from typing import NamedTuple, TextIO

from whichresin.vocabulary.text import escaped

# Attributes only, no colours: bold and faint read the same on light and dark ground.
_ATTRIBUTES = {"strong": "\x1b[1m", "faint": "\x1b[2m", "caution": "\x1b[1m", "plain": ""}
_RESET = "\x1b[0m"
KEPT = "\u00a0"  # a space that no line may be broken at
_PERCENT = re.compile(r"(?<=\d) %")


class Line(NamedTuple):
    """One line and its style: plain, strong, faint or caution. The words alone carry the meaning."""

    text: str
    style: str = "plain"


def wrap(text: str, width: int, style: str = "plain", first: str = "", rest: str = "") -> list[Line]:
    """`text` in lines of at most `width` columns, the first with one indent and the others with another."""
    lines = textwrap.wrap(
        keep_together(escaped(text)),
        max(20, width),
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=True,
    )
    return [Line(let_go(line), style) for line in lines] or [Line("", style)]


def keep_together(text: str) -> str:
    """The text with no place for a line break between a figure and its percent sign."""
    return _PERCENT.sub(f"{KEPT}%", text)


def let_go(line: str) -> str:
    """A wrapped line with its plain spaces back."""
    return line.replace(KEPT, " ")


def wants_attributes(stream: TextIO, environment: Mapping[str, str] | None = None) -> bool:
    """Whether bold and faint may be written: a terminal that is not dumb, and NO_COLOR not set."""
    env = os.environ if environment is None else environment
    return stream.isatty() and not env.get("NO_COLOR") and env.get("TERM", "") != "dumb"


def write(lines: Iterable[Line], stream: TextIO, attributes: bool) -> None:
    """Write lines, each ended; with attributes when the terminal can show them."""
    for line in lines:
        code = _ATTRIBUTES.get(line.style, "") if attributes else ""
        stream.write(f"{code}{line.text}{_RESET if code else ''}\n")
    stream.flush()


def doubt(g_cm3: float) -> str:
    """An uncertainty in g/cm3 with as many figures as say something."""
    return f"{g_cm3:.4f}" if g_cm3 < 0.001 else f"{g_cm3:.3f}"


def percent(probability: float) -> str:
    """A probability for people: never 0 % or 100 %, which nobody can promise."""
    if probability >= 0.995:
        return "over 99 %"
    if probability < 0.005:
        return "under 1 %"
    return f"{probability * 100:.0f} %"
