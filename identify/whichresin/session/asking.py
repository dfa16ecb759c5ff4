"""Which questions may be asked now, which are kept back and why, and which comes first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whichresin.engine.chain import Chain
from whichresin.engine.rules import Rule
from whichresin.knowledge.model import Cue, Model

from .reasons import rules_for, spoken_by
from .result import Question, Said
from .state import State

_OFF = {
    "burn": "Burn tests are off for this part until they are allowed.",
    "solvent": "Drops of solvent are off for this part until they are allowed.",
}
_TOLD_APART = ("choice", "set", "number")  # kinds whose answers can be foreseen and so weighed beforehand


@dataclass(frozen=True, slots=True)
class Askable:
    """Cues that may be proposed now, in file order, and what keeps the others back."""

    cues: tuple[str, ...]
    kept_back: tuple[Said, ...]
    opt_in: tuple[str, ...]  # kinds of test that leave would open


def askable(model: Model, state: State, chain: Chain) -> Askable:
    """Sort every unanswered bench and part cue into askable and kept back."""
    withheld: dict[str, Rule] = dict(rules_for(model, chain, "withhold"))
    unlocked = {value for value, _ in spoken_by(model, chain, "unlock")}
    cues: list[str] = []
    kept: list[Said] = []
    opt_in: list[str] = []
    for cue in model.cues.values():
        if cue.id in state.answers or cue.id in state.declined or cue.kind not in _TOLD_APART:
            continue
        if not cue.askable or cue.topic == "gate" or (cue.table is None and not cue.physics):
            continue
        if cue.id in withheld:
            rule = withheld[cue.id]
            kept.append(Said(cue.id, "withheld", cue.question, rule.because, rule=rule.id))
        elif cue.opt_in and cue.opt_in not in state.allowed:
            kept.append(Said(cue.id, cue.opt_in, cue.question, _OFF[cue.opt_in]))
            opt_in.append(cue.opt_in)
        elif cue.locked and cue.id not in unlocked:
            kept.append(Said(cue.id, "locked", cue.question, "Nothing seen so far makes this test worth its trouble."))
        else:
            cues.append(cue.id)
    return Askable(tuple(cues), tuple(kept), tuple(sorted(set(opt_in))))


def liquid_may_be_made(model: Model, state: State, chain: Chain) -> bool:
    """Whether a made float liquid may be proposed: rules withhold it like any test, and a person may refuse it."""
    cue = next((cue for cue in model.cues.values() if cue.physics == "float_liquids" and cue.askable), None)
    if cue is None or cue.id in state.declined:
        return False
    return cue.id not in {value for value, _ in spoken_by(model, chain, "withhold")}


def gate_question(model: Model, state: State, gate: str) -> Cue | None:
    """The gate cue to ask next: what the part does comes before what it is made of; one put off comes last."""
    if gate == "shut":
        return None
    waiting = [
        cue
        for cue in model.cues.values()
        if cue.topic == "gate" and cue.askable and cue.id not in state.answers and cue.id not in state.declined
    ]
    return min(waiting, key=lambda cue: (_turn(state, cue.id), cue.minutes, cue.id), default=None)


def _turn(state: State, cue: str) -> int:
    """0 for a cue that was not put off; then 1 for the one put off longest, and so on."""
    return state.put_off.index(cue) + 1 if cue in state.put_off else 0


def first_in_turn(state: State, ranked: Sequence[Question]) -> Question:
    """The best question that was not put off; when all that are worth asking were, the one put off longest.

    `ranked` is best first, and its first is worth asking.
    """
    worth_asking = [ranked[0], *(question for question in ranked[1:] if question.worth > 0)]
    return min(worth_asking, key=lambda question: _turn(state, question.cue))


def as_question(model: Model, cue: Cue, worth: float, **more: object) -> Question:
    """A cue as a question with its worth."""
    return Question(
        cue.id,
        cue.question,
        worth,
        cue.minutes,
        cue.hazard,
        tuple((value.id, value.text) for value in cue.values),
        cue.kind,
        cue.cautions,
        **more,  # type: ignore[arg-type]
    )
