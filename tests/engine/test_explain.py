"""Why a fact holds: the tree is complete, rests on what was told, and reads as plain text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from rule_bases import rule_bases, told_facts
from test_against_oracles import MORE, QUICK, compiled
from test_chain import A, chain, rule, when

from whichresin.engine.chain import Chain
from whichresin.engine.conditions import NotKnown
from whichresin.engine.explain import Reason, lines
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Rule


def nodes(reason: Reason) -> Iterator[Reason]:
    """Every distinct node of a tree."""
    seen: set[int] = set()
    queue = [reason]
    for node in queue:
        if id(node) not in seen:
            seen.add(id(node))
            yield node
            queue += [below for j in node.justifications for below in j.reasons]


@settings(QUICK, max_examples=60 * MORE)
@given(rule_bases(), told_facts())
def test_every_tree_is_complete_and_rests_on_what_was_told(rules: tuple[Rule, ...], told: list[Fact]) -> None:
    """Each fact in a tree shows all its firings; and from the told facts of the tree alone, by the rules it
    shows, the fact follows (no reasoning in circles)."""
    it = Chain(compiled(rules))
    for fact in told:
        it.tell(fact)
    firings = it.firings()
    for root in it.facts():
        tree = list(nodes(it.why(root)))
        shown = {node.fact for node in tree if not node.again}
        for node in tree:
            assert node.origin == it.origin(node.fact)
            if node.again:
                assert node.fact in shown
                assert not node.justifications
                continue
            expected = [f for f in firings if node.fact in f.concluded]
            assert [j.rule for j in node.justifications] == [f.rule for f in expected]
            for justification, firing in zip(node.justifications, expected, strict=True):
                assert {reason.fact for reason in justification.reasons} == firing.supports
                assert len(justification.absent) == len(firing.absent)
            assert node.justifications or node.origin is not None
        grounded = {node.fact for node in tree if node.origin is not None}
        steps = [(n.fact, {r.fact for r in j.reasons}) for n in tree for j in n.justifications]
        while True:
            new = {fact for fact, supports in steps if supports <= grounded} - grounded
            if not new:
                break
            grounded |= new
        assert root in grounded
        assert shown <= grounded


def test_a_circle_is_explained_once_and_cut() -> None:
    """Facts that support one another are shown with all their reasons, without going round."""
    it = chain(
        rule("one", when("a"), ("b", "yes")),
        rule("two", when("b"), ("a", "yes")),
        rule("in", when("c"), ("b", "yes")),
    )
    it.tell(Fact("c", "yes"), "measured")
    assert lines(it.why(A)) == [
        "a = yes: two says so [two]",
        "  b = yes: in says so [in]",
        "    c = yes (measured)",
        "    and also: one says so [one]",
        "      a = yes (explained above)",
    ]


def test_sources_stand_beside_their_rule() -> None:
    """Whoever doubts a rule must see at once where it comes from; rules without a source show none."""
    sourced = replace(rule("one", when("a"), ("b", "yes")), source=("KATZ", "VM1"))
    it = chain(sourced, rule("two", when("b"), ("c", "yes")))
    it.tell(A)
    assert lines(it.why(Fact("c", "yes")), sources=True) == [
        "c = yes: two says so [two]",
        "  b = yes: one says so [one; KATZ, VM1]",
        "    a = yes (answered)",
    ]


def test_absences_and_several_reasons_are_shown() -> None:
    """What had to be absent is part of the reason; further justifications follow the first."""
    it = chain(
        rule("one", [*when("a"), NotKnown("z")], ("b", "yes")),
        rule("two", when("b"), ("c", "yes")),
        rule("three", when("a"), ("c", "yes")),
    )
    it.tell(A)
    why = it.why(Fact("c", "yes"))
    assert lines(why) == [
        "c = yes: three says so [three]",
        "  a = yes (answered)",
        "  and also: two says so [two]",
        "    b = yes: one says so [one]",
        "      a = yes (answered)",
        "      z is not known",
    ]


@pytest.mark.parametrize(("depth", "count"), [(0, 1), (1, 2), (2, 4), (None, 4), (9, 4)])
def test_depth_limits_the_lines(depth: int | None, count: int) -> None:
    """One useful line first; the rest on request."""
    it = chain(
        rule("one", [*when("a"), NotKnown("z")], ("b", "yes")),
        rule("two", when("b"), ("c", "yes")),
    )
    it.tell(A)
    text = lines(it.why(Fact("c", "yes")), depth)
    assert len(text) == count
    assert text[0] == "c = yes: two says so [two]"


def test_shared_reasons_are_explained_once() -> None:
    """A ladder of rules with two rungs each has a million paths; its explanation stays short."""
    ladder = [rule(f"{side}{n}", when(f"n{n}"), (f"n{n + 1}", "yes")) for n in range(20) for side in ("left", "right")]
    it = chain(*ladder)
    it.tell(Fact("n0", "yes"))
    assert len(lines(it.why(Fact("n20", "yes")))) < 100


def test_facts_can_be_said_in_other_words() -> None:
    """The caller knows the plain words for names and values."""
    it = chain(rule("one", when("a"), ("b", "yes")))
    it.tell(A)
    assert lines(it.why(Fact("b", "yes")), say_fact=lambda fact: fact.name.upper()) == [
        "B: one says so [one]",
        "  A (answered)",
    ]


def test_there_is_no_reason_for_what_does_not_hold() -> None:
    """Asking why a fact holds that does not is a mistake, and is said so."""
    it = chain(rule("one", when("a"), ("b", "yes")))
    with pytest.raises(KeyError, match="b = yes does not hold"):
        it.why(Fact("b", "yes"))
