"""Truth maintenance: which facts hold, kept up to date when one is told or taken back.

Every rule instance counts what it still misses (supports that do not hold, barriers that do); at zero it is
active. Every fact counts its active instances. Without circles a fact holds exactly while it is told or its
count is above zero. Facts that may support one another in a circle are settled together: whatever lost a
support falls, with all that leaned on it, and what has ground left outside the circle is raised again.
"""

from __future__ import annotations

from collections.abc import Iterable
from heapq import heapify, heappop, heappush
from operator import itemgetter
from typing import NamedTuple

from .agenda import NUMBER_MASK, RANK_SHIFT, entry, instances
from .conditions import Condition
from .facts import Fact, fact_order
from .ruleset import HELPER, Instance, RuleSet, Target, fact_of


class Firing(NamedTuple):
    """One rule firing: from these supports, in the absence of these, it concluded this. `rule` is an id."""

    rule: str
    supports: frozenset[Fact]
    absent: tuple[Condition, ...]
    concluded: tuple[Fact, ...]


_Order = tuple[object, ...]  # sorts firings: place of the rule, supports, conclusions, absences


class Ledger:
    """All facts and rule instances of one chain, by number. `holding` are the facts that hold now.

    Instances once made stay, so telling the same fact again only moves counters.
    """

    __slots__ = (
        "_firings",
        "barred_by",
        "concluded_by",
        "concludes",
        "count",
        "entry",
        "facts",
        "feeds",
        "holding",
        "instances",
        "looping",
        "missing",
        "named",
        "number",
        "ruleset",
        "seen",
        "told",
        "unmet",
    )

    def __init__(self, ruleset: RuleSet) -> None:
        self.ruleset = ruleset
        self.facts: list[Fact | None] = []
        self.number: dict[Target, int] = {}
        self.named: dict[str, tuple[int, ...]] = {}  # all numbered facts of a name
        self.entry: list[int] = []  # agenda entry of each fact
        self.feeds: list[tuple[int, ...]] = []  # instances that a fact supports
        self.barred_by: list[tuple[int, ...]] = []  # instances that a fact bars
        self.concluded_by: list[tuple[int, ...]] = []  # instances that conclude a fact
        self.count: list[int] = []  # active instances that conclude a fact
        self.looping: set[int] = set()  # facts that may take part in a circle of support
        self.instances: list[Instance] = []
        self.missing: list[int] = []
        self.concludes: list[tuple[int, ...]] = []  # what each instance concludes
        self.holding: set[int] = set()
        self.told: dict[int, str] = {}
        self.unmet: set[int] = set()  # facts that fit an open part of a rule and have never held
        self.seen: dict[str, dict[int, None]] = {}  # those that have held at some time, by name
        self._firings: dict[int, tuple[_Order, Firing]] = {}
        for target in ruleset.number:
            self.intern(target)
        pending: list[int] = []
        for instance in ruleset.instances:
            self._enter(instance, pending)
        heapify(pending)
        self._settle(pending)

    def copy(self) -> Ledger:
        """An independent ledger in the same state."""
        twin = Ledger.__new__(Ledger)
        twin.ruleset = self.ruleset
        for name in Ledger.__slots__:
            if name not in ("ruleset", "seen"):
                setattr(twin, name, getattr(self, name).copy())
        twin.seen = {name: numbers.copy() for name, numbers in self.seen.items()}
        return twin

    def intern(self, target: Target) -> int:
        """The number of a fact or helper atom, given out on first sight."""
        known = self.number.get(target)
        if known is not None:
            return known
        fact = fact_of(target)
        number = self.number[fact or target] = len(self.facts)
        rank = self.ruleset.rank.get(target[0], 0)
        if rank in self.ruleset.circular:
            self.looping.add(number)
        self.facts.append(fact)
        if fact is not None:
            self.named[fact.name] = (*self.named.get(fact.name, ()), number)
            if fact.name in self.ruleset.open_at:
                self.unmet.add(number)
        self.entry.append(entry(rank, number))
        self.count.append(0)
        for index in (self.feeds, self.barred_by, self.concluded_by):
            index.append(())
        return number

    def tell(self, number: int, origin: str) -> None:
        """Hold a fact on outside authority; a later origin replaces an earlier one."""
        self.told[number] = origin
        if number not in self.holding:
            self._settle([self.entry[number]])

    def take_back(self, number: int) -> None:
        """Drop the outside authority; the fact stays while a rule still gives it."""
        del self.told[number]
        if not self.count[number] or number in self.looping:
            self._settle([self.entry[number]])

    def firings(self, number: int) -> tuple[Firing, ...]:
        """The active firings of rules that conclude a fact, each once, in firing order."""
        return self._ordered((number,))

    def all_firings(self) -> tuple[Firing, ...]:
        """Every active firing, each once, in firing order: stratum, specificity, id, then supports."""
        return self._ordered(self.holding)

    def _ordered(self, numbers: Iterable[int]) -> tuple[Firing, ...]:
        missing, instances = self.missing, self.instances
        active = {k for number in numbers for k in self.concluded_by[number] if not missing[k]}
        keyed = [self._firing(k) for k in active if instances[k].rule != HELPER]
        keyed.sort(key=itemgetter(0))
        # Two ways of one rule may come down to the same supports: that is one firing.
        return tuple(dict.fromkeys([firing for _, firing in keyed]))

    def _firing(self, k: int) -> tuple[_Order, Firing]:
        """The instance as the outside sees it, with its place in the firing order; made once."""
        known = self._firings.get(k)
        if known is None:
            instance, facts = self.instances[k], self.facts
            supports = sorted((fact for n in instance.supports if (fact := facts[n])), key=fact_order)
            concluded = tuple(fact for n in instance.concludes if (fact := facts[n]))
            rule = self.ruleset.rules[instance.rule].id
            firing = Firing(rule, frozenset(supports), instance.absent, concluded)
            detail = (
                list(map(fact_order, supports)),
                list(map(fact_order, concluded)),
                repr(instance.absent),
            )
            known = self._firings[k] = ((instance.rule, *detail), firing)
        return known

    def _enter(self, instance: Instance, pending: list[int]) -> None:
        """Add an instance under the facts that touch it, counting what it misses now."""
        k = len(self.instances)
        self.instances.append(instance)
        self.concludes.append(instance.concludes)
        for numbers, index in (
            (instance.supports, self.feeds),
            (instance.barriers, self.barred_by),
            (instance.concludes, self.concluded_by),
        ):
            for number in numbers:
                index[number] += (k,)
        holding = self.holding
        missing = sum(n not in holding for n in instance.supports) + sum(n in holding for n in instance.barriers)
        self.missing.append(missing)
        if not missing:
            self._activate(k, pending)

    def _meet(self, number: int, pending: list[int]) -> None:
        """A fact holds for the first time: make the instances of rules with an open part that it fits."""
        fact = self.facts[number]
        assert fact is not None
        self.unmet.remove(number)
        self.seen.setdefault(fact.name, {})[number] = None
        for scheme, place in self.ruleset.open_at[fact.name]:
            for made in instances(scheme, place, number, self.facts, self.number, self.seen, self.intern):
                self._enter(made, pending)

    def _settle(self, pending: list[int]) -> None:
        """Work off the agenda, lowest rank first, until every fact agrees with its grounds."""
        holding, told, count, looping = self.holding, self.told, self.count, self.looping
        while pending:
            number = heappop(pending) & NUMBER_MASK
            if number in looping:
                self._settle_circle(number, pending)
            elif count[number] or number in told:
                if number not in holding:
                    self._raise(number, pending)
            elif number in holding:
                self._fall(number, pending)

    def _settle_circle(self, first: int, pending: list[int]) -> None:
        """Settle all facts of one rank that may lean on one another; all lower ranks are settled."""
        holding, told, count = self.holding, self.told, self.count
        rank = self.entry[first] >> RANK_SHIFT
        touched = [first, *self._due(rank, pending)]
        fallen = [n for n in touched if n in holding and n not in told]
        for number in fallen:
            if number in holding:
                self._fall(number, pending)
                fallen += [n for n in self._due(rank, pending) if n in holding and n not in told]
        rising = touched + fallen
        for number in rising:
            if number not in holding and (count[number] or number in told):
                self._raise(number, pending)
                rising += self._due(rank, pending)

    def _due(self, rank: int, pending: list[int]) -> list[int]:
        """Take the facts of this rank off the agenda."""
        due = []
        while pending and pending[0] >> RANK_SHIFT == rank:
            due.append(heappop(pending) & NUMBER_MASK)
        return due

    def _raise(self, number: int, pending: list[int]) -> None:
        """Let a fact hold and tell the instances that it supports or bars."""
        if number in self.unmet:
            self._meet(number, pending)
        self.holding.add(number)
        missing = self.missing
        for k in self.feeds[number]:
            missing[k] = left = missing[k] - 1
            if not left:
                self._activate(k, pending)
        for k in self.barred_by[number]:
            missing[k] = left = missing[k] + 1
            if left == 1:
                self._deactivate(k, pending)

    def _fall(self, number: int, pending: list[int]) -> None:
        """Let a fact no longer hold and tell the instances that it supported or barred."""
        self.holding.discard(number)
        missing = self.missing
        for k in self.feeds[number]:
            missing[k] = left = missing[k] + 1
            if left == 1:
                self._deactivate(k, pending)
        for k in self.barred_by[number]:
            missing[k] = left = missing[k] - 1
            if not left:
                self._activate(k, pending)

    def _activate(self, k: int, pending: list[int]) -> None:
        count = self.count
        for number in self.concludes[k]:
            count[number] = now = count[number] + 1
            if now == 1:
                heappush(pending, self.entry[number])

    def _deactivate(self, k: int, pending: list[int]) -> None:
        count = self.count
        for number in self.concludes[k]:
            count[number] = now = count[number] - 1
            if not now or number in self.looping:
                heappush(pending, self.entry[number])
