"""What a rule asks of the facts. Conditions are plain data; matching is in `agenda`."""

from __future__ import annotations

from dataclasses import dataclass

from .facts import Value


@dataclass(frozen=True, slots=True)
class Var:
    """A variable: takes the value of the fact it meets, and must be the same wherever it stands in one rule."""

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
    """No part holds (negation). A variable inside must be bound outside, or stands for 'any value'."""

    parts: tuple[Condition, ...]


Condition = Equals | OneOf | Within | Known | NotKnown | All | Some | Never
