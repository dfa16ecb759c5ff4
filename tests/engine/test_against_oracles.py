"""The engine against a slow twin and an independent engine, after every step of random histories."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from random import Random

import plain_engine
import pytest
from clips_engine import Maintained
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from rule_bases import Step, histories, make_history, make_rule_base, rule_bases

from whichresin.engine.chain import Chain, RuleSet
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Rule, UnboundVariable

# The same examples in every run, so that a run says something of the change at hand; MORE_EXAMPLES=20 in the
# environment looks at twenty times as many, new ones each time.
MORE = int(os.environ.get("MORE_EXAMPLES", "1"))
QUICK = settings(
    deadline=None,
    derandomize=MORE == 1,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)


def compiled(rules: tuple[Rule, ...]) -> RuleSet:
    """The rule set; a base whose variables are out of reach is not what these tests are about."""
    try:
        return RuleSet.compile(rules)
    except UnboundVariable:
        assume(False)
        raise


def play(
    history: list[Step], tell: Callable[[Fact], None], take_back: Callable[[Fact], None]
) -> Iterator[tuple[Fact, ...]]:
    """Do the steps; gives the facts told after each. Undo goes back one step by telling or taking back."""
    past: list[tuple[Fact, ...]] = [()]
    for kind, what in history:
        now = past[-1]
        if kind == "tell":
            assert isinstance(what, Fact)
            after = now if what in now else (*now, what)
            past.append(after)
        elif kind == "take_back" and now:
            assert isinstance(what, int)
            after = tuple(fact for place, fact in enumerate(now) if place != what % len(now))
            past.append(after)
        elif kind == "undo" and len(past) > 1:
            past.pop()
            after = past[-1]
        else:
            continue
        for fact in now:
            if fact not in after:
                take_back(fact)
        for fact in after:
            if fact not in now:
                tell(fact)
        yield after


@settings(QUICK, max_examples=150 * MORE)
@given(rule_bases(), histories())
def test_every_step_equals_looking_at_every_rule_again(rules: tuple[Rule, ...], history: list[Step]) -> None:
    """Facts and firings, in their order, are those of a rescan of all rules, however the chain got there."""
    chain = Chain(compiled(rules))
    for told in play(history, chain.tell, chain.take_back):
        facts, firings = plain_engine.run(rules, told)
        assert chain.facts() == facts
        assert [tuple(firing) for firing in chain.firings()] == firings


@pytest.mark.parametrize("seed", range(4 * MORE))
def test_long_histories_equal_looking_at_every_rule_again(seed: int) -> None:
    """The same over many larger bases and longer histories from fixed seeds, where more goes wrong at once."""
    random = Random(seed)
    lost = regained = 0
    for _ in range(40):
        rules = make_rule_base(random, most=16)
        try:
            chain = Chain(RuleSet.compile(rules))
        except UnboundVariable:
            continue
        derived: set[Fact] = set()
        before: tuple[Fact, ...] = ()
        for told in play(make_history(random, 25), chain.tell, chain.take_back):
            facts, firings = plain_engine.run(rules, told)
            assert chain.facts() == facts
            assert [tuple(firing) for firing in chain.firings()] == firings
            lost += bool(derived - facts)
            regained += len(told) < len(before) and bool(facts - set(before) - derived)
            derived, before = facts - set(told), told
    # The generator must keep making what this test is for: conclusions that go, and that come back by retraction.
    assert lost > 50
    assert regained > 5


@settings(QUICK, max_examples=80 * MORE)
@given(rule_bases(), histories(), st.randoms(use_true_random=False))
def test_every_step_equals_a_fresh_run(rules: tuple[Rule, ...], history: list[Step], random: Random) -> None:
    """A chain with a past answers bit for bit like a new one told the same facts in any order."""
    ruleset = compiled(rules)
    chain = Chain(ruleset)
    for told in play(history, chain.tell, chain.take_back):
        shuffled = list(told)
        random.shuffle(shuffled)
        fresh = Chain(ruleset)
        for fact in shuffled:
            fresh.tell(fact)
        assert fresh.facts() == chain.facts()
        assert repr(fresh.firings()) == repr(chain.firings())
        for fact in sorted(chain.facts(), key=repr):
            assert repr(fresh.why(fact)) == repr(chain.why(fact))


@settings(QUICK, max_examples=60 * MORE)
@given(rule_bases(most=6), histories())
def test_every_step_equals_an_independent_engine_started_anew(rules: tuple[Rule, ...], history: list[Step]) -> None:
    """clipspy, started from nothing after each step, finds the same facts (circles of support included)."""
    chain = Chain(compiled(rules))
    other = Maintained(rules, maintained=False)
    for told in play(history, chain.tell, chain.take_back):
        assert chain.facts() == other.from_scratch(told)


@settings(QUICK, max_examples=60 * MORE)
@given(rule_bases(circles=False, most=6), histories())
def test_every_step_equals_an_independent_truth_maintenance(rules: tuple[Rule, ...], history: list[Step]) -> None:
    """clipspy's own truth maintenance, told and taking back the same facts, keeps the same facts."""
    chain = Chain(compiled(rules))
    other = Maintained(rules)

    def tell(fact: Fact) -> None:
        chain.tell(fact)
        other.tell(fact)

    def take_back(fact: Fact) -> None:
        chain.take_back(fact)
        other.take_back(fact)

    for _ in play(history, tell, take_back):
        assert chain.facts() == other.facts()


@settings(QUICK, max_examples=60 * MORE)
@given(rule_bases(), histories())
def test_a_copy_goes_its_own_way(rules: tuple[Rule, ...], history: list[Step]) -> None:
    """Trying something out on a copy leaves the chain as it was, and the copy works like any chain."""
    chain = Chain(compiled(rules))
    half = len(history) // 2
    told: tuple[Fact, ...] = ()
    for after in play(history[:half], chain.tell, chain.take_back):
        told = after
    before = (chain.facts(), chain.firings())
    copy = chain.copy()
    now: tuple[Fact, ...] = ()
    for fact in told:
        copy.take_back(fact)
    for after in play(history[half:], copy.tell, copy.take_back):
        now = after
    assert (chain.facts(), chain.firings()) == before
    assert copy.facts() == plain_engine.run(rules, now)[0]
