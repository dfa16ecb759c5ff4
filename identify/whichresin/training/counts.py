"""Answers on plaques of known material, kept as bare counts: no names, no times, no order.

    {"schema": 1, "counts": {cue: {compound: {"looks": n, "seen": {value: n}}}}}

`looks` is how often the cue was answered on that compound; of a choice cue the counts of `seen` add up to it, of a
set cue each is between 0 and it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from whichresin.belief.likelihood import Answer
from whichresin.knowledge.model import Cue


class BadCounts(ValueError):
    """A file of counts that cannot be read; the message is one sentence with the file's name."""


@dataclass(slots=True)
class Cell:
    """Counts of one cue on one compound."""

    looks: int = 0
    seen: dict[str, int] = field(default_factory=dict)


@dataclass(slots=True)
class Counts:
    """(cue, compound) -> counts."""

    cells: dict[tuple[str, str], Cell] = field(default_factory=dict)

    def add(self, cue: Cue, compound: str, answer: Answer) -> None:
        """Count one answer. A measured figure is no word and is left out."""
        if cue.kind == "choice":
            words: tuple[str, ...] = (str(answer),)
        elif cue.kind == "set" and isinstance(answer, tuple):
            words = tuple(str(word) for word in answer)
        else:
            return
        cell = self.cells.setdefault((cue.id, compound), Cell())
        cell.looks += 1
        for word in words:
            cell.seen[word] = cell.seen.get(word, 0) + 1

    def join(self, other: Counts) -> None:
        """Add the counts of another file."""
        for key, theirs in other.cells.items():
            own = self.cells.setdefault(key, Cell())
            own.looks += theirs.looks
            for word, n in theirs.seen.items():
                own.seen[word] = own.seen.get(word, 0) + n

    def as_json(self) -> dict[str, Any]:
        """The document that is written, sorted."""
        found: dict[str, dict[str, Any]] = {}
        for (cue, compound), cell in sorted(self.cells.items()):
            found.setdefault(cue, {})[compound] = {"looks": cell.looks, "seen": dict(sorted(cell.seen.items()))}
        return {"schema": 1, "counts": found}


def read_counts(path: Path) -> Counts:
    """Read a file of counts. Raises BadCounts, OSError."""
    counts = Counts()
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        for cue, rows in held["counts"].items():
            for compound, row in rows.items():
                counts.cells[(str(cue), str(compound))] = _cell(row)
    except (ValueError, KeyError, TypeError, AttributeError):
        raise BadCounts(f"{path} holds no counts; name a file that 'whichresin drill --counts' wrote") from None
    return counts


def _cell(row: Mapping[str, Any]) -> Cell:
    looks = row["looks"]
    seen = {str(word): n for word, n in row["seen"].items()}
    if any(type(n) is not int or not 0 <= n <= looks for n in (looks, *seen.values())):
        raise ValueError("not a count")
    return Cell(looks, seen)


def add_to_file(path: Path, counts: Counts) -> None:
    """Add to the counts in a file, which need not exist. Raises BadCounts, OSError."""
    whole = read_counts(path) if path.exists() else Counts()
    whole.join(counts)
    beside = path.with_name(path.name + ".new")
    beside.write_text(json.dumps(whole.as_json(), indent=1) + "\n", encoding="utf-8")
    beside.replace(path)
