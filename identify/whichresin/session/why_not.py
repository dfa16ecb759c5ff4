"""Why a question is not asked: the answer it has, the rule or leave that keeps it back, or what it is worth."""

from __future__ import annotations

from dataclasses import dataclass

from whichresin.knowledge.model import Cue, Model

from .result import Result, Said
from .state import State


@dataclass(frozen=True, slots=True)
class WhyNot:
    """Why one question is not asked now.

    `reason` is one of: answered, declined, put_off, asked (it is the next), kept_back (`said` tells why, and the
    rule), gate (what the part does comes first), shut, settled, worth (`worth` minutes, `place` among `of`), told
    (never proposed, may be volunteered).
    """

    cue: Cue
    reason: str
    said: Said | None = None
    worth: float = 0.0
    place: int = 0
    of: int = 0


def why_not(model: Model, state: State, result: Result, cue_id: str) -> WhyNot:
    """What keeps this cue from being the question asked now."""
    cue = model.cues[cue_id]
    asked = result.gate_question or result.next
    if cue_id in state.answers:
        return WhyNot(cue, "answered")
    if cue_id in state.declined:
        return WhyNot(cue, "declined")
    if asked is not None and asked.cue == cue_id:
        return WhyNot(cue, "asked")
    if cue_id in state.put_off:
        return WhyNot(cue, "put_off")
    said = next((said for said in result.kept_back if said.name == cue_id), None)
    if said is not None:
        return WhyNot(cue, "kept_back", said)
    if result.gate.state == "shut" and state.target == "decision":
        return WhyNot(cue, "shut")
    ranked = [question.cue for question in result.questions]
    if cue_id not in ranked:
        return WhyNot(cue, "gate" if cue.topic == "gate" else "told")
    place = ranked.index(cue_id)
    found = result.questions[place]
    if asked is None and found.worth > 0:
        return WhyNot(cue, "settled", worth=found.worth)
    if asked is not None and model.cues[asked.cue].topic == "gate" and place == 0:
        return WhyNot(cue, "gate", worth=found.worth)
    return WhyNot(cue, "worth", worth=found.worth, place=place + 1, of=len(ranked))
