"""The proof that no path opens the gate over a duty: it agrees with the engine on rules that try to break it."""

from __future__ import annotations

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.engine.chain import Chain
from whichresin.engine.conditions import All, Condition, Equals, Known, Never, NotKnown, OneOf, Some
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule
from whichresin.engine.ruleset import RuleSet
from whichresin.engine.strata import NegationCycle
from whichresin.training.check import check
from whichresin.training.proof import Unproved, behind, breaches

DUTIES = ("none_of_these", "fuel", "lamp")
GATES = ("open", "ask", "refer", "replace")
STATES = ("sound", "crumbles")
SAID = ("fuel", "structure")
TOLD = (
    ("duty", frozenset(DUTIES), True),
    ("part_gate", frozenset(GATES), True),
    ("condition", frozenset(STATES), True),
    ("duty_said", frozenset(SAID), False),
)
HONEST = (
    OneOf("duty", ("none_of_these",)),
    Never((OneOf("part_gate", ("refer", "replace")), Known("duty_said"))),
)
MAY_OPEN = All(HONEST)
LEAVES = st.one_of(
    st.builds(Equals, st.just("duty"), st.sampled_from(DUTIES)),
    st.builds(Equals, st.just("part_gate"), st.sampled_from(GATES)),
    st.builds(Equals, st.just("condition"), st.sampled_from(STATES)),
    st.builds(Equals, st.just("duty_said"), st.sampled_from(SAID)),
    st.builds(Equals, st.just("harmless"), st.just("yes")),
    st.builds(Known, st.sampled_from(["duty", "part_gate", "duty_said", "harmless"])),
    st.builds(NotKnown, st.sampled_from(["duty", "part_gate", "duty_said"])),
)
CONDITIONS = st.recursive(
    LEAVES,
    lambda inner: st.one_of([st.builds(kind, st.lists(inner, min_size=1, max_size=3).map(tuple))
                             for kind in (All, Some, Never)]),
    max_leaves=5,
)  # fmt: skip


def rule(name: str, when: tuple[Condition, ...], fact: str, value: str) -> Rule:
    return Rule(name, All(when), (Conclusion(fact, value),))


@st.composite
def rulesets(draw: st.DrawFn) -> list[Rule]:
    """Rules that open and shut the gate, one through a derived fact; some are honest with one part more."""
    found = [rule("shuts", (draw(CONDITIONS),), "gate", "shut"), rule("helps", (draw(CONDITIONS),), "harmless", "yes")]
    honest = draw(st.booleans())
    more: tuple[Condition, ...] = (draw(CONDITIONS),)
    found.append(rule("opens", (*HONEST, *more) if honest else more, "gate", "open"))
    return found


def worlds() -> list[list[Fact]]:
    """Every case of the told names."""
    said = [(), ("fuel",), ("structure",), SAID]
    return [
        [
            *([Fact("duty", d)] if d else []), *([Fact("part_gate", g)] if g else []),
            *([Fact("condition", c)] if c else []), *(Fact("duty_said", s) for s in some),
        ]
        for d, g, c, some in product((*DUTIES, None), (*GATES, None), (*STATES, None), said)
    ]  # fmt: skip


def may_open(facts: list[Fact]) -> bool:
    told = {fact.name: fact.value for fact in facts}
    gated = told.get("part_gate") in ("refer", "replace")
    return told.get("duty") == "none_of_these" and not gated and "duty_said" not in told


def opens_wrongly(rules: list[Rule]) -> bool:
    """What the engine itself does in every case: the slow, obvious twin of the proof."""
    ruleset = RuleSet.compile(rules)
    for facts in worlds():
        chain = Chain(ruleset)
        for fact in facts:
            chain.tell(fact)
        gate = chain.values("gate")
        if "open" in gate and (gate != ("open",) or not may_open(facts)):
            return True
    return False


@settings(max_examples=60, deadline=None)
@given(rulesets())
def test_the_proof_agrees_with_the_engine(rules: list[Rule]) -> None:
    """A rule set passes if and only if the engine opens the gate in no case in which it must stay shut."""
    try:
        RuleSet.compile(rules)
    except NegationCycle:
        return
    found = breaches(behind(rules, "gate"), told_of(rules), "gate", "open", MAY_OPEN)
    assert not isinstance(found, Unproved)
    assert bool(found) == opens_wrongly(rules)
    assert all(breach.rule == "opens" and breach.case for breach in found)


def told_of(rules: list[Rule]) -> tuple[tuple[str, frozenset[str], bool], ...]:
    derived = {conclusion.name for one in rules for conclusion in one.conclude}
    return tuple(one for one in TOLD if one[0] not in derived)


def test_the_shipped_rules_are_proved() -> None:
    """With every rule of the shipped base; and the proof is made, not given up."""
    compiled = check().compiled
    assert compiled is not None and compiled.model is not None
    rules = behind(list(compiled.model.rules), "gate")
    assert len(rules) >= 15
    codes = {problem.code for problem in compiled.tree.ctx.report.sorted()}
    assert "gate-can-open" not in codes and "repair-without-gate" not in codes
