"""Which cautions go before a step: those it names, and those that its work and the plastic bring up."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from whichresin.belief.hypotheses import Belief
from whichresin.knowledge.model import Caution, Model
from whichresin.knowledge.repair_model import StepRow

from .case import Case

ALWAYS = "any"
LEVELS = ("danger", "warning", "care")
# Belief in a plastic from which a caution on it counts; from memory.
_RECKONED_FROM = {"danger": 0.01, "warning": 0.03, "care": 0.05}


def for_step(model: Model, step: StepRow, applying: Collection[str]) -> tuple[str, ...]:
    """Caution ids to show before the step, worst first; `applying` are those that hold for this part."""
    brought = [
        one.id
        for one in model.cautions.values()
        if one.id in applying and any(work in one.processes for work in step.work)
    ]
    return worst_first(model, (*step.cautions, *brought))


def applying(case: Case, holding: Collection[str]) -> frozenset[str]:
    """The cautions whose parts and materials fit this part, whatever the work."""
    return frozenset(one.id for one in case.model.cautions.values() if applies(case, one, holding))


def worst_first(model: Model, ids: Iterable[str]) -> tuple[str, ...]:
    """Each caution once, by level and then in the order given."""
    return tuple(sorted(dict.fromkeys(ids), key=lambda one: LEVELS.index(model.cautions[one].level)))


def applies(case: Case, caution: Caution, holding: Collection[str]) -> bool:
    """Whether the caution holds for this part: its parts and its materials."""
    if caution.parts and ALWAYS not in caution.parts and caution.id not in case.warned:
        return False
    if not caution.materials or ALWAYS in caution.materials:
        return True
    stuff = dict(case.book.stuff)
    for word in caution.materials:
        compounds = compounds_called(case.model, word)
        if compounds:
            if _weight(case.said, compounds) >= _RECKONED_FROM[caution.level]:
                return True
        elif word not in stuff or stuff[word] in holding:
            return True
    return False


def _weight(belief: Belief, compounds: Iterable[int]) -> float:
    return sum(belief.compounds[index] for index in compounds)


def compounds_called(model: Model, word: str) -> tuple[int, ...]:
    """The compounds that a caution's material word means (`PA66`, `PA66-CF30`, `UP-GF SMC`); none for other words."""
    head, dash, tail = word.rpartition("-")
    letters = tail.rstrip("0123456789")
    return tuple(
        index
        for index, compound in enumerate(model.compounds)
        if compound.material == word or (dash and letters and (compound.material, compound.filler) == (head, letters))
    )
