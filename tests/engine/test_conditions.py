"""What each kind of condition means, as tables: facts in, fires or not."""

from __future__ import annotations

import pytest

from whichresin.engine.chain import Chain, RuleSet
from whichresin.engine.conditions import (
    All,
    Condition,
    Equals,
    Known,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    Within,
    say,
)
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule

X, Y = Var("x"), Var("y")
GOAL = Fact("goal", "reached")

CASES: list[tuple[str, Condition, list[tuple[str, str | float]], bool]] = [
    ("equal word", Equals("a", "p"), [("a", "p")], True),
    ("other word", Equals("a", "p"), [("a", "q")], False),
    ("other name", Equals("a", "p"), [("b", "p")], False),
    ("one of several values", Equals("a", "p"), [("a", "q"), ("a", "p")], True),
    ("whole number equals decimal", Equals("a", 1), [("a", 1.0)], True),
    ("a numeral word is no number", Equals("a", 1), [("a", "1")], False),
    ("one of", OneOf("a", ("p", "q")), [("a", "q")], True),
    ("none of one of", OneOf("a", ("p", "q")), [("a", "r")], False),
    ("one of nothing", OneOf("a", ()), [("a", "p")], False),
    ("closed interval takes its ends", Within("a", 1, 2), [("a", 2)], True),
    ("open end is outside", Within("a", 1, 2, high_open=True), [("a", 2)], False),
    ("open start is outside", Within("a", 1, 2, low_open=True), [("a", 1)], False),
    ("half interval", Within("a", low=1), [("a", 99)], True),
    ("below half interval", Within("a", low=1), [("a", 0.99)], False),
    ("a word is in no interval", Within("a"), [("a", "p")], False),
    ("known", Known("a"), [("a", "p")], True),
    ("known of another name", Known("a"), [("b", "p")], False),
    ("not known", NotKnown("a"), [("b", "p")], True),
    ("not known but is", NotKnown("a"), [("a", "p")], False),
    ("all of nothing", All(()), [], True),
    ("some of nothing", Some(()), [], False),
    ("never of nothing", Never(()), [], True),
    ("all", All((Equals("a", "p"), Equals("b", "p"))), [("a", "p")], False),
    ("some", Some((Equals("a", "p"), Equals("b", "p"))), [("b", "p")], True),
    ("some by absence", Some((Equals("a", "p"), NotKnown("b"))), [], True),
    ("never", Never((Equals("a", "p"),)), [("a", "q")], True),
    ("never broken", Never((Equals("a", "p"), Equals("b", "q"))), [("b", "q")], False),
    ("never one of", Never((OneOf("a", ("p", "q")),)), [("a", "q")], False),
    ("never within", Never((Within("a", 1, 2),)), [("a", 1.5)], False),
    ("never within, outside", Never((Within("a", 1, 2),)), [("a", 3), ("a", "1.5")], True),
    ("never both", Never((All((Equals("a", "p"), Equals("b", "p"))),)), [("a", "p")], True),
    (
        "never both broken",
        Never((All((Equals("a", "p"), Equals("b", "p"))),)),
        [("a", "p"), ("b", "p")],
        False,
    ),
    ("never some", Never((Some((Equals("a", "p"), Equals("b", "p"))),)), [("b", "p")], False),
    ("never of everything", Never((All(()),)), [], False),
    ("never not known", Never((NotKnown("a"),)), [("a", "p")], True),
    ("never not known broken", Never((NotKnown("a"),)), [], False),
    ("never never", Never((Never((Equals("a", "p"),)),)), [("a", "p")], True),
    ("never never broken", Never((Never((Equals("a", "p"),)),)), [], False),
    ("same variable, same value", All((Equals("a", X), Equals("b", X))), [("a", "p"), ("b", "p")], True),
    ("same variable, other value", All((Equals("a", X), Equals("b", X))), [("a", "p"), ("b", "q")], False),
    (
        "variable finds the pair",
        All((Equals("a", X), Equals("b", X))),
        [("a", "p"), ("a", "q"), ("b", "q")],
        True,
    ),
    ("two variables", All((Equals("a", X), Equals("b", Y))), [("a", "p"), ("b", "q")], True),
    ("bound in never", All((Never((Equals("b", X),)), Equals("a", X))), [("a", "p"), ("b", "q")], True),
    (
        "bound in never, broken",
        All((Never((Equals("b", X),)), Equals("a", X))),
        [("a", "p"), ("b", "p")],
        False,
    ),
    ("any value in never", Never((Equals("b", X),)), [("b", "q")], False),
    (
        "bound in a never of two",
        All((Equals("a", X), Never((All((Equals("b", X), Equals("c", "p"))),)))),
        [("a", "p"), ("b", "q"), ("c", "p")],
        True,
    ),
    (
        "bound in a never of two, broken",
        All((Equals("a", X), Never((All((Equals("b", X), Equals("c", "p"))),)))),
        [("a", "p"), ("b", "p"), ("c", "p")],
        False,
    ),
    (
        "a pair inside never",
        Never((All((Equals("a", X), Equals("b", X))),)),
        [("a", "p"), ("b", "q")],
        True,
    ),
    (
        "a pair inside never, broken",
        Never((All((Equals("a", X), Equals("b", X))),)),
        [("a", "p"), ("b", "p")],
        False,
    ),
    ("one condition twice", All((Known("a"), Known("a"))), [("a", "p")], True),
    ("there and not there", All((Equals("a", "p"), Never((Equals("a", "p"),)))), [("a", "p")], False),
]


@pytest.mark.parametrize(("condition", "facts", "fires"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
@pytest.mark.parametrize("backwards", [False, True], ids=["forwards", "backwards"])
def test_condition(condition: Condition, facts: list[tuple[str, str | float]], fires: bool, backwards: bool) -> None:
    """A rule fires exactly when its condition holds, whichever fact comes first, and stops with its facts."""
    rule = Rule("rule", All((condition,)), (Conclusion(*GOAL),))
    chain = Chain(RuleSet.compile([rule]))
    at_first = chain.holds(GOAL)
    told = [Fact(*fact) for fact in facts]
    for fact in reversed(told) if backwards else told:
        chain.tell(fact)
    assert chain.holds(GOAL) is fires
    for fact in told:
        chain.take_back(fact)
    assert chain.holds(GOAL) is at_first
    assert chain.facts() == ({GOAL} if at_first else set())


@pytest.mark.parametrize(
    ("condition", "text"),
    [
        (Equals("a", 1.0), "a is 1"),
        (Equals("a", X), "a is some x"),
        (OneOf("a", ("p", 2.5)), "a is one of p, 2.5"),
        (Within("a", 1, 2, high_open=True), "a is at least 1 and below 2"),
        (Within("a"), "a is any number"),
        (Known("a"), "a is known"),
        (NotKnown("a"), "a is not known"),
        (Never((Equals("a", "p"), Known("b"))), "a is not p and b is not known"),
        (Never((All((Equals("a", "p"), Equals("b", "q"))),)), "not (a is p and b is q)"),
        (Some((Equals("a", "p"), All((Known("b"), Known("c"))))), "a is p or (b is known and c is known)"),
        (All(()), "nothing"),
    ],
)
def test_condition_in_words(condition: Condition, text: str) -> None:
    """What had to be absent is read by people, so it must read like a sentence."""
    assert say(condition) == text
