"""Random rule bases and random histories for the property tests.

A base is stratified by construction: every name has a layer, negations look only at lower layers. Names of one
layer may support one another in circles unless `circles` is False. The makers take any `Random`: a seeded one
(fast, for long runs) or one that a property test draws from (slower, but a failure is made small).
"""

from __future__ import annotations

from random import Random

from hypothesis import strategies as st

from whichresin.engine.conditions import All, Condition, Equals, Known, Never, NotKnown, OneOf, Some, Var, Within
from whichresin.engine.facts import Fact, Value
from whichresin.engine.rules import Conclusion, Rule

LAYERS = {"cue1": 0, "cue2": 0, "size": 0, "a": 0, "b": 0, "c": 1, "d": 1, "e": 2, "f": 2}
ANSWERS = ("cue1", "cue2", "size")
TOLD_NAMES = (*ANSWERS, *ANSWERS, "a", "c", "e")  # derived names may be told as well
WORDS = ("p", "q")
NUMBERS = (0.0, 1.0, 2.5)
INTERVALS = ((None, 1.0), (0.5, None), (1.0, 2.5), (0.0, 1.0))

# What happens to a chain: tell a fact, take back the told fact at this place, or undo the last step.
Step = tuple[str, Fact | int | None]


def make_value(random: Random, name: str) -> Value:
    """A value that this name can have."""
    return random.choice(NUMBERS if name == "size" else WORDS)


def make_fact(random: Random) -> Fact:
    """A fact that may be told."""
    name = random.choice(TOLD_NAMES)
    return Fact(name, make_value(random, name))


def make_condition(random: Random, below: list[str], barred: list[str], depth: int) -> Condition:
    """A condition on names `below`, with negations on names `barred` only."""
    kinds = ["equals"] * 4 + ["variable", "one_of", "known", "within"]
    if depth:
        kinds += ["some", "all"]
    if barred:
        kinds += ["not_known", "never", "never"]
    kind = random.choice(kinds)
    if kind == "not_known":
        return NotKnown(random.choice(barred))
    if kind in ("never", "some", "all"):
        deeper = max(depth - 1, 0)
        inside = barred if kind == "never" else below
        outside = barred if kind != "never" or depth else []
        parts = tuple(make_condition(random, inside, outside, deeper) for _ in range(random.randint(1, 2)))
        return {"never": Never, "some": Some, "all": All}[kind](parts)
    name = random.choice(below)
    if kind == "variable":
        return Equals(name, Var(random.choice("xy")))
    if kind == "one_of":
        return OneOf(name, tuple(dict.fromkeys(make_value(random, name) for _ in range(2))))
    if kind == "known":
        return Known(name)
    if kind == "within":
        low, high = random.choice(INTERVALS)
        return Within("size", low, high, random.random() < 0.5, random.random() < 0.5)
    return Equals(name, make_value(random, name))


def make_rule(random: Random, id: str, circles: bool) -> Rule:
    """One rule; a conclusion may copy a variable that is bound in every way the rule can fire."""
    name = random.choice("abcdef")
    layer = LAYERS[name]
    below = [n for n in LAYERS if LAYERS[n] <= layer and (circles or n < name or n in ANSWERS)]
    barred = [n for n in LAYERS if LAYERS[n] < layer]
    below += [n for n in below if n not in ANSWERS] * 2  # more reasoning on what was derived
    when = All(tuple(make_condition(random, below, barred, 1) for _ in range(random.choice((1, 1, 2, 3)))))
    bound = [p.value for p in when.parts if isinstance(p, Equals) and isinstance(p.value, Var)]
    conclude = [Conclusion(name, bound[0] if bound and random.random() < 0.7 else make_value(random, name))]
    if random.random() < 0.2:
        conclude.append(Conclusion(name, make_value(random, name)))
    return Rule(id, when, tuple(conclude), because=f"as {id} says", source=("common practice",))


def make_rule_base(random: Random, circles: bool = True, most: int = 10) -> tuple[Rule, ...]:
    """A stratified rule base of at most `most` rules."""
    return tuple(make_rule(random, f"r{number}", circles) for number in range(random.randint(3, most)))


def make_history(random: Random, length: int) -> list[Step]:
    """Steps, more telling than taking back."""
    steps: list[Step] = []
    for _ in range(length):
        kind = random.choice(("tell", "tell", "tell", "take_back", "take_back", "undo"))
        what = make_fact(random) if kind == "tell" else random.randrange(10) if kind == "take_back" else None
        steps.append((kind, what))
    return steps


randoms = st.randoms(use_true_random=False)


@st.composite
def rule_bases(draw: st.DrawFn, circles: bool = True, most: int = 8) -> tuple[Rule, ...]:
    """A stratified rule base, for property tests."""
    return make_rule_base(draw(randoms), circles, most)


@st.composite
def histories(draw: st.DrawFn) -> list[Step]:
    """A history, for property tests."""
    return make_history(draw(randoms), draw(st.integers(1, 14)))


@st.composite
def told_facts(draw: st.DrawFn) -> list[Fact]:
    """Distinct facts to tell, for property tests."""
    random = draw(randoms)
    return list(dict.fromkeys(make_fact(random) for _ in range(draw(st.integers(0, 7)))))
