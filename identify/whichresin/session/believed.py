"""What the belief lets the rules know: facts at two thresholds, never fed back into evidence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from operator import attrgetter

from whichresin.belief.hypotheses import Belief
from whichresin.engine.facts import Fact
from whichresin.knowledge.model import Compound, Model

BELIEVED_AT = 0.90  # from here on rules may act on it; from memory
POSSIBLE_AT = 0.05  # from here on rules must reckon with it; from memory
NONE_ID = "none_of_these"


def summed(pairs: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Probabilities added up by key, largest first; equal ones by key."""
    sums: dict[str, float] = {}
    for key, p in pairs:
        sums[key] = sums.get(key, 0.0) + p
    return dict(sorted(sums.items(), key=lambda pair: (-pair[1], pair[0])))


def sums_by(model: Model, belief: Belief, field: str) -> dict[str, float]:
    """The belief added up by a field of the compounds, none-of-these left out, largest first."""
    return summed(zip(map(attrgetter(field), model.compounds[:-1]), belief.compounds[:-1], strict=True))


def filled_of(compound: Compound) -> str:
    """yes or no: is something mixed in."""
    return "no" if compound.filler_kind in ("", "none") else "yes"


def status_fact(status: str) -> dict[Fact, str]:
    """How the interview stands, as a fact for the rules."""
    return {Fact("status", status): "believed"}


def belief_facts(model: Model, belief: Belief, status: str) -> dict[Fact, str]:
    """Facts `believed.*` and `possible.*` for class, repair cell, polymer and filler, and the status."""
    views: Mapping[str, dict[str, float]] = {
        "class": sums_by(model, belief, "klass"),
        "cell": sums_by(model, belief, "cell"),
        "polymer": sums_by(model, belief, "material"),
        "filler_kind": sums_by(model, belief, "filler_kind"),
        "filled": summed(zip(map(filled_of, model.compounds[:-1]), belief.compounds[:-1], strict=True)),
    }
    facts = status_fact(status)
    for name, view in views.items():
        for value, p in view.items():
            if p >= BELIEVED_AT:
                facts[Fact(f"believed.{name}", value)] = "believed"
            if p >= POSSIBLE_AT and name != "filled":
                facts[Fact(f"possible.{name}", value)] = "believed"
    return facts
