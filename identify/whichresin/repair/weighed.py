"""The ways that may be taken for a case, and what each process is expected to lose under the belief."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from .case import Case
from .ways import Way, best_each, sure_enough, ways_of


@dataclass(frozen=True, slots=True)
class Weighed:
    """The ways that may be taken, and the best of each process, least loss first."""

    ways: tuple[Way, ...]  # all whose conditions hold, those barred by doubt included
    open: tuple[tuple[Way, float], ...]

    @property
    def chosen(self) -> Way | None:
        """The way with the least expected loss."""
        return self.open[0][0] if self.open else None


def weigh(case: Case, holding: Collection[str], rods: Collection[str] | None = None) -> Weighed:
    """All ways, and what each process is expected to lose under the belief."""
    at_hand = case.rods if rods is None else rods
    ways = ways_of(case.model, case.book, holding, at_hand, case.gate.state)
    beliefs = (case.state.belief.compounds, case.said.compounds)
    allowed = sure_enough(case.model, case.book, ways, beliefs, at_hand)
    return Weighed(tuple(ways), tuple(best_each(allowed, case.state.belief.compounds)))
