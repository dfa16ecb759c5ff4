"""Telling, taking back and asking: small rule bases with the outcome in plain sight."""

from __future__ import annotations

import pytest

from whichresin.engine.chain import Chain, RuleSet
from whichresin.engine.conditions import All, Condition, Equals, Known, Never, NotKnown, Some, Var
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule


def rule(id: str, when: list[Condition], *conclude: tuple[str, str | float | Var]) -> Rule:
    """A rule in one line."""
    return Rule(id, All(tuple(when)), tuple(Conclusion(*c) for c in conclude), because=f"{id} says so")


def chain(*rules: Rule) -> Chain:
    """A chain on these rules."""
    return Chain(RuleSet.compile(rules))


def yes(*names: str) -> set[Fact]:
    """Facts `name = yes`."""
    return {Fact(name, "yes") for name in names}


def when(*names: str) -> list[Condition]:
    """Conditions `name = yes`."""
    return [Equals(name, "yes") for name in names]


A, B, C = (Fact(name, "yes") for name in "abc")


def test_a_conclusion_may_carry_on() -> None:
    """Rules chain to a fixed point, and the whole chain goes with its first support."""
    it = chain(rule("one", when("a"), ("b", "yes")), rule("two", when("b"), ("c", "yes")))
    it.tell(A)
    assert it.facts() == yes("a", "b", "c")
    it.take_back(A)
    assert it.facts() == set()


def test_a_fact_with_two_justifications_survives_the_loss_of_one() -> None:
    """Only what has no justification left is retracted."""
    it = chain(rule("one", when("a"), ("c", "yes")), rule("two", when("b"), ("c", "yes")))
    it.tell(A)
    it.tell(B)
    assert len(it.why(C).justifications) == 2
    it.take_back(A)
    assert it.holds(C)
    it.take_back(B)
    assert not it.holds(C)


def test_facts_that_support_one_another_do_not_keep_each_other_alive() -> None:
    """A circle needs ground outside itself."""
    it = chain(rule("one", when("a"), ("b", "yes")), rule("two", when("b"), ("a", "yes")))
    it.tell(A)
    assert it.facts() == yes("a", "b")
    it.take_back(A)
    assert it.facts() == set()


def test_a_circle_stands_while_any_ground_is_left() -> None:
    """A circle with two grounds falls only with the second."""
    it = chain(
        rule("one", when("a"), ("b", "yes")),
        rule("two", when("b"), ("a", "yes")),
        rule("in", when("c"), ("b", "yes")),
    )
    it.tell(A)
    it.tell(C)
    it.take_back(A)
    assert it.facts() == yes("a", "b", "c")
    it.take_back(C)
    assert it.facts() == set()


def test_a_fact_told_and_derived_stays_while_either_holds() -> None:
    """Taking back an answer does not undo a conclusion that says the same, nor the other way round."""
    it = chain(rule("one", when("a"), ("b", "yes")))
    it.tell(A)
    it.tell(B, "measured")
    it.take_back(B)
    assert it.holds(B)
    assert it.origin(B) is None
    it.tell(B)
    it.take_back(A)
    assert it.holds(B)
    it.take_back(B)
    assert not it.holds(B)


def test_a_retraction_can_let_later_rules_fire() -> None:
    """What rests on an absence comes back when the fact goes, through as many layers as there are."""
    it = chain(
        rule("one", [Never((Equals("a", "yes"),))], ("b", "yes")),
        rule("two", [NotKnown("b")], ("c", "yes")),
    )
    assert it.facts() == yes("b")
    it.tell(A)
    assert it.facts() == yes("a", "c")
    it.take_back(A)
    assert it.facts() == yes("b")


def test_a_rule_fires_once_for_each_set_of_supports() -> None:
    """Two ways that come down to the same facts are one firing; other facts are another firing."""
    it = chain(rule("one", [Some((Equals("a", "yes"), Known("a")))], ("b", "yes")))
    it.tell(A)
    assert len(it.firings()) == 1
    it.tell(Fact("a", "no"))
    assert [firing.supports for firing in it.firings()] == [{Fact("a", "no")}, {A}]


def test_a_variable_carries_each_value_over() -> None:
    """One rule speaks for every value that turns up, also for those that no rule names."""
    it = chain(rule("one", [Equals("a", Var("v")), Never((Equals("b", Var("v")),))], ("c", Var("v"))))
    for value in ("p", "q", 7):
        it.tell(Fact("a", value))
    assert it.values("c") == (7.0, "p", "q")
    it.tell(Fact("b", "q"))
    assert it.values("c") == (7.0, "p")


def test_firings_come_by_stratum_then_specificity_then_id() -> None:
    """The order is fixed by the rules alone, so that two runs never tell the same story differently."""
    it = chain(
        rule("late", [*when("a", "b"), NotKnown("z")], ("x", "yes")),
        rule("b-short", when("a"), ("y", "yes")),
        rule("a-short", when("a"), ("y", "yes")),
        rule("long", when("a", "b"), ("y", "no")),
    )
    it.tell(B)
    it.tell(A)
    assert [firing.rule for firing in it.firings()] == ["long", "a-short", "b-short", "late"]


def test_a_firing_says_supports_absences_and_conclusions() -> None:
    """All of what a reason needs is in the firing, variables filled in."""
    bar = Never((Equals("b", Var("v")),))
    it = chain(rule("one", [Equals("a", Var("v")), bar], ("c", Var("v")), ("d", "yes")))
    it.tell(Fact("a", "p"))
    (firing,) = it.firings()
    assert firing.supports == {Fact("a", "p")}
    assert firing.absent == (Never((Equals("b", "p"),)),)
    assert firing.concluded == (Fact("c", "p"), Fact("d", "yes"))


def test_telling_twice_is_telling_once() -> None:
    """A fact told again keeps one place and takes the newer origin."""
    it = chain()
    it.tell(A, "answered")
    it.tell(A, "measured")
    assert it.origin(A) == "measured"
    assert it.told() == {A: "measured"}
    it.take_back(A)
    assert it.facts() == set()


@pytest.mark.parametrize("fact", [A, B, Fact("unheard", "of")])
def test_taking_back_what_was_not_told_is_refused(fact: Fact) -> None:
    """Also a derived fact cannot be taken back: only its grounds can."""
    it = chain(rule("one", when("c"), ("b", "yes")))
    it.tell(C)
    with pytest.raises(KeyError, match="was not told, so it cannot be taken back"):
        it.take_back(fact)
    assert it.facts() == yes("b", "c")


def test_whole_numbers_and_decimals_are_one_value() -> None:
    """7 and 7.0 are one fact whichever was told first; minus zero is zero."""
    one, other = chain(), chain()
    one.tell(Fact("a", 7))
    one.tell(Fact("a", 7.0))
    one.tell(Fact("a", -0.0))
    other.tell(Fact("a", 0))
    other.tell(Fact("a", 7.0))
    assert repr(one.values("a")) == repr(other.values("a")) == "(0.0, 7.0)"


@pytest.mark.parametrize("value", [True, float("nan"), None, ("p",)])
def test_a_value_that_is_neither_word_nor_number_is_refused(value: object) -> None:
    """True would pass for 1.0 and not-a-number would never equal itself: both would spoil the bookkeeping."""
    it = chain()
    with pytest.raises((TypeError, ValueError), match=r"word or a number|not a number"):
        it.tell(Fact("a", value))  # type: ignore[arg-type]
    assert it.facts() == set()


@pytest.mark.parametrize("size", [1500])
def test_long_chains_and_large_circles_do_not_exhaust_the_stack(size: int) -> None:
    """Ten times the rules must not meet Python's recursion limit, neither running nor explaining."""
    line = [rule(f"r{n}", when(f"n{n}"), (f"n{n + 1}", "yes")) for n in range(size)]
    ring = [*line, rule("close", when(f"n{size}"), ("n0", "yes"))]
    first, last = Fact("n0", "yes"), Fact(f"n{size}", "yes")
    for rules in (line, ring):
        it = chain(*rules)
        it.tell(first)
        assert len(it.facts()) == size + 1
        assert it.why(last).justifications[0].rule == f"r{size - 1}"
        it.take_back(first)
        assert it.facts() == set()


def test_nothing_is_touched_but_what_the_fact_concerns() -> None:
    """The work for an answer depends on the rules about it, not on how many other rules there are."""

    class Counting(list[int]):
        """A list of counters that counts how often one is written."""

        written = 0

        def __setitem__(self, index: object, value: object) -> None:
            Counting.written += 1
            super().__setitem__(index, value)  # type: ignore[call-overload]

    work = []
    for size in (10, 1000):
        it = chain(
            rule("one", when("a"), ("b", "yes")),
            *(rule(f"r{n}", [Equals(f"n{n}", Var("v")), *when(f"m{n}")], ("c", Var("v"))) for n in range(size)),
        )
        it._ledger.missing = Counting(it._ledger.missing)
        it._ledger.count = Counting(it._ledger.count)
        Counting.written = 0
        it.tell(A)
        it.take_back(A)
        work.append(Counting.written)
    assert work[0] == work[1] > 0


def test_telling_again_costs_no_memory() -> None:
    """An interview that goes back and forth over the same answers, or a simulation, must not grow."""
    it = chain(
        rule("pair", [Equals("a", Var("v")), Equals("b", Var("w"))], ("c", Var("v"))),
        rule("same", [Equals("a", Var("v")), Equals("a", Var("w"))], ("d", Var("v"))),
    )
    for _ in range(3):
        for value in ("p", "q"):
            it.tell(Fact("a", value))
            it.tell(Fact("b", value))
        for fact in tuple(it.told()):
            it.take_back(fact)
    pairs, same = 4, 4
    assert len(it._ledger.instances) == pairs + same
