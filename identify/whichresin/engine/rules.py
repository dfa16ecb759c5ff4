"""A rule: when these conditions hold, these facts follow, because of this."""

from __future__ import annotations

from dataclasses import dataclass

from .conditions import All, Var
from .facts import Value


@dataclass(frozen=True, slots=True)
class Conclusion:
    """A fact to derive; the value may be a variable bound in `when`."""

    name: str
    value: Value | Var


@dataclass(frozen=True, slots=True)
class Rule:
    """One forward-chaining rule. `id` is unique; `because` is one sentence a person can read."""

    id: str
    when: All
    conclude: tuple[Conclusion, ...]
    because: str = ""
    source: tuple[str, ...] = ()
