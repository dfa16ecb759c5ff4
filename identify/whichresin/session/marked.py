"""A moulded marking as evidence: decoded, with its odds, over compounds; never as certainty."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from whichresin.knowledge.model import Model
from whichresin.marking.decoder import decode
from whichresin.marking.fit import weights
from whichresin.marking.load import load
from whichresin.marking.reading import Decoding
from whichresin.marking.tables import Tables

_READINGS = 5
_LIES_AT = 0.5  # from here on the marking is said to speak against the answers; from memory


@dataclass(frozen=True, slots=True)
class Marked:
    """A marking that was read: P(text | compound) up to one factor, and the part of it that any part would have."""

    decoding: Decoding
    weights: tuple[float, ...]

    @property
    def readable(self) -> bool:
        """Whether it says anything."""
        return self.decoding.verdict != "unreadable"


@lru_cache(maxsize=1)
def tables() -> Tables:
    """The marking tables, loaded when the first marking is typed."""
    return load()


def read_marking(model: Model, text: str) -> Marked:
    """Decode a marking and weigh it over the model's compounds."""
    decoding = decode(text, tables())
    return Marked(decoding, tuple(weights(decoding, model.compounds, tables())))


def chance_of_lying(marked: Marked, chances: Sequence[float]) -> float:
    """How likely it is, after all answers, that the marking belongs to another part (wrong insert, swapped part).

    Each weight is a true part plus the floor that a wrong insert has for every compound; `chances` is the
    belief with the marking weighed in.
    """
    if not marked.readable:
        return 0.0
    floor = min(marked.weights)
    return sum(p * floor / w for p, w in zip(chances, marked.weights, strict=True) if w > 0)


def lies(marked: Marked, chances: Sequence[float]) -> bool:
    """Whether the answers speak against the marking."""
    return chance_of_lying(marked, chances) >= _LIES_AT


def leading_text(marked: Marked) -> str:
    """The leading reading, or the text itself where nothing can be read."""
    return marked.decoding.readings[0].text if marked.readable else marked.decoding.text


def as_json(marked: Marked, chances: Sequence[float]) -> Mapping[str, Any]:
    """How the marking was read and how it sits with the answers."""
    decoding = marked.decoding
    lying = chance_of_lying(marked, chances)
    return {
        "text": decoding.text,
        "verdict": decoding.verdict,
        "readings": [reading.as_dict() for reading in decoding.readings[:_READINGS]] if marked.readable else [],
        "not_a_marking": round(decoding.not_a_marking, 6),
        "belongs_to_another_part": round(lying, 6),
        "text_for_people": _for_people(marked),
    }


def _for_people(marked: Marked) -> str:
    decoding = marked.decoding
    if not marked.readable:
        return f"The marking cannot be read: {decoding.says}."
    shown = [r for r in decoding.readings[:3] if r.probability >= 0.03] or list(decoding.readings[:1])
    odds = ", ".join(f"{r.text} {min(99, max(1, round(r.probability * 100)))} %" for r in shown)
    return f"Marking read as {odds}: {shown[0].meaning}."
