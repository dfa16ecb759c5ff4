"""How the full screen looks: signs, attributes, pieces of text in a row. No colours; words carry the meaning."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from whichresin.vocabulary.text import escaped

from .lines import keep_together, let_go

Piece = tuple[str, str]  # (attributes as prompt_toolkit words them: "", "bold", "reverse bold"; text)
Row = list[Piece]


@dataclass(frozen=True, slots=True)
class Look:
    """The signs that this terminal can show, and whether it may be asked for bold and reverse."""

    full: str = "█"
    empty: str = "░"
    rule: str = "─"
    side: str = "│"
    attributes: bool = True

    def strong(self) -> str:
        """The attribute of what must be found at once."""
        return "bold" if self.attributes else ""

    def band(self) -> str:
        """The attribute of the question's band."""
        return "reverse bold" if self.attributes else ""


ASCII = Look("#", ".", "-", "|")


def look_for(encoding: str, attributes: bool) -> Look:
    """The look for an output of this encoding."""
    wanted = Look(attributes=attributes)
    try:
        (wanted.full + wanted.empty + wanted.rule + wanted.side).encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return Look(ASCII.full, ASCII.empty, ASCII.rule, ASCII.side, attributes)
    return wanted


def rows_of(text: str, width: int, style: str = "", first: str = "", rest: str = "") -> list[Row]:
    """Text wrapped to rows, harmless to show; none for an empty text."""
    return [[(style, line)] for line in _wrapped(text, max(8, width), first, rest)] if text else []


@lru_cache(maxsize=1024)  # a screen is drawn again at every key, mostly with the same texts
def _wrapped(text: str, width: int, first: str, rest: str) -> tuple[str, ...]:
    lines = textwrap.wrap(keep_together(escaped(text)), width, initial_indent=first, subsequent_indent=rest)
    return tuple(map(let_go, lines))


def cells(text: str) -> int:
    """Columns that a text takes: wide signs two, joining signs none."""
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) > 0 for c in text)


def cut(text: str, width: int) -> str:
    """Text of at most `width` columns; three dots where something is left out."""
    if cells(text) <= width:
        return text
    while text and cells(text) > width - 3:
        text = text[:-1]
    return text + "..." if width >= 3 else ""


def bar(share: float, width: int, look: Look) -> str:
    """A bar of `width` columns; anything above nothing shows at least one sign."""
    full = min(width, max(1 if share >= 0.005 else 0, round(share * width)))
    return look.full * full + look.empty * (width - full)


def width_of(row: Sequence[Piece]) -> int:
    """Columns that a row takes."""
    return sum(cells(text) for _, text in row)


def beside(left: Row, right: Row, at: int) -> Row:
    """Two rows as one, the right one starting at column `at`."""
    return [*left, ("", " " * max(1, at - width_of(left))), *right]
