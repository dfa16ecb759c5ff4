"""Everything about one part that a plan is made from: what holds, what is believed, what was said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from whichresin.belief.hypotheses import Belief
from whichresin.belief.posterior import BeliefState
from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Rule
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model
from whichresin.knowledge.repair_model import TELLS, RepairBook

from .plan import Identified, Reason, Understood


@dataclass(frozen=True, slots=True)
class Gate:
    """May the part be repaired at all? Anything but `open` counts as no. `cue` is what to ask when not known."""

    state: str  # open | shut | not_known
    decision: str  # refer | replace, when shut
    reasons: tuple[Reason, ...]
    cue: str | None


@dataclass(frozen=True, slots=True)
class Case:
    """One part on the bench. `facts` is everything that holds; `reasons` says why, for what a rule concluded."""

    model: Model
    book: RepairBook
    facts: frozenset[Fact]
    reasons: Mapping[Fact, Reason]
    state: BeliefState  # decided on
    said: Belief  # shown, and what a weld is judged by: never surer than the belief
    gate: Gate
    status: str
    withheld: bool  # a conclusion was near, but the answers fit nothing in the base well enough to plan on it
    repeat: str | None
    contradictions: tuple[str, ...]
    askable: tuple[str, ...]
    answered: frozenset[str]  # cues answered or declined
    rods: frozenset[str]  # materials of which the shop has welding rod
    warned: tuple[str, ...]  # cautions that hold for the part as such
    understood: Understood
    identified: Identified

    def has(self, name: str, value: str) -> bool:
        """Whether this fact holds."""
        return Fact(name, value) in self.facts

    def values(self, name: str) -> tuple[str, ...]:
        """The values of a fact, in order."""
        return tuple(sorted(str(fact.value) for fact in self.facts if fact.name == name))

    def holding(self, more: Iterable[tuple[str, str]] = ()) -> frozenset[str]:
        """Ids of the book's conditions that hold, with `more` facts taken for granted."""
        return conditions_holding(self.book.rules, (*self.facts, *(Fact(*pair) for pair in more)))


@lru_cache(maxsize=4)
def _prepared(rules: tuple[Rule, ...]) -> Chain:
    return Chain(RuleSet.compile(rules))


def conditions_holding(rules: tuple[Rule, ...], facts: Iterable[Fact]) -> frozenset[str]:
    """Which conditions of a repair book hold on these facts; "" always does."""
    chain = _prepared(rules).copy()
    for fact in facts:
        chain.tell(fact)
    return frozenset((*map(str, chain.values(TELLS)), ""))
