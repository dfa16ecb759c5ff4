"""A fact is a name and a value; where it came from is kept beside it, not in it."""

from __future__ import annotations

from typing import NamedTuple

Value = str | float | bool


class Fact(NamedTuple):
    """One statement. A name may hold several values at once (what was seen on a part)."""

    name: str
    value: Value

    def __str__(self) -> str:
        return f"{self.name} = {self.value}"
