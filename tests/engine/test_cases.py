"""Many cases at once: in each of them the same holds as in a chain of its own."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from rule_bases import rule_bases, told_facts

from whichresin.engine.cases import Cases, has_variable
from whichresin.engine.chain import Chain
from whichresin.engine.conditions import All, Equals, Known, Never, NotKnown, Var
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule
from whichresin.engine.ruleset import RuleSet

MORE = int(os.environ.get("MORE_EXAMPLES", "1"))


@settings(
    deadline=None,
    derandomize=MORE == 1,
    max_examples=120 * MORE,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)
@given(rule_bases(most=12), st.lists(told_facts(), min_size=1, max_size=6))
def test_every_case_equals_a_chain_of_its_own(rules: tuple[Rule, ...], told: list[list[Fact]]) -> None:
    """Facts that hold and rules that fire are the engine's, with circles, negations and numbers."""
    plain = [rule for rule in rules if not has_variable(rule)]
    assume(plain)
    ruleset = RuleSet.compile(plain)
    cases = Cases(len(told))
    for place, facts in enumerate(told):
        for fact in facts:
            cases.tell(fact, 1 << place)
    cases.settle(ruleset)
    for place, facts in enumerate(told):
        chain = Chain(ruleset)
        for fact in facts:
            chain.tell(fact)
        here = {
            Fact(name, value)
            for name, values in cases.held.items()
            for value, mask in values.items()
            if mask >> place & 1
        }
        assert here == chain.facts()
        assert all(cases.holds(fact) >> place & 1 for fact in here)
        fired = {firing.rule for firing in chain.firings()}
        assert {rule.id for rule in plain if cases.where(rule.when) >> place & 1} == fired


def test_what_holds_without_any_fact_can_be_given() -> None:
    """A proof over all cases says of each condition where it holds, and tells no facts."""
    a, b = Equals("a", "x"), Known("b")
    rules = [
        Rule("one", All((a, Never((b,)))), (Conclusion("c", "yes"),)),
        Rule("two", All((NotKnown("c"), b)), (Conclusion("d", "yes"),)),
    ]
    cases = Cases(4, {a: 0b1100, b: 0b1010})
    cases.settle(RuleSet.compile(rules))
    assert (cases.holds(Fact("c", "yes")), cases.holds(Fact("d", "yes"))) == (0b0100, 0b1010)


@pytest.mark.parametrize(
    ("when", "value"),
    [(Equals("a", Var("v")), "yes"), (Never((Equals("a", Var("v")),)), "yes"), (Known("a"), Var("v"))],
)
def test_a_rule_with_a_variable_is_known_as_one(when: Equals | Never | Known, value: str | Var) -> None:
    """Who asks for many cases at once must be able to see which rules only a chain can follow."""
    assert has_variable(Rule("r", All((when,)), (Conclusion("c", value),)))
    assert not has_variable(Rule("r", All((Known("a"),)), (Conclusion("c", "yes"),)))
