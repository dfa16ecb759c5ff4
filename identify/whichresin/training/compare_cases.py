"""Examples and near misses under two rule bases: what follows from the same facts before and after."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.positions import Node, Sequence

from .examples import given_cases


@dataclass(frozen=True, slots=True)
class CaseEffect:
    """A case from which other facts follow. `rule` is whose case it is, `place` its file and line."""

    rule: str
    what: str  # example | near miss
    place: str
    given: tuple[str, ...]
    no_longer: tuple[str, ...]
    now: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cases:
    """The cases that come out otherwise, and how many were run."""

    effects: tuple[CaseEffect, ...]
    run: int


def compare_cases(old: Compiled, new: Compiled) -> Cases:
    """Run every case of the rules that both have on both; a case that stands in both counts once, as the new one's.

    That a rule's own cases come out otherwise when the rule itself is new or gone goes without saying.
    """
    shared = {one.id for one in old.rules} & {one.id for one in new.rules}
    chains = [Chain(RuleSet.compile(rule.rule for rule in one.rules if rule.rule)) for one in (old, new)]
    seen: set[tuple[str, str, frozenset[Fact]]] = set()
    effects = []
    for compiled in (new, old):
        for rule, what, node, told in _cases(compiled):
            key = (rule, what, frozenset(told))
            if key in seen or rule not in shared:
                continue
            seen.add(key)
            before, after = (_follows(chain, told) for chain in chains)
            if before != after:
                given = tuple(map(str, told))
                gone, fresh = (tuple(sorted(map(str, some))) for some in (before - after, after - before))
                effects.append(CaseEffect(rule, what, f"{node.file}:{node.line}", given, gone, fresh))
    return Cases(tuple(effects), len(seen))


def _cases(compiled: Compiled) -> Iterator[tuple[str, str, Node, list[Fact]]]:
    for one in compiled.rules:
        for key, what in (("examples", "example"), ("near_misses", "near miss")):
            node = one.row.raw(key)
            for item in node.items if isinstance(node, Sequence) else ():
                for case in given_cases(item, compiled):
                    yield one.id, what, case.node, case.facts


def _follows(start: Chain, told: list[Fact]) -> frozenset[Fact]:
    chain = start.copy()
    for fact in told:
        chain.tell(fact)
    return frozenset(chain.facts())
