"""Belief and firings put into words: chances, confidence, what is open, what a wrong call costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from whichresin.belief import hypotheses
from whichresin.belief.decision import DEFER, Verdict
from whichresin.belief.hypotheses import Belief
from whichresin.knowledge.model import Model

from .result import Chance, Filled, Question, Said, WrongCall

OUTSIDE = "none of the plastics known here"
CLASSES = ("thermoplastic", "thermoset", "elastomer")
STATED_AT = 0.75  # the class is stated from here on; below it is undetermined; from memory
_LISTED = 8
_LEAST_SHOWN = 0.005
_OPEN_AT = 0.10  # a rival as likely as this is still open


def how_sure(model: Model, probability: float) -> str:
    """The confidence word that matches a number (shared/words.yaml)."""
    return next(word for least, word in model.how_sure if probability >= least)


def class_chances(model: Model, belief: Belief) -> dict[str, float]:
    """Probability of the three classes; what is missing to 1 is 'none of these'."""
    sums = hypotheses.by_class(model, belief)
    return {name: sums.get(name, 0.0) for name in CLASSES}


def stated_class(model: Model, chances: Mapping[str, float], withheld: bool = False) -> tuple[str, str]:
    """(class or 'undetermined', confidence word); with the conclusion `withheld` no class is stated."""
    best = max(chances, key=lambda name: chances[name])
    if withheld:
        return "undetermined", how_sure(model, 0.0)
    if chances[best] < STATED_AT:
        return "undetermined", how_sure(model, chances[best])
    return best, how_sure(model, chances[best])


def polymers(model: Model, belief: Belief) -> tuple[Chance, ...]:
    """Materials, best first."""
    return tuple(
        Chance(id, m.symbol, m.name, p, how_sure(model, p), m.klass, m.note)
        for id, p in _listed(hypotheses.by_material(model, belief))
        for m in [model.materials[id]]
    )


def compounds(model: Model, belief: Belief) -> tuple[Chance, ...]:
    """Compounds, best first."""
    top = hypotheses.top_compounds(model, belief, _LISTED)
    return tuple(
        Chance(c.id, c.symbol, c.name, p, how_sure(model, p), c.klass)
        for c, p in top
        if p >= _LEAST_SHOWN or c is top[0][0]
    )


def cells(model: Model, belief: Belief, may_repair: bool) -> tuple[Chance, ...]:
    """Repair cells, best first; what a cell means for the next step stands in its note.

    The note tells how to repair, so it is left out as long as the gate does not stand open.
    """
    return tuple(
        Chance(id, id, model.cells[id].name, p, how_sure(model, p), note=model.cells[id].means if may_repair else "")
        for id, p in hypotheses.by_cell(model, belief).items()
    )


def filled(model: Model, belief: Belief) -> Filled:
    """Whether something is mixed in, and what, best first."""
    inside = hypotheses.filled(model, belief)
    fillers = tuple(
        Chance(code, code, model.fillers[code].name, p, how_sure(model, p))
        for code, p in hypotheses.by_filler(model, belief).items()
        if code != "none" and p >= 0.01
    )
    return Filled(inside, how_sure(model, inside), hypotheses.by_filler_kind(model, belief), fillers[:_LISTED])


def _listed(sums: Mapping[str, float]) -> list[tuple[str, float]]:
    pairs = list(sums.items())
    return [pair for pair in pairs[:_LISTED] if pair[1] >= _LEAST_SHOWN] or pairs[:1]


def wrong_calls(model: Model, belief: Belief, verdict: Verdict) -> tuple[WrongCall, ...]:
    """For each other cell that is not ruled out: the minutes lost if the part is that and is treated as believed."""
    losses = model.losses
    if verdict.action == DEFER or verdict.action not in losses.actions:
        return ()
    column = losses.actions.index(verdict.action)
    found = []
    for cell, p in hypotheses.by_cell(model, belief).items():
        minutes = losses.table[losses.cells.index(cell)][column]
        if cell != verdict.action and p >= 0.01 and minutes > 0:
            found.append(WrongCall(model.cells[cell].name, p, minutes))
    return tuple(sorted(found, key=lambda call: -call.probability * call.minutes)[:5])


def open_points(
    model: Model,
    belief: Belief,
    decision_questions: Sequence[Question],
    name_questions: Sequence[Question],
) -> tuple[Said, ...]:
    """What is not settled, and the test that would tell most about it."""
    found = []
    chances = class_chances(model, belief)
    close = [name for name, p in chances.items() if p >= _OPEN_AT]
    if len(close) > 1:
        found.append(_open("class", " or ".join(close), decision_questions or name_questions))
    names = [id for id, p in hypotheses.by_material(model, belief).items() if p >= _OPEN_AT][:4]
    if len(names) > 1:
        symbols = dict.fromkeys(model.materials[id].symbol for id in names)
        found.append(_open("polymer", " or ".join(symbols), name_questions or decision_questions))
    inside = hypotheses.filled(model, belief)
    if _OPEN_AT <= inside <= 1 - _OPEN_AT:
        found.append(_open("filled", "filled or not", name_questions or decision_questions))
    return tuple(found)


def _open(name: str, what: str, questions: Sequence[Question]) -> Said:
    best = questions[0] if questions else None
    told = f"would tell most: {best.question}" if best else "no test left here tells them apart; a laboratory can"
    return Said(name, best.cue if best else "", f"{what}: {told}", "The answers so far fit more than one.")


