"""Sections that give way to one another until they fit a height."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .look import Row


@dataclass(slots=True)
class Section:
    """A part of the screen in several versions, the fullest first; `at` is the one shown now."""

    name: str
    versions: Sequence[Sequence[Row]]
    at: int = 0

    @property
    def rows(self) -> Sequence[Row]:
        """The rows as they stand."""
        return self.versions[self.at] if self.versions else ()

    def give_way(self) -> bool:
        """Take the next, sparer version; False when there is none."""
        if self.at + 1 >= len(self.versions):
            return False
        self.at += 1
        return True


def fit(sections: Sequence[Section], height: int, order: Iterable[str]) -> int:
    """Let sections give way, one version at each turn of `order`, until all rows fit; returns the rows taken."""
    named = {section.name: section for section in sections}
    taken = sum(len(section.rows) for section in sections)
    for name in order:
        if taken <= height:
            break
        section = named.get(name)
        if section is not None:
            before = len(section.rows)
            if section.give_way():
                taken += len(section.rows) - before
    return taken
