"""The engine as others use it: tell facts, take them back, ask what follows and why."""

from __future__ import annotations

from .explain import Reason, reason_tree
from .facts import Fact, Value, plain_value, value_order
from .justify import Firing, Ledger
from .ruleset import RuleSet

__all__ = ["Chain", "Firing", "Reason", "RuleSet"]


class Chain:
    """Facts told so far and all that follows from them by the rules.

    What it answers depends only on the rules and on the facts told now, not on the order of telling.
    Making one takes time in proportion to the rules; to start many, make one and `copy` it.
    """

    __slots__ = ("_ledger", "_rules")

    def __init__(self, ruleset: RuleSet) -> None:
        self._ledger = Ledger(ruleset)
        self._rules = {rule.id: rule for rule in ruleset.rules}

    def copy(self) -> Chain:
        """An independent chain in the same state, for trying something out."""
        twin = Chain.__new__(Chain)
        twin._ledger = self._ledger.copy()
        twin._rules = self._rules
        return twin

    def tell(self, fact: Fact, origin: str = "answered") -> None:
        """Take a fact as given. Telling it again only replaces its origin.

        Raises TypeError or ValueError for a value that is not a word or a number.
        """
        name, value = fact
        if value.__class__ is not str:
            fact = Fact(name, plain_value(value))
        ledger = self._ledger
        number = ledger.number.get(fact)
        ledger.tell(ledger.intern(fact) if number is None else number, origin)

    def take_back(self, fact: Fact) -> None:
        """Undo `tell`: what no longer has well-founded support goes. Raises KeyError if it was not told."""
        number = self._ledger.number.get(fact)
        if number is None or number not in self._ledger.told:
            raise KeyError(f"{Fact(*fact)} was not told, so it cannot be taken back")
        self._ledger.take_back(number)

    def facts(self) -> frozenset[Fact]:
        """Every fact that holds, told or derived."""
        facts = self._ledger.facts
        return frozenset([fact for number in self._ledger.holding if (fact := facts[number]) is not None])

    def told(self) -> dict[Fact, str]:
        """The facts told now, with their origin, in the order of telling."""
        facts = self._ledger.facts
        return {fact: origin for number, origin in self._ledger.told.items() if (fact := facts[number]) is not None}

    def values(self, name: str) -> tuple[Value, ...]:
        """The values that this name holds, numbers before words, each in ascending order."""
        ledger = self._ledger
        numbers = [n for n in ledger.named.get(name, ()) if n in ledger.holding]
        found = [fact.value for n in numbers if (fact := ledger.facts[n]) is not None]
        return tuple(sorted(found, key=value_order) if len(found) > 1 else found)

    def holds(self, fact: Fact) -> bool:
        """Whether the fact holds, told or derived."""
        return self._ledger.number.get(fact) in self._ledger.holding

    def origin(self, fact: Fact) -> str | None:
        """Where a told fact came from; None if it was not told."""
        number = self._ledger.number.get(fact)
        return None if number is None else self._ledger.told.get(number)

    def firings(self) -> tuple[Firing, ...]:
        """Every firing that stands, ordered by stratum, specificity (more conditions first) and rule id."""
        return self._ledger.all_firings()

    def why(self, fact: Fact) -> Reason:
        """The tree of reasons for a fact, with every justification; raises KeyError if it does not hold."""
        ledger = self._ledger
        number = ledger.number.get(fact)
        if number is None or number not in ledger.holding:
            raise KeyError(f"{Fact(*fact)} does not hold, so there is no reason for it")
        stored = ledger.facts[number]
        assert stored is not None
        return reason_tree(stored, lambda f: ledger.firings(ledger.number[f]), self.origin, self._rules)
