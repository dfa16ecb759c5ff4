"""What one answer taught: how far it moved the belief, and which rules fired because of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .result import Chance, Result, Said

_STEPS = ((0.03, "none"), (0.12, "small"), (0.3, "clear"))  # share of the belief that moved; from memory
_MOVED = 0.03  # a material that moved less is not worth a word


@dataclass(frozen=True, slots=True)
class Shift:
    """Something whose probability moved."""

    name: str
    before: float
    after: float

    @property
    def moved(self) -> float:
        """Signed change of the probability."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Learned:
    """The difference between two results. `step` is the size of the move: none, small, clear or big."""

    step: str
    klass: Shift
    up: Shift | None  # the material that gained most
    down: Shift | None  # the material that lost most
    filled: Shift | None
    follows: tuple[Said, ...]  # what rules say now and did not say before
    no_longer: tuple[Said, ...]  # what they said before and do not say now


def learned(before: Result, after: Result) -> Learned:
    """What lies between two results of one interview."""
    shifts = _shifts(before, after)
    gained = max(shifts, key=lambda shift: shift.moved, default=None)
    lost = min(shifts, key=lambda shift: shift.moved, default=None)
    share = sum(abs(shift.moved) for shift in shifts) / 2
    name = max(after.class_chances, key=lambda klass: after.class_chances[klass])
    filled = Shift("filled", before.filled.probability, after.filled.probability)
    return Learned(
        step=next((word for below, word in _STEPS if share < below), "big"),
        klass=Shift(name, before.class_chances[name], after.class_chances[name]),
        up=gained if gained is not None and gained.moved >= _MOVED else None,
        down=lost if lost is not None and lost.moved <= -_MOVED else None,
        filled=filled if abs(filled.moved) >= _MOVED else None,
        follows=_new(before, after),
        no_longer=_new(after, before),
    )


def _shifts(before: Result, after: Result) -> list[Shift]:
    """Every material listed in either result; what is too unlikely to be listed counts as nothing."""
    old, new = _by_id(before), _by_id(after)
    found = []
    for id, chance in {**old, **new}.items():
        was, now = old.get(id), new.get(id)
        found.append(Shift(chance.symbol, was.probability if was else 0.0, now.probability if now else 0.0))
    found.append(Shift("none of these", before.none_of_these, after.none_of_these))
    return found


def _by_id(result: Result) -> Mapping[str, Chance]:
    return {chance.id: chance for chance in result.polymers}


def _new(before: Result, after: Result) -> tuple[Said, ...]:
    known = {(said.name, said.value) for said in before.derived}
    return tuple(said for said in after.derived if (said.name, said.value) not in known)
