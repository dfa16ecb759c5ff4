"""Random rule bases and random histories for the property tests.

A base is stratified by construction: every name has a layer, negations look only at lower layers. Names of
one layer may support one another in circles unless `circles` is False.
"""

from __future__ import annotations

from hypothesis import strategies as st

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
)
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule

LAYERS = {"cue1": 0, "cue2": 0, "size": 0, "a": 0, "b": 0, "c": 1, "d": 1, "e": 2, "f": 2}
WORDS = ("p", "q", "r")
NUMBERS = (0.0, 1.0, 2.5)
TOLD_NAMES = ("cue1", "cue2", "size", "a", "c", "e")

names_of = {layer: sorted(n for n, at in LAYERS.items() if at <= layer) for layer in range(-1, 3)}


def values(name: str) -> st.SearchStrategy[str | float]:
    """A value that this name can have."""
    return st.sampled_from(NUMBERS if name == "size" else WORDS)


@st.composite
def facts(draw: st.DrawFn) -> Fact:
    """A fact that may be told; some of their names are also concluded by rules."""
    name = draw(st.sampled_from(TOLD_NAMES))
    return Fact(name, draw(values(name)))


@st.composite
def conditions(draw: st.DrawFn, below: list[str], barred: list[str], depth: int) -> Condition:
    """A condition on names `below`, negations on names `barred` only."""
    kinds = ["equals", "equals", "equals", "variable", "one_of", "known", "within"]
    if depth:
        kinds += ["some", "all"]
    if barred:
        kinds += ["not_known", "never"]
    kind = draw(st.sampled_from(kinds))
    if kind == "not_known":
        return NotKnown(draw(st.sampled_from(barred)))
    if kind == "never":
        inner = conditions(barred, barred if depth else [], depth - 1 if depth else 0)
        return Never(tuple(draw(st.lists(inner, min_size=1, max_size=2))))
    if kind in ("some", "all"):
        parts = tuple(draw(st.lists(conditions(below, barred, depth - 1), min_size=1, max_size=2)))
        return Some(parts) if kind == "some" else All(parts)
    name = draw(st.sampled_from(below))
    if kind == "variable":
        return Equals(name, Var(draw(st.sampled_from(("x", "y")))))
    if kind == "one_of":
        return OneOf(name, tuple(draw(st.lists(values(name), min_size=1, max_size=2, unique=True))))
    if kind == "known":
        return Known(name)
    if kind == "within":
        low, high = draw(st.sampled_from([(None, 1.0), (0.5, None), (1.0, 2.5), (0.0, 1.0)]))
        return Within("size", low, high, draw(st.booleans()), draw(st.booleans()))
    return Equals(name, draw(values(name)))


@st.composite
def rules(draw: st.DrawFn, id: str, circles: bool) -> Rule:
    """One rule; its conclusions copy a variable where one is bound in every way it can fire."""
    name = draw(st.sampled_from(["a", "b", "c", "d", "e", "f"]))
    layer = LAYERS[name]
    below = [n for n in names_of[layer] if circles or n < name or n in ("cue1", "cue2", "size")]
    part = conditions(below, names_of[layer - 1], 1)
    when = All(tuple(draw(st.lists(part, min_size=1, max_size=3))))
    bound = [p.value for p in when.parts if isinstance(p, Equals) and isinstance(p.value, Var)]
    use = bound and draw(st.booleans())
    conclude = [Conclusion(name, bound[0] if use else draw(values(name)))]
    if draw(st.booleans()) and draw(st.booleans()):
        conclude.append(Conclusion(name, draw(values(name))))
    return Rule(id, when, tuple(conclude), because=f"as {id} says", source=("common practice",))


@st.composite
def rule_bases(draw: st.DrawFn, circles: bool = True, most: int = 8) -> tuple[Rule, ...]:
    """A stratified rule base."""
    count = draw(st.integers(1, most))
    return tuple(draw(rules(f"r{number}", circles)) for number in range(count))


# What happens to a chain: tell a fact, take back the told fact at this place, or undo the last step.
steps = st.one_of(
    st.tuples(st.just("tell"), facts()),
    st.tuples(st.just("tell"), facts()),
    st.tuples(st.just("take_back"), st.integers(0, 9)),
    st.tuples(st.just("undo"), st.none()),
)
histories = st.lists(steps, min_size=1, max_size=10)
