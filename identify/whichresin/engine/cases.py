"""What follows in many cases at once: bit `i` of a whole number says what holds in case `i`.

`all` is then `&`, `any` is `|` and `none` is `~`, and each rule is looked at once for all cases. It says what
holds and not why: for reasons, for firings one by one and for rules with variables there is `Chain`.
"""

from __future__ import annotations

from collections.abc import Mapping

from .conditions import All, Condition, Elementary, Equals, Known, Never, NotKnown, Some, Var, admits, elementary
from .facts import Fact, Value, plain_value
from .rules import Rule
from .ruleset import RuleSet

_NESTED = (All, Some, Never)


def has_variable(rule: Rule) -> bool:
    """Whether a rule has a variable: such a rule is one for each value, which `Cases` does not follow."""
    copies = any(isinstance(one.value, Var) for one in rule.conclude)
    return copies or any(isinstance(leaf, Equals) and isinstance(leaf.value, Var) for leaf, _ in elementary(rule.when))


class Cases:
    """The facts that hold in each of `count` cases, told ones and those that follow.

    `outside` says for elementary conditions in which cases they hold, where that is known without any fact.
    """

    def __init__(self, count: int, outside: Mapping[Elementary, int] | None = None) -> None:
        self.every = (1 << count) - 1
        self.held: dict[str, dict[Value, int]] = {}  # name -> value -> the cases in which it has that value
        self._outside = outside or {}

    def tell(self, fact: Fact, cases: int) -> None:
        """Take a fact as given in these cases. Raises TypeError or ValueError as `Chain.tell` does."""
        self._hold(fact.name, plain_value(fact.value), cases)

    def settle(self, ruleset: RuleSet) -> None:
        """Run all rules, stratum by stratum, until nothing more follows. The rules have no variables.

        To be called once, when all is told: nothing is taken back here.
        """
        strata: dict[int, list[Rule]] = {}
        for rule in ruleset.rules:
            strata.setdefault(ruleset.stratum[rule.id], []).append(rule)
        for stratum in sorted(strata):
            grown = True
            while grown:
                grown = False
                for rule in strata[stratum]:
                    cases = self.where(rule.when)
                    for conclusion in rule.conclude if cases else ():
                        assert not isinstance(conclusion.value, Var)
                        grown |= self._hold(conclusion.name, conclusion.value, cases)

    def holds(self, fact: Fact) -> int:
        """The cases in which a fact holds."""
        return self.held.get(fact.name, {}).get(fact.value, 0)

    def where(self, condition: Condition) -> int:
        """The cases in which a condition holds, by what has been settled so far."""
        if isinstance(condition, _NESTED):
            every = self.every
            if isinstance(condition, All):
                cases = every
                for part in condition.parts:
                    cases &= self.where(part)
                return cases
            cases = 0
            for part in condition.parts:
                cases |= self.where(part)
            return every & ~cases if isinstance(condition, Never) else cases
        known = self._outside.get(condition) if self._outside else None
        return self._of_held(condition) if known is None else known

    def _of_held(self, leaf: Elementary) -> int:
        values = self.held.get(leaf.name)
        if isinstance(leaf, NotKnown):
            return self.every & ~self._of_held(Known(leaf.name))
        if not values:
            return 0
        if isinstance(leaf, Equals) and not isinstance(leaf.value, Var):
            return values.get(leaf.value, 0)
        cases = 0
        for value, mask in values.items():
            if admits(leaf, value):
                cases |= mask
        return cases

    def _hold(self, name: str, value: Value, cases: int) -> bool:
        """Let a fact hold in more cases; whether that is news."""
        values = self.held.setdefault(name, {})
        before = values.get(value, 0)
        values[value] = before | cases
        return values[value] != before
