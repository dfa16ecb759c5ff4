"""Rules made ready to run: every fact has a number, every rule is found from the facts that touch it.

A way of holding that names all its values becomes one `Instance` at once. A way with a variable, an interval
or 'known' becomes a `Scheme`; `agenda` makes instances of it when facts that fit are first seen. What a rule
needs to be absent becomes a *barrier*: the fact itself where one fact is meant, otherwise a helper atom (its
name is a number, so no fact can be mistaken for it) that helper instances conclude.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import NamedTuple, TypeVar

from .conditions import Condition, Equals, Known, Never, NotKnown, OneOf, Var, Within
from .facts import Fact, Value, plain_value
from .rules import Rule, RuleError, UnboundVariable
from .strata import Look, components, look, strata, stratum_of
from .ways import Positive, Way, variables_of, ways

Name = str | int
HELPER = -1  # the rule number of helper instances


class Hole(NamedTuple):
    """A value still open: that of one variable for a fact, of any number of variables for a helper atom."""

    variables: tuple[str, ...]


Item = TypeVar("Item")
Target = tuple[Name, Hashable]  # a fact or helper atom; the value may be a Hole


class Instance(NamedTuple):
    """One way of one rule with all values filled in: numbers of facts; `rule` indexes `RuleSet.rules`."""

    rule: int
    supports: tuple[int, ...]
    barriers: tuple[int, ...]
    concludes: tuple[int, ...]
    absent: tuple[Condition, ...]


class Scheme(NamedTuple):
    """One way of one rule with something left open."""

    rule: int
    fixed: tuple[int, ...]
    open: tuple[Positive, ...]
    barriers: tuple[Target, ...]
    concludes: tuple[Target, ...]
    absent: tuple[Condition, ...]


class RuleSet:
    """Compiled rules; never changes, so any number of chains may share it. `rules` stand in firing order."""

    __slots__ = (
        "_helpers",
        "_links",
        "circular",
        "facts",
        "instances",
        "number",
        "open_at",
        "rank",
        "rules",
        "stratum",
    )

    def __init__(self, rules: tuple[Rule, ...], stratum: Mapping[str, int]) -> None:
        self.rules = rules
        self.stratum = stratum  # by rule id
        self.facts: list[Fact | None] = []  # by number; None for a helper atom
        self.number: dict[Target, int] = {}
        self.instances: list[Instance] = []
        self.open_at: dict[str, list[tuple[Scheme, int]]] = {}  # schemes with an open part on this name
        self.rank: dict[Name, int] = {}  # the order in which names are settled
        self.circular: frozenset[int] = frozenset()  # ranks whose facts may support one another
        self._helpers: dict[tuple[Way, tuple[str, ...]], int] = {}
        self._links: dict[Name, dict[Name, None]] = {}
        for index, rule in enumerate(rules):
            targets = tuple(
                (c.name, Hole((c.value.name,)) if isinstance(c.value, Var) else c.value) for c in rule.conclude
            )
            copied = [(name, value.variables[0]) for name, value in targets if isinstance(value, Hole)]
            for way in ways(rule.when):
                for name, variable in copied:
                    if variable not in way.variables():
                        raise UnboundVariable(rule.id, variable, f"the conclusion {name}")
                self._add(index, way, targets)
        self._rank_names()

    @classmethod
    def compile(cls, rules: Iterable[Rule]) -> RuleSet:
        """Check the rules and make them ready.

        Raises RuleError (repeated id, rule without conclusion, bad value), UnboundVariable, NegationCycle.
        """
        looks = look(rules)
        _check(looks)
        level = strata(looks)
        stratum = {seen.rule.id: stratum_of(seen, level) for seen in looks}
        order = sorted(looks, key=lambda seen: (stratum[seen.rule.id], -len(seen.parts), seen.rule.id))
        return cls(tuple(seen.rule for seen in order), stratum)

    def _intern(self, target: Target) -> int:
        number = self.number.get(target)
        if number is None:
            fact = fact_of(target)
            number = self.number[fact or target] = len(self.facts)
            self.facts.append(fact)
        return number

    def _add(self, rule: int, way: Way, concludes: tuple[Target, ...]) -> None:
        """File one way of holding: as an instance if nothing is open in it, else as a scheme."""
        barriers: tuple[Target, ...] = ()
        if way.bars:
            bound = way.variables()
            barriers = _distinct([b for bar in way.bars for b in self._barriers(rule, bar, bound)])
        below = dict.fromkeys([need.name for need in way.needs] + [name for name, _ in barriers])
        for name, _ in concludes:
            self._links.setdefault(name, {}).update(below)
        fixed: list[int] = []
        left: list[Positive] = []
        for need in way.needs:
            if isinstance(need, Equals) and not isinstance(need.value, Var):
                fixed.append(self._intern((need.name, need.value)))
            else:
                left.append(need)
        if left:
            scheme = Scheme(rule, tuple(fixed), tuple(left), barriers, concludes, way.bars)
            for place, need in enumerate(left):
                self.open_at.setdefault(need.name, []).append((scheme, place))
            return
        ends = _distinct([self._intern(target) for target in concludes])
        stops = _distinct([self._intern(barrier) for barrier in barriers])
        self.instances.append(Instance(rule, tuple(fixed), stops, ends, way.bars))

    def _barriers(self, rule: int, bar: Never | NotKnown, bound: tuple[str, ...]) -> list[Target]:
        """The atoms that must not hold for `bar` to hold; `bound` are the variables with a value there."""
        found: list[Target] = []
        for part in bar.parts if isinstance(bar, Never) else (Known(bar.name),):
            for way in ways(part):
                need = way.needs[0] if len(way.needs) == 1 and not way.bars else None
                if isinstance(need, OneOf):
                    found += [(need.name, value) for value in need.values]
                elif isinstance(need, Equals) and not isinstance(need.value, Var):
                    found.append((need.name, need.value))
                elif isinstance(need, Equals) and isinstance(need.value, Var) and need.value.name in bound:
                    found.append((need.name, Hole((need.value.name,))))
                else:
                    names = dict.fromkeys(variables_of((*way.needs, *way.bars)))
                    found.append(self._helper(rule, way, tuple(name for name in names if name in bound)))
        return found

    def _helper(self, rule: int, way: Way, outer: tuple[str, ...]) -> Target:
        """The helper atom that holds when `way` holds, for each value of the `outer` variables."""
        target = (self._helpers.setdefault((way, outer), len(self._helpers)), Hole(outer) if outer else ())
        if target[0] not in self._links:
            self._links[target[0]] = {}
            loose = [name for name in outer if name not in way.variables()]
            if loose:
                raise UnboundVariable(self.rules[rule].id, loose[0], "a negation inside a negation")
            self._add(HELPER, way, (target,))
        return target

    def _rank_names(self) -> None:
        """Number the names, what they rest on first, and note where facts can go in a circle."""
        circular = set()
        for rank, group in enumerate(components(self._links)):
            self.rank.update(dict.fromkeys(group, rank))
            if len(group) > 1 or group[0] in self._links.get(group[0], ()):
                circular.add(rank)
        self.circular = frozenset(circular)


def _distinct(items: list[Item]) -> tuple[Item, ...]:
    return tuple(dict.fromkeys(items)) if len(items) > 1 else tuple(items)


def fact_of(target: Target) -> Fact | None:
    """The fact that a target with a value stands for, in its stored form; None for a helper atom."""
    name, value = target
    if isinstance(name, int):
        return None
    if isinstance(value, str):
        return Fact(name, value)
    assert isinstance(value, float) or isinstance(value, int)  # noqa: SIM101 (a union is slow here)
    return Fact(name, plain_value(value))


def _check(looks: Iterable[Look]) -> None:
    """Refuse repeated ids, rules that conclude nothing and values that no fact can have."""
    seen: set[str] = set()
    for rule, parts in looks:
        if rule.id in seen:
            raise RuleError(f"two rules are called {rule.id}; give one of them another id", (rule.id,))
        seen.add(rule.id)
        if not rule.conclude:
            raise RuleError(f"rule {rule.id} concludes nothing; give it a conclusion or remove it", (rule.id,))
        values: list[Value | Var | None] = [conclusion.value for conclusion in rule.conclude]
        for part, _ in parts:
            if isinstance(part, Equals):
                values.append(part.value)
            elif isinstance(part, OneOf):
                values += part.values
            elif isinstance(part, Within):
                values += [part.low, part.high]
        for value in values:
            try:
                if value is not None and not isinstance(value, Var):
                    plain_value(value)
            except (TypeError, ValueError) as error:
                raise RuleError(f"rule {rule.id}: {error}", (rule.id,)) from None
