"""A rule: when these conditions hold, these facts follow, because of this."""

from __future__ import annotations

from collections.abc import Iterable
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


class RuleError(ValueError):
    """Rules that cannot be run. The message is one sentence; `rules` are the ids at fault."""

    def __init__(self, sentence: str, rules: Iterable[str]) -> None:
        super().__init__(sentence)
        self.rules = tuple(rules)


class UnboundVariable(RuleError):
    """A variable that no positive condition of the same way to hold gives a value."""

    def __init__(self, rule: str, variable: str, where: str) -> None:
        super().__init__(
            f"rule {rule}: the variable ?{variable} in {where} has no value; "
            "let it stand in a condition that must hold in every way the rule can fire",
            (rule,),
        )
        self.variable = variable
