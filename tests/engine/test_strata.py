"""What `RuleSet.compile` refuses, and whom it names."""

from __future__ import annotations

import plain_engine
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_against_oracles import MORE, QUICK
from test_chain import rule, when

from whichresin.engine.chain import Chain, RuleSet
from whichresin.engine.conditions import All, Condition, Equals, Known, Never, NotKnown, Some, Var, Within
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule, RuleError, UnboundVariable
from whichresin.engine.strata import NegationCycle, negation_cycles


def never(*names: str) -> Never:
    """None of `name = yes`."""
    return Never(tuple(when(*names)))


CYCLES: list[tuple[str, list[Rule], set[str]]] = [
    ("on itself", [rule("r1", [never("a")], ("a", "yes"))], {"r1"}),
    ("by not known", [rule("r1", [NotKnown("a")], ("a", "yes"))], {"r1"}),
    ("another value of the name", [rule("r1", [Never((Equals("a", "no"),))], ("a", "yes"))], {"r1"}),
    (
        "of two",
        [rule("r1", [never("a")], ("b", "yes")), rule("r2", [never("b")], ("a", "yes"))],
        {"r1", "r2"},
    ),
    (
        "through a positive rule",
        [rule("r1", [never("a")], ("b", "yes")), rule("r2", when("b"), ("a", "yes"))],
        {"r1", "r2"},
    ),
    (
        "beside an innocent rule",
        [
            rule("r0", when("b"), ("z", "yes")),
            rule("r1", [never("a")], ("b", "yes")),
            rule("r2", when("b", "z"), ("c", "yes")),
            rule("r3", when("c"), ("a", "yes")),
            rule("r4", when("a"), ("y", "yes")),
        ],
        {"r1", "r2", "r3"},
    ),
    (
        "through a second conclusion",
        [rule("r1", [never("a")], ("x", "yes"), ("b", "yes")), rule("r2", when("b"), ("a", "no"))],
        {"r1", "r2"},
    ),
    ("inside some", [rule("r1", [Some((*when("z"), never("a")))], ("a", "yes"))], {"r1"}),
    ("a negation in a negation", [rule("r1", [Never((never("a"),))], ("a", "yes"))], {"r1"}),
    (
        "withholding by what is withheld",
        [rule("r1", [NotKnown("withhold")], ("withhold", "acetone"))],
        {"r1"},
    ),
]


@pytest.mark.parametrize(("rules", "guilty"), [c[1:] for c in CYCLES], ids=[c[0] for c in CYCLES])
def test_a_circle_through_a_negation_is_refused_with_its_rules(rules: list[Rule], guilty: set[str]) -> None:
    """A rule that rests on its own absence has no meaning; the author needs to know which rules do it."""
    with pytest.raises(NegationCycle, match="go in a circle through a negation") as caught:
        RuleSet.compile(reversed(rules))
    assert set(caught.value.rules) == guilty
    for id in guilty:
        assert id in str(caught.value)


@pytest.mark.parametrize(
    "rules",
    [
        [rule("r1", when("a"), ("a", "no"))],
        [rule("r1", when("a"), ("b", "yes")), rule("r2", when("b"), ("a", "yes"))],
        [rule("r1", [never("a")], ("b", "yes")), rule("r2", [never("b")], ("c", "yes"))],
        [rule("r1", [never("a")], ("b", "yes")), rule("r2", [never("a"), *when("b")], ("b", "no"))],
    ],
    ids=["on itself", "positive circle", "two layers", "same negation twice"],
)
def test_what_has_a_meaning_is_accepted(rules: list[Rule]) -> None:
    """Positive circles and layered negations are good rules."""
    RuleSet.compile(rules)


def test_every_group_of_guilty_rules_is_found() -> None:
    """An author mends all circles at once, not one for each run of the check."""
    rules = [rule(f"r{n}", [never(f"a{n}")], (f"a{n}", "yes")) for n in range(3)]
    assert [cycle.rules for cycle in negation_cycles(rules)] == [("r0",), ("r1",), ("r2",)]


@st.composite
def any_rules(draw: st.DrawFn) -> list[Rule]:
    """Rules with negations anywhere, layered or not."""
    name = st.sampled_from("abcd")
    part = st.one_of(name.map(lambda n: Equals(n, "yes")), name.map(NotKnown), name.map(lambda n: never(n)))
    bodies = draw(st.lists(st.tuples(st.lists(part, max_size=2), name), min_size=1, max_size=6))
    return [rule(f"r{n}", list(body), (head, "yes")) for n, (body, head) in enumerate(bodies)]


@settings(QUICK, max_examples=200 * MORE)
@given(any_rules())
def test_refused_exactly_when_the_slow_twin_finds_no_layers(rules: list[Rule]) -> None:
    """Nothing with a meaning is refused, nothing without one accepted; the named rules alone are guilty."""
    try:
        plain_engine.layers(rules)
        layered = True
    except ValueError:
        layered = False
    cycles = negation_cycles(rules)
    assert bool(cycles) is not layered
    for cycle in cycles:
        with pytest.raises(ValueError, match="rests on its own absence"):
            plain_engine.layers([r for r in rules if r.id in cycle.rules])


@settings(QUICK, max_examples=100 * MORE)
@given(any_rules())
def test_strata_are_those_of_the_slow_twin(rules: list[Rule]) -> None:
    """The stratum is part of the firing order, which everybody may rely on."""
    assume(not negation_cycles(rules))
    levels = plain_engine.layers(rules)
    assert RuleSet.compile(rules).stratum == {r.id: plain_engine.layer(r, levels) for r in rules}


def test_each_negation_adds_a_stratum() -> None:
    """Three negations on top of one another make three strata above the answers, whatever the ids suggest."""
    ladder = [rule(f"r{9 - n}", [never(f"a{n}")], (f"a{n + 1}", "yes")) for n in range(3)]
    assert RuleSet.compile(ladder).stratum == {"r9": 1, "r8": 2, "r7": 3}


UNBOUND: list[tuple[str, list[Condition], tuple[str, str | Var]]] = [
    ("nowhere", when("a"), ("b", Var("v"))),
    ("only in a negation", [*when("a"), Never((Equals("c", Var("v")),))], ("b", Var("v"))),
    ("in one way of two", [Some((Equals("a", Var("v")), Known("c")))], ("b", Var("v"))),
    (
        "deep in a negation",
        [Equals("a", Var("v")), Never((All((*when("c"), Never((Equals("d", Var("v")),)))),))],
        ("b", "yes"),
    ),
]


@pytest.mark.parametrize(("body", "head"), [c[1:] for c in UNBOUND], ids=[c[0] for c in UNBOUND])
def test_a_variable_without_a_value_is_refused(body: list[Condition], head: tuple[str, str | Var]) -> None:
    """A conclusion must not depend on a value that nothing gives."""
    with pytest.raises(UnboundVariable, match=r"rule r1: the variable \?v") as caught:
        RuleSet.compile([rule("r1", body, head)])
    assert caught.value.variable == "v"
    assert caught.value.rules == ("r1",)


def test_a_variable_bound_in_every_way_is_accepted() -> None:
    """Each way may bind the variable by its own condition."""
    either = Some((Equals("a", Var("v")), Equals("c", Var("v"))))
    it = Chain(RuleSet.compile([rule("r1", [either], ("b", Var("v")))]))
    it.tell(Fact("c", "p"))
    assert it.values("b") == ("p",)


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        ([rule("r1", when("a"), ("b", "yes"))] * 2, "two rules are called r1"),
        ([Rule("r1", All(()), ())], "rule r1 concludes nothing"),
        ([rule("r1", [Equals("a", True)], ("b", "yes"))], "write yes and no as words"),
        ([rule("r1", when("a"), ("b", float("nan")))], "cannot be 'not a number'"),
        ([rule("r1", [Within("a", low=float("nan"))], ("b", "yes"))], "cannot be 'not a number'"),
    ],
)
def test_rules_that_cannot_be_run_are_refused(rules: list[Rule], sentence: str) -> None:
    """A fault in a rule is found when it is compiled, not in the middle of an interview."""
    with pytest.raises(RuleError, match=sentence) as caught:
        RuleSet.compile(rules)
    assert caught.value.rules == ("r1",)


def test_conclusions_without_conditions_hold_from_the_start() -> None:
    """A rule with nothing to wait for is a fact of the rule base."""
    it = Chain(RuleSet.compile([Rule("r1", All(()), (Conclusion("a", "yes"),))]))
    assert it.facts() == {Fact("a", "yes")}
