"""What the failure pattern of a repair does to an identification: the same answers with one more, held side by side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from whichresin.knowledge.model import Model

from .events import Answered
from .interview import Interview
from .reasons import value_text
from .result import Chance, Result
from .state import State

_SHOWN = 4  # rows of a list worth reading
_SHIFT = 0.02  # a change smaller than this is no news


@dataclass(frozen=True, slots=True)
class Moved:
    """How likely something was before the pattern was told, and is after it."""

    id: str
    name: str
    before: float
    after: float

    def as_json(self) -> dict[str, Any]:
        """The change as an object."""
        return {"id": self.id, "name": self.name, "before": round(self.before, 6), "after": round(self.after, 6)}


@dataclass(frozen=True, slots=True)
class Reopened:
    """Before and after. `reopens`: another repair cell leads now, or what was settled is open again."""

    cue: str
    value: str
    told: str  # the answer in plain words
    cells: tuple[Moved, ...]
    polymers: tuple[Moved, ...]
    status_before: str
    status_after: str
    reopens: bool
    sentence: str
    next_question: str

    def as_json(self) -> dict[str, Any]:
        """The comparison as an object."""
        return {
            "cue": self.cue,
            "value": self.value,
            "told": self.told,
            "cells": [moved.as_json() for moved in self.cells],
            "polymers": [moved.as_json() for moved in self.polymers],
            "status_before": self.status_before,
            "status_after": self.status_after,
            "reopens": self.reopens,
            "sentence": self.sentence,
            "next_question": self.next_question or None,
        }


def reopen(model: Model, state: State, cue: str, value: str) -> Reopened:
    """Take the pattern as an answer (in place of an earlier one to the same cue) and compare.

    Raises KeyError for a cue and ValueError for a value that the knowledge does not have.
    """
    if value not in {one.id for one in model.cues[cue].values}:
        raise ValueError(f"{value} is no answer to {cue}")
    without = replace(state, answers={name: a for name, a in state.answers.items() if name != cue})
    before = Interview(model, without).result
    after = Interview(model, without.with_answer(Answered(cue, value))).result
    cells = _moves(before.cells, after.cells)
    changed = bool(before.cells and after.cells and before.cells[0].id != after.cells[0].id)
    unsettled = before.status == "concluded" and after.status != "concluded"
    return Reopened(
        cue,
        value,
        value_text(model, cue, value),
        cells,
        _moves(before.polymers, after.polymers, by_symbol=True),
        before.status,
        after.status,
        changed or unsettled,
        _sentence(before, after, cells, changed, unsettled),
        after.next.question if after.next is not None else "",
    )


def _moves(before: Iterable[Chance], after: Iterable[Chance], by_symbol: bool = False) -> tuple[Moved, ...]:
    names = {chance.id: chance.symbol if by_symbol else chance.name for chance in (*before, *after)}
    was, now = ({chance.id: chance.probability for chance in chances} for chances in (before, after))
    found = [Moved(id, name, was.get(id, 0.0), now.get(id, 0.0)) for id, name in names.items()]
    return tuple(sorted(found, key=lambda moved: (-moved.after, moved.id))[:_SHOWN])


def _sentence(before: Result, after: Result, cells: tuple[Moved, ...], changed: bool, unsettled: bool) -> str:
    if not cells:
        return "Nothing is believed of the part yet; answer some questions first."
    lead = cells[0]
    if changed:
        old = before.cells[0].name
        return (
            f"The pattern turns the conclusion: now most likely {lead.name}, before it {old}. Identify the part again."
        )
    if unsettled:
        return f"Still most likely {lead.name}, but what was settled is open again: ask on before the next repair."
    if abs(lead.after - lead.before) < _SHIFT:
        return "The pattern hardly moves the belief: look for the fault in the work, not in the plastic."
    if lead.after > lead.before:
        return f"The pattern fits {lead.name}, which is more likely than before."
    return f"The pattern speaks against {lead.name}, still the most likely: repeat the answer you are least sure of."
