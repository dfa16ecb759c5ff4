"""What a rule asks of the facts. Conditions are plain data; matching is in `agenda`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .facts import Value, say_value


@dataclass(frozen=True, slots=True)
class Var:
    """A variable: takes the value of the fact it meets; the same value wherever it stands in one rule."""

    name: str


@dataclass(frozen=True, slots=True)
class Equals:
    """Some fact `name` has this value."""

    name: str
    value: Value | Var


@dataclass(frozen=True, slots=True)
class OneOf:
    """Some fact `name` has one of these values."""

    name: str
    values: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Within:
    """Some fact `name` has a number in this interval; a missing bound is None."""

    name: str
    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False


@dataclass(frozen=True, slots=True)
class Known:
    """Some fact `name` exists, whatever its value."""

    name: str


@dataclass(frozen=True, slots=True)
class NotKnown:
    """No fact `name` exists (negation: puts the rule in a later stratum than rules that conclude `name`)."""

    name: str


@dataclass(frozen=True, slots=True)
class All:
    """Every part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Some:
    """At least one part holds; each way of holding is a support of its own."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Never:
    """No part holds (negation). A variable inside must be bound outside, or stands for 'any value'.

    It lends no support and binds nothing, whatever stands inside (also another `Never`).
    """

    parts: tuple[Condition, ...]


Condition = Equals | OneOf | Within | Known | NotKnown | All | Some | Never

Elementary = Equals | OneOf | Within | Known | NotKnown


# Tuples, not unions: Python builds a union anew at every `isinstance`, and rules are compiled at start-up.
_NESTED = (All, Some, Never)
_SIMPLE = (Equals, OneOf, Within, Known)


def elementary(condition: Condition, negated: bool = False) -> list[tuple[Elementary, bool]]:
    """Every elementary condition inside, left to right, with whether a negation stands over it."""
    if isinstance(condition, _NESTED):
        inside = negated or isinstance(condition, Never)
        return [found for part in condition.parts for found in elementary(part, inside)]
    return [(condition, negated or isinstance(condition, NotKnown))]


def admits(condition: Equals | OneOf | Within | Known, value: Value) -> bool:
    """Whether a fact of the right name with this value meets the condition; a variable meets every value."""
    if isinstance(condition, Equals):
        return isinstance(condition.value, Var) or condition.value == value
    if isinstance(condition, OneOf):
        return value in condition.values
    if isinstance(condition, Known):
        return True
    if isinstance(value, str):
        return False
    low, high = condition.low, condition.high
    above = low is None or (value > low if condition.low_open else value >= low)
    below = high is None or (value < high if condition.high_open else value <= high)
    return above and below


def bind(condition: Condition, binding: Mapping[str, Value]) -> Condition:
    """The same condition with the known variables replaced by their values."""
    if isinstance(condition, Equals):
        if isinstance(condition.value, Var) and condition.value.name in binding:
            return Equals(condition.name, binding[condition.value.name])
        return condition
    if isinstance(condition, _NESTED):
        return type(condition)(tuple(bind(part, binding) for part in condition.parts))
    return condition


def say(condition: Condition) -> str:
    """The condition in plain words, e.g. `look is not foam_pores`."""
    if isinstance(condition, Equals):
        value = condition.value
        return f"{condition.name} is " + (f"some {value.name}" if isinstance(value, Var) else say_value(value))
    if isinstance(condition, OneOf):
        return f"{condition.name} is one of " + ", ".join(say_value(value) for value in condition.values)
    if isinstance(condition, Within):
        return f"{condition.name} is {_say_interval(condition)}"
    if isinstance(condition, Known):
        return f"{condition.name} is known"
    if isinstance(condition, NotKnown):
        return f"{condition.name} is not known"
    if isinstance(condition, Never):
        return " and ".join(_say_absence(part) for part in condition.parts) or "nothing in the way"
    word, nothing = (" and ", "nothing") if isinstance(condition, All) else (" or ", "never")
    texts = [f"({say(p)})" if isinstance(p, All | Some) and len(p.parts) > 1 else say(p) for p in condition.parts]
    return word.join(texts) or nothing


def _say_absence(condition: Condition) -> str:
    if isinstance(condition, _SIMPLE):
        return say(condition).replace(f"{condition.name} is ", f"{condition.name} is not ", 1)
    return f"not ({say(condition)})"


def _say_interval(condition: Within) -> str:
    texts = []
    if condition.low is not None:
        texts.append(("above " if condition.low_open else "at least ") + say_value(float(condition.low)))
    if condition.high is not None:
        texts.append(("below " if condition.high_open else "at most ") + say_value(float(condition.high)))
    return " and ".join(texts) or "any number"
