"""The ways in which a condition can hold: each a list of what must be there and what must not."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, TypeVar

from .conditions import All, Condition, Equals, Known, Never, NotKnown, OneOf, Some, Var, Within

Positive = Equals | OneOf | Within | Known
Negative = Never | NotKnown
Part = TypeVar("Part")


_NESTED = (All, Some, Never)
_BARS = (Never, NotKnown)
_SPLITS = (All, Some)


class Way(NamedTuple):
    """One conjunction: every `needs` has a fact, every `bars` holds too and lends no fact."""

    needs: tuple[Positive, ...]
    bars: tuple[Negative, ...]

    def variables(self) -> tuple[str, ...]:
        """The variables that get a value from `needs`, in order of appearance."""
        return tuple(dict.fromkeys(variables_of(self.needs)))


def ways(condition: Condition) -> list[Way]:
    """All ways in which `condition` holds, repetitions dropped, in the order written.

    A condition written twice is one condition. `Some` multiplies ways: two of three parts each make nine. A
    single-name choice (`OneOf`) does not.
    """
    if isinstance(condition, All):
        found = [Way((), ())]
        needs: tuple[Positive, ...] = ()
        bars: tuple[Negative, ...] = ()
        for part in condition.parts:
            if isinstance(part, _SPLITS):
                found = [Way(a.needs + needs, a.bars + bars) for a in found]
                found = [Way(a.needs + b.needs, a.bars + b.bars) for a in found for b in ways(part)]
                needs, bars = (), ()
            elif isinstance(part, _BARS):
                bars += (part,)
            else:
                needs += (part,)
        found = [Way(_distinct(a.needs + needs), _distinct(a.bars + bars)) for a in found]
    elif isinstance(condition, Some):
        found = [way for part in condition.parts for way in ways(part)]
    elif isinstance(condition, _BARS):
        return [Way((), (condition,))]
    else:
        return [Way((condition,), ())]
    return list(dict.fromkeys(found)) if len(found) > 1 else found


def _distinct(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    return tuple(dict.fromkeys(parts)) if len(parts) > 1 else parts


def variables_of(parts: Iterable[Condition]) -> list[str]:
    """The variables named in these conditions at any depth, in order of appearance."""
    names: list[str] = []
    for part in parts:
        if isinstance(part, Equals):
            if isinstance(part.value, Var):
                names.append(part.value.name)
        elif isinstance(part, _NESTED):
            names += variables_of(part.parts)
    return names
