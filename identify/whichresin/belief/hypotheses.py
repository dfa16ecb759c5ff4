"""What is believed: a weight per compound and per skill, and sums of it that a person can read.

The last compound is always 'none of these'. It is left out of the sums by class, material and filler, and
asked for by name with `none_of_these`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from whichresin.knowledge.model import Compound, Model


@dataclass(frozen=True, slots=True)
class Belief:
    """Probability of each compound and of each skill, and log P(answers) with the factors given."""

    compounds: tuple[float, ...]
    skills: tuple[float, ...]
    log_evidence: float


def none_of_these(belief: Belief) -> float:
    """Probability that the part is outside the knowledge base, or no plastic at all."""
    return belief.compounds[-1]


def by_class(model: Model, belief: Belief) -> dict[str, float]:
    """Probability of each class, best first."""
    return _sums((c.klass, p) for c, p in _known(model, belief))


def by_material(model: Model, belief: Belief) -> dict[str, float]:
    """Probability of each material id, best first."""
    return _sums((c.material, p) for c, p in _known(model, belief))


def by_cell(model: Model, belief: Belief) -> dict[str, float]:
    """Probability of each repair cell, best first; 'none of these' stands under its own cell."""
    return _sums((c.cell, p) for c, p in zip(model.compounds, belief.compounds, strict=True))


def by_filler_kind(model: Model, belief: Belief) -> dict[str, float]:
    """Probability of each kind of filler (none, fibre, mineral, bead), best first."""
    return _sums((c.filler_kind, p) for c, p in _known(model, belief))


def by_filler(model: Model, belief: Belief) -> dict[str, float]:
    """Probability of each filler code (ISO 1043-2, or none), best first."""
    return _sums((c.filler, p) for c, p in _known(model, belief))


def filled(model: Model, belief: Belief) -> float:
    """Probability that something is mixed in, among the compounds known here."""
    total = sum(p for _, p in _known(model, belief))
    inside = sum(p for c, p in _known(model, belief) if c.filler_kind != "none")
    return inside / total if total > 0.0 else 0.0


def top_compounds(model: Model, belief: Belief, count: int = 5) -> list[tuple[Compound, float]]:
    """The `count` likeliest compounds; 'none of these' is not among them."""
    ranked = sorted(_known(model, belief), key=lambda pair: (-pair[1], pair[0].id))
    return ranked[:count]


def _known(model: Model, belief: Belief) -> list[tuple[Compound, float]]:
    return list(zip(model.compounds[:-1], belief.compounds[:-1], strict=True))


def _sums(pairs: Iterable[tuple[str, float]]) -> dict[str, float]:
    totals: dict[str, float] = {}
    for name, probability in pairs:
        totals[name] = totals.get(name, 0.0) + probability
    return dict(sorted(totals.items(), key=lambda pair: (-pair[1], pair[0])))
