"""Layers of fact names: what must be settled before what, and which rules deny their own ground.

A rule that needs a name to be absent may only run when everything about that name is settled; so that
name must lie in a lower stratum. Names, not values, are layered: a name with two values is one name.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeVar

from .conditions import Elementary, elementary
from .rules import Rule, RuleError

Node = TypeVar("Node", bound=Hashable)


class NegationCycle(RuleError):
    """Rules that rest, through a negation, on their own conclusion. `rules` are their ids around it."""

    def __init__(self, rules: Sequence[str], names: Sequence[str]) -> None:
        through = ", ".join(names)
        ids = ", ".join(rules)
        super().__init__(
            f"the rules {ids} go in a circle through a negation (facts: {through}); "
            "let one of them conclude or look at another fact name",
            rules,
        )
        self.names = tuple(names)


def components(graph: Mapping[Node, Iterable[Node]]) -> list[list[Node]]:
    """Strongly connected groups of `graph` (node -> nodes it rests on), what is rested on first.

    The order follows the order of the mapping and of its values, so equal input gives equal output.
    Written without recursion: chains of rules may be longer than Python's stack.
    """
    index: dict[Node, int] = {}
    low: dict[Node, int] = {}
    waiting: list[Node] = []
    on_stack: set[Node] = set()
    found: list[list[Node]] = []
    for root in graph:
        if root in index:
            continue
        index[root] = low[root] = len(index)
        waiting.append(root)
        on_stack.add(root)
        work = [(root, iter(graph[root]))]
        while work:
            node, rest = work[-1]
            for below in rest:
                if below not in index:
                    index[below] = low[below] = len(index)
                    waiting.append(below)
                    on_stack.add(below)
                    work.append((below, iter(graph.get(below, ()))))
                    break
                if below in on_stack and index[below] < low[node]:
                    low[node] = index[below]
            else:
                work.pop()
                if work and low[node] < low[work[-1][0]]:
                    low[work[-1][0]] = low[node]
                if low[node] == index[node]:
                    group: list[Node] = []
                    while not group or group[-1] != node:
                        group.append(waiting.pop())
                        on_stack.discard(group[-1])
                    found.append(group[::-1])
    return found


class Look(NamedTuple):
    """A rule with the elementary conditions it looks at, each with whether it is met by absence."""

    rule: Rule
    parts: tuple[tuple[Elementary, bool], ...]


def look(rules: Iterable[Rule]) -> list[Look]:
    """What each rule looks at, in the order given."""
    return [Look(rule, tuple(elementary(rule.when))) for rule in rules]


def strata(looks: Iterable[Look]) -> dict[str, int]:
    """The stratum of every fact name that the rules mention: one more than any name it needs to be absent.

    Raises NegationCycle for the first circle through a negation (all of them: `negation_cycles`).
    """
    links = _links(looks)
    groups = components(links)
    group_of = {name: number for number, group in enumerate(groups) for name in group}
    for group in groups:
        cycle = _cycle_in(group, links, group_of)
        if cycle is not None:
            raise cycle
    level: dict[str, int] = {}
    for group in groups:
        height = 0
        for name in group:
            for below, (negated, _) in links[name].items():
                if group_of[below] != group_of[name]:
                    height = max(height, level[below] + negated)
        level.update(dict.fromkeys(group, height))
    return level


def negation_cycles(rules: Iterable[Rule]) -> tuple[NegationCycle, ...]:
    """One circle for every group of names that rest on one another through a negation."""
    links = _links(look(rules))
    groups = components(links)
    group_of = {name: number for number, group in enumerate(groups) for name in group}
    cycles = (_cycle_in(group, links, group_of) for group in groups)
    return tuple(cycle for cycle in cycles if cycle is not None)


def stratum_of(look: Look, level: Mapping[str, int]) -> int:
    """The stratum in which a rule runs: the lowest in which all it looks at is settled."""
    return max([level[part.name] + negated for part, negated in look.parts], default=0)


_Links = dict[str, dict[str, tuple[bool, str]]]


def _links(looks: Iterable[Look]) -> _Links:
    """name -> name it rests on -> (whether through a negation, the first rule id that does so)."""
    links: _Links = {}
    for rule, parts in sorted(looks, key=lambda look: look.rule.id):
        for part, _ in parts:
            links.setdefault(part.name, {})
        for conclusion in rule.conclude:
            below = links.setdefault(conclusion.name, {})
            for part, negated in parts:
                if part.name not in below or (negated and not below[part.name][0]):
                    below[part.name] = (negated, rule.id)
    return links


def _cycle_in(group: Sequence[str], links: _Links, group_of: Mapping[str, int]) -> NegationCycle | None:
    """The shortest circle through the first negation inside a group of names, or None."""
    for name in sorted(group):
        for below, (negated, rule) in sorted(links[name].items()):
            if negated and group_of[below] == group_of[name]:
                path = _shortest(below, name, links, group_of)
                ids = [rule, *(links[a][b][1] for a, b in pairwise(path))]
                return NegationCycle(tuple(dict.fromkeys(ids)), path)
    return None


def _shortest(start: str, goal: str, links: _Links, group_of: Mapping[str, int]) -> list[str]:
    """Names from `start` down to `goal` inside one group, breadth first."""
    came: dict[str, str | None] = {start: None}
    queue = [start]
    for name in queue:
        for below in sorted(links[name]):
            if below not in came and group_of[below] == group_of[start]:
                came[below] = name
                queue.append(below)
    path: list[str] = []
    at: str | None = goal
    while at is not None:
        path.append(at)
        at = came[at]
    return path[::-1]
