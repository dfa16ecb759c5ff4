"""A fact is a name and a value; where it came from is kept beside it, not in it."""

from __future__ import annotations

from typing import NamedTuple

# Words and numbers only. Yes and no are words: True equals 1.0, so the two could not be told apart.
Value = str | float


class Fact(NamedTuple):
    """One statement. A name may hold several values at once (what was seen on a part)."""

    name: str
    value: Value

    def __str__(self) -> str:
        return f"{self.name} = {say_value(self.value)}"


def say_value(value: Value) -> str:
    """The value as a person writes it: whole numbers without a decimal point."""
    text = str(value)
    return text.removesuffix(".0") if isinstance(value, float) else text


def plain_value(value: Value) -> Value:
    """The one stored form of a value: whole numbers and -0.0 become ordinary floats.

    Raises TypeError for anything but a word or a number (True and False too), ValueError for not-a-number.
    """
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, (int, float)):  # a union is slow here
        raise TypeError(f"a fact's value is a word or a number, found {value!r}; write yes and no as words")
    if value != value:
        raise ValueError("a fact's value cannot be 'not a number'; leave the fact out instead")
    return float(value) + 0.0


def fact_order(fact: Fact) -> tuple[str, bool, Value]:
    """Sort key for facts: by name, numbers before words, then by value."""
    return (fact.name, isinstance(fact.value, str), fact.value)


def value_order(value: Value) -> tuple[bool, Value]:
    """Sort key for the values of one name: numbers before words."""
    return (isinstance(value, str), value)
