"""From counted answers to proposed expectations: what the tables say, corrected by what a class saw on known plaques.

Model of one cue on one compound. The table's row counts as `weight` answers already seen (Dirichlet prior with
pseudo-counts weight * chance for a choice; for each word of a set cue a beta prior of its own), the class's answers are
counted on top, and mean and interval of each chance are those of the posterior (a beta distribution). The intervals
are wide enough that, in nine rows of ten, all answers of the row lie inside theirs (Bonferroni).
Answers hold slips, the tables do not: a chance f of an answer given becomes (f - s * slip) / (1 - s), where s is the
chance that an answer is a slip and `slip` how often a slip gives this answer (shared/observer.yaml).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from whichresin.belief.likelihood import slip_answers
from whichresin.knowledge.model import Cue, Model

from .beta import beta_quantile
from .counts import Cell, Counts

WEIGHT = 10.0  # answers that the shipped figure counts as: judgement, from memory
LEAST = 10  # looks below which nothing is proposed: judgement, from memory
COVERS = 0.90  # of rows
_LEAST_CHANCE = 0.004  # as 'never_seen': no chance in a table is 0


@dataclass(frozen=True, slots=True)
class Chance:
    """One answer: what the table says now, how often it was given, and what follows."""

    value: str
    now: float
    given: int
    mean: float
    low: float
    high: float

    @property
    def off(self) -> bool:
        """Whether the table's figure lies outside the interval."""
        return not self.low <= self.now <= self.high


@dataclass(frozen=True, slots=True)
class Learned:
    """All answers of one cue on one compound."""

    cue: str
    compound: str
    looks: int
    chances: tuple[Chance, ...]

    @property
    def proposed(self) -> bool:
        """Whether some figure of the table does not fit what was seen."""
        return any(chance.off for chance in self.chances)

    def as_json(self) -> dict[str, Any]:
        """The row as an object."""
        return {
            "cue": self.cue,
            "compound": self.compound,
            "looks": self.looks,
            "propose": self.proposed,
            "answers": [
                {
                    "value": c.value,
                    "now": round(c.now, 4),
                    "given": c.given,
                    "mean": round(c.mean, 4),
                    "low": round(c.low, 4),
                    "high": round(c.high, 4),
                }
                for c in self.chances
            ],
        }


def learn(model: Model, counts: Counts, weight: float = WEIGHT, least: int = LEAST) -> list[Learned]:
    """What the counts say, by cue and compound; rows with fewer than `least` looks are left out.

    Raises KeyError with the word for a cue, compound or answer that the model does not have.
    """
    places = {compound.id: place for place, compound in enumerate(model.compounds)}
    found = []
    for (cue_id, compound), cell in sorted(counts.cells.items()):
        cue = model.cues[cue_id]
        place = places[compound]
        unknown = set(cell.seen) - {value.id for value in cue.values}
        if unknown:
            raise KeyError(min(unknown))
        if cue.table is not None and cell.looks >= least:
            found.append(Learned(cue_id, compound, cell.looks, _chances(model, cue, place, cell, weight)))
    return found


def slip_share(model: Model) -> float:
    """The chance that an answer is a slip, over the kinds of people and medium sureness."""
    skills = model.observer.skills
    whole = sum(s.share for s in skills)
    return sum(s.share * (s.muddled + (1.0 - s.muddled) * s.slip) for s in skills) / whole


def _chances(model: Model, cue: Cue, place: int, cell: Cell, weight: float) -> tuple[Chance, ...]:
    assert cue.table is not None
    row = cue.table.rows[cue.table.row_of[place]]
    slips, s = slip_answers(cue, model.observer), slip_share(model)
    tail = (1.0 - COVERS) / 2.0 / len(row)
    found = []
    for value, now, slip in zip(cue.values, row, slips, strict=True):
        given = cell.seen.get(value.id, 0)
        expected = (1.0 - s) * now + s * slip  # how often the answer is given, slips included
        a, b = weight * expected + given, weight * (1.0 - expected) + cell.looks - given
        low, high = [_without_slips(beta_quantile(p, a, b), s, slip) for p in (tail, 1.0 - tail)]
        mean = min(max(_without_slips(a / (a + b), s, slip), _LEAST_CHANCE), 1.0 - _LEAST_CHANCE)
        found.append(Chance(value.id, now, given, mean, max(low, 0.0), min(max(high, _LEAST_CHANCE), 1.0)))
    if cue.kind == "choice":
        whole = sum(c.mean for c in found)
        found = [Chance(c.value, c.now, c.given, c.mean / whole, c.low, c.high) for c in found]
    return tuple(found)


def _without_slips(f: float, s: float, slip: float) -> float:
    return (f - s * slip) / (1.0 - s)


def in_words(cue: Cue, chances: Sequence[Chance], how_often: Sequence[tuple[str, float]]) -> dict[str, str]:
    """Each answer's chance as a word of the scale where the words say the same within the intervals, else as a figure.

    `how_often` is the scale of shared/words.yaml, word and number.
    """
    words = {c.value: min(how_often, key=lambda pair: abs(pair[1] - c.mean)) for c in chances}
    whole = sum(number for _, number in words.values()) if cue.kind == "choice" else 1.0
    if all(c.low <= words[c.value][1] / whole <= c.high for c in chances):
        return {c.value: words[c.value][0] for c in chances}
    return {c.value: f"{c.mean:.3f}" for c in chances}
