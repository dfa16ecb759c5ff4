"""Counts from jobs whose material became known: what was answered at the bench, and what the part really was.

A job says the material, seldom the filler. Each job is counted for that compound of its material that its own answers
make most likely, which draws the count a little towards what the tables say already; answers on proven plaques are the
better evidence. Only jobs whose outcome says the material, or says that the identification held, are counted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from whichresin.belief.likelihood import BeliefError
from whichresin.knowledge.model import Model
from whichresin.session.events import Answered
from whichresin.session.interview import Interview
from whichresin.session.state import State, still_fits

from .counts import Counts


@dataclass(frozen=True, slots=True)
class Taken:
    """The counts, how many jobs gave some, and how many could not be used."""

    counts: Counts
    jobs: int
    left_out: int


class BadJobs(ValueError):
    """Not an export of jobs; the message is one sentence without the file's name."""


def counts_of_jobs(model: Model, exported: Any) -> Taken:
    """Counts from the document that `whichresin jobs export --json` writes. Raises BadJobs."""
    rows = exported.get("jobs") if isinstance(exported, Mapping) else None
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise BadJobs("holds no jobs; name a file that 'whichresin jobs export --json' wrote")
    counts, used = Counts(), 0
    for row in rows:
        found = _counts_of_job(model, row)
        if found is not None:
            counts.join(found)
            used += 1
    return Taken(counts, used, len(rows) - used)


def _counts_of_job(model: Model, row: Mapping[str, Any]) -> Counts | None:
    material = _material(model, row)
    answers = _answers(model, row)
    if not material or not answers:
        return None
    try:
        chances = Interview(model, State(answers=answers)).compound_chances()
    except (BeliefError, ValueError, TypeError):
        return None  # answers of a later or a foreign knowledge
    own = [i for i, compound in enumerate(model.compounds) if compound.material == material]
    compound = model.compounds[max(own, key=lambda i: (chances[i], -i))]
    counts = Counts()
    for cue, answer in answers.items():
        if model.cues[cue].table is not None:
            counts.add(model.cues[cue], compound.id, answer.value)
    return counts


def _material(model: Model, row: Mapping[str, Any]) -> str:
    """The id of the material that the job turned out to be, or ""."""
    outcomes = row.get("outcomes")
    last = outcomes[-1] if isinstance(outcomes, list) and outcomes else {}
    if not isinstance(last, Mapping):
        return ""
    really = str(last.get("really") or "")
    if not really and last.get("identification") == "held":
        said = str(row.get("polymer") or "")
        really = next((m.id for m in model.materials.values() if said in (m.id, m.symbol, m.name)), "")
    return really if really in model.materials else ""


def _answers(model: Model, row: Mapping[str, Any]) -> dict[str, Answered]:
    sheet = row.get("sheet")
    interview = sheet.get("interview") if isinstance(sheet, Mapping) else None
    answers = interview.get("answers") if isinstance(interview, Mapping) else None
    found: dict[str, Answered] = {}
    for cue, value in answers.items() if isinstance(answers, Mapping) else ():
        told = Answered(str(cue), _told(value))
        if still_fits(model, told):
            found[told.cue] = told
    return found


def _told(value: Any) -> Any:
    """A JSON value as an answer: lists become tuples."""
    return tuple(_told(item) for item in value) if isinstance(value, list) else value

