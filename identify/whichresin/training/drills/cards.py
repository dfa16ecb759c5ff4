"""The two drills that need no bench: gate cards, and one test with its result."""

from __future__ import annotations

import random
from dataclasses import dataclass

from whichresin.belief.sampling import draw_index
from whichresin.knowledge.model import Cue, Model, PartKind

from .specimen import Specimen, can_be_shown, draw_compound

GATES = {
    "open": "yes, if what it does and its state allow it",
    "ask": "ask first what it does on this machine",
    "refer": "no: to the maker's procedure or licensed practice",
    "replace": "no: replace it",
}
_STRICT = ("refer", "replace")
_SPREAD = 4  # choices of a one-test card
_CLEAR = 2.0  # the best of the four gives the result so many times as often as the next; else the card is unfair
_TRIES = 200


@dataclass(frozen=True, slots=True)
class GateCard:
    """A part in the words people use for it."""

    words: str
    kind: PartKind

    def right(self, said: str) -> bool:
        """Whether the gate was called rightly. Asking where the gate is shut is wrong: it leaves the door ajar."""
        return said == self.kind.gate

    def harmful(self, said: str) -> bool:
        """Whether somebody could be hurt by this call: leave to repair what must be referred or replaced."""
        return self.kind.gate in _STRICT and said not in _STRICT


@dataclass(frozen=True, slots=True)
class TestCard:
    """A test, its result, and four materials to choose from; `speaks_for` is the one that gives it most often."""

    cue: Cue
    result: str
    materials: tuple[str, ...]
    chances: tuple[float, ...]

    @property
    def speaks_for(self) -> str:
        """The material of the four that gives this result most often."""
        return self.materials[max(range(len(self.materials)), key=lambda i: self.chances[i])]


def gate_cards(model: Model, seed: str, number: int) -> list[GateCard]:
    """So many cards, never the same part twice while there are others; at least half of them must not be repaired."""
    rng = random.Random(f"{seed}:gate")
    shut = [k for k in model.parts.values() if k.gate in _STRICT]
    others = [k for k in model.parts.values() if k.gate not in _STRICT]
    rng.shuffle(shut)
    rng.shuffle(others)
    half = min((number + 1) // 2, len(shut))
    chosen = (shut[:half] + others)[:number]
    rng.shuffle(chosen)
    return [GateCard(rng.choice((kind.name, *kind.words)), kind) for kind in chosen]


def test_card(model: Model, seed: str) -> TestCard:
    """A test with its result, and four materials of which one gives that result clearly more often than the others."""
    for again in range(_TRIES):
        card = _draw_card(model, f"{seed}:{again}")
        best, second = sorted(card.chances)[-1:-3:-1]
        if best >= _CLEAR * second:
            return card
    raise ValueError("no test of this knowledge tells four of its materials apart; give the cues expectations")


def _draw_card(model: Model, seed: str) -> TestCard:
    rng = random.Random(f"{seed}:card")
    specimen = Specimen(model, draw_compound(model, "whole", seed), seed)
    cues = [c for c in model.cues.values() if can_be_shown(c) and c.kind == "choice" and c.table is not None]
    cue = cues[int(rng.random() * len(cues))]
    place = [v.id for v in cue.values].index(str(specimen.show(cue)))
    chances = _given_by(model, cue, place)
    names, known = [specimen.truth.material], list(model.materials)
    while len(names) < min(_SPREAD, len(known)):
        weights = [model.materials[m].share if m not in names else 0.0 for m in known]
        names.append(known[draw_index(weights, rng.random)])
    rng.shuffle(names)
    return TestCard(cue, cue.values[place].text, tuple(names), tuple(chances[name] for name in names))


def _given_by(model: Model, cue: Cue, place: int) -> dict[str, float]:
    """Material -> how often it gives this answer, its compounds by their share."""
    assert cue.table is not None
    found: dict[str, list[float]] = {}
    for compound, row in zip(model.compounds, cue.table.row_of, strict=True):
        if compound.material in model.materials:
            sums = found.setdefault(compound.material, [0.0, 0.0])
            sums[0] += compound.prior * cue.table.rows[row][place]
            sums[1] += compound.prior
    return {name: top / whole if whole else 0.0 for name, (top, whole) in found.items()}
