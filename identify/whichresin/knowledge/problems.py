"""A problem is a value: where it is, how bad, what was found, what was expected and what to do instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from whichresin.vocabulary.text import escaped

LEVELS = ("error", "warning", "note")


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing to tell the author. Sorts by place. `line` and `column` count from 1; 0 means the whole file."""

    file: str
    line: int
    column: int
    level: str
    code: str
    sentence: str
    hint: str = ""

    def __str__(self) -> str:
        """`file:line:column: level: sentence; hint [code]`, free of control characters."""
        hint = f"; {self.hint}" if self.hint else ""
        text = f"{self.file}:{self.line}:{self.column}: {self.level}: {self.sentence}{hint} [{self.code}]"
        return escaped(text)


class Report:
    """Collects problems while files are read; nothing stops at the first fault."""

    def __init__(self) -> None:
        self._found: list[Problem] = []

    def __len__(self) -> int:
        """How many problems were told so far."""
        return len(self._found)

    def add(self, level: str, code: str, file: str, line: int, column: int, sentence: str, hint: str = "") -> None:
        self._found.append(Problem(file, line, column, level, code, sentence, hint))

    def since(self, told: int) -> tuple[Problem, ...]:
        """What was told after the first `told` problems."""
        return tuple(self._found[told:])

    def extend(self, problems: Iterable[Problem]) -> None:
        self._found.extend(problems)

    @property
    def has_errors(self) -> bool:
        return any(problem.level == "error" for problem in self._found)

    def errors_so_far(self) -> int:
        return sum(problem.level == "error" for problem in self._found)

    def has_errors_under(self, folder: str) -> bool:
        """Whether a file whose path holds `folder` has an error."""
        return any(one.level == "error" and folder in one.file.replace("\\", "/") for one in self._found)

    def sorted(self) -> tuple[Problem, ...]:
        """All problems, each once, by file, line and column."""
        return tuple(sorted(set(self._found)))


def did_you_mean(found: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or an empty text."""
    from whichresin.vocabulary.words import nearest  # not needed as long as all is well

    near = nearest(found, known)
    return f"did you mean '{near}'?" if near else ""
