"""Problems as text: one line each, and on a terminal the line of the file with a caret under the place."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from whichresin.knowledge.problems import Problem
from whichresin.vocabulary.text import escaped

_SIDE = "    "
_CUT = "..."


def plain_lines(problems: Iterable[Problem]) -> Iterator[str]:
    """One line a problem, for files and pipes."""
    return (str(problem) for problem in problems)


def caret_lines(
    problems: Iterable[Problem], width: int, read_lines: Callable[[str], list[str]] | None = None
) -> Iterator[str]:
    """As `plain_lines`, with the line of the file below each and a caret under the place, `width` columns wide."""
    read_lines = read_lines or _lines_of
    known: dict[str, list[str]] = {}
    for problem in problems:
        yield str(problem)
        if problem.line < 1:
            continue
        if problem.file not in known:
            known[problem.file] = read_lines(problem.file)
        lines = known[problem.file]
        if problem.line <= len(lines):
            yield from _under(lines[problem.line - 1], problem.column, max(width - len(_SIDE), 20))


def _under(line: str, column: int, room: int) -> Iterator[str]:
    """The line, cut so that the place is in it, and the caret. A tab counts as one column and is shown as a space."""
    cells = [_cell(letter) for letter in line.rstrip("\r\n")]
    at = min(max(column - 1, 0), len(cells))
    start = 0
    while _wide(cells[start : at + 1]) > room * 2 // 3:
        start += 1
    end = len(cells)
    lead = _CUT if start else ""
    while _wide(cells[start:end]) + len(lead) > room - len(_CUT) and end > at + 1:
        end -= 1
    tail = _CUT if end < len(cells) else ""
    yield f"{_SIDE}{lead}{''.join(cells[start:end])}{tail}".rstrip()
    yield _SIDE + " " * (len(lead) + _wide(cells[start:at])) + "^"


def _cell(letter: str) -> str:
    """What is shown for one character: never one that a terminal would act on."""
    return " " if letter == "\t" else escaped(letter)


def _wide(cells: Iterable[str]) -> int:
    """Columns on a terminal: two for wide letters, none for marks that sit on the letter before."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for cell in cells
        for letter in cell
    )


def _lines_of(file: str) -> list[str]:
    try:
        text = Path(file).read_bytes().decode("utf-8-sig", "replace")
    except OSError:
        return []
    return text.replace("\r\n", "\n").split("\n")
