"""Which materials can be told apart, by which cues, and how well: worked out from the model, nothing simulated.

Measure: the Bhattacharyya coefficient of two materials, the sum over all answers of sqrt(P(answer | a) P(answer | b)),
1 for materials that answer alike, 0 for materials that never do. For cues that do not depend on each other the
coefficients multiply. Someone who answers all of them carefully and believes each pair equally likely at first calls
the wrong one with a probability of at most half the coefficient (Kailath 1967; from memory). Real answers slip and hang
together, so the true error is larger: read the figures as the best that could be hoped for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import exp, sqrt

from whichresin.knowledge.model import Cue, Model

DENSITY = "density"  # the cues that follow from density count as one, weighed with the observer's usual uncertainty


@dataclass(frozen=True, slots=True)
class Pair:
    """Two materials with the coefficient of each cue and of all together."""

    one: str
    other: str
    by_cue: Mapping[str, float]  # smallest, that is best, first
    together: float

    @property
    def wrong_at_most(self) -> float:
        """Upper bound on the chance of calling the wrong one of the two, were all cues answered with care."""
        return self.together / 2.0


SAME = 0.99  # from here on a cue is said to expect the same of both


def why_alike(pair: Pair, density: Mapping[str, tuple[float, float]]) -> str:
    """Why a pair can hardly be told apart, in one sentence."""
    cues = [value for cue, value in pair.by_cue.items() if cue != DENSITY]
    same = sum(value >= SAME for value in cues)
    many = "every cue expects" if same == len(cues) else f"{same} of {len(cues)} cues expect"
    (m, s), (n, t) = density[pair.one], density[pair.other]
    weights = f"a piece weighs {m:.2f} and {n:.2f} g/cm3, give or take {max(s, t):.2f}"
    return f"{many} the same of both; {weights}"


def pairs(model: Model, without: Iterable[str] = ()) -> list[Pair]:
    """Every pair of materials, hardest to tell apart first; `without` leaves out cues that need this leave.

    A material answers as its compounds do, each by its share.
    """
    barred = set(without)
    cues = [c for c in model.cues.values() if c.table is not None and c.opt_in not in barred]
    answers = {cue.id: _answers(model, cue) for cue in cues}
    density = densities(model)
    found = []
    for one, other in combinations(sorted(density), 2):
        by_cue = {cue.id: coefficient(cue, answers[cue.id][one], answers[cue.id][other]) for cue in cues}
        by_cue[DENSITY] = _normals(density[one], density[other])
        together = 1.0
        for value in _best_of_groups(model, by_cue).values():
            together *= value
        ordered = dict(sorted(by_cue.items(), key=lambda item: (item[1], item[0])))
        found.append(Pair(one, other, ordered, together))
    return sorted(found, key=lambda pair: (-pair.together, pair.one, pair.other))


def coefficient(cue: Cue, one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """How alike two materials answer a cue, 0 to 1. Of a set cue each answer is seen or not by itself."""
    if cue.kind == "choice":
        return sum(sqrt(a * b) for a, b in zip(one, other, strict=True))
    value = 1.0
    for a, b in zip(one, other, strict=True):
        value *= sqrt(a * b) + sqrt((1.0 - a) * (1.0 - b))
    return value


def _best_of_groups(model: Model, by_cue: Mapping[str, float]) -> dict[str, float]:
    """Of cues that share the luck of one test only the best counts."""
    best: dict[str, float] = {}
    for cue, value in by_cue.items():
        group = model.cues[cue].group if cue in model.cues else DENSITY
        best[group] = min(best.get(group, 1.0), value)
    return best


def _answers(model: Model, cue: Cue) -> dict[str, tuple[float, ...]]:
    """Material -> chance of each answer, its compounds weighted by their share."""
    assert cue.table is not None
    sums: dict[str, list[float]] = {}
    weights: dict[str, float] = {}
    for compound, row in zip(model.compounds, cue.table.row_of, strict=True):
        if compound.material in model.materials:
            seen = cue.table.rows[row]
            total = sums.setdefault(compound.material, [0.0] * len(seen))
            for place, p in enumerate(seen):
                total[place] += compound.prior * p
            weights[compound.material] = weights.get(compound.material, 0.0) + compound.prior
    return {name: tuple(p / weights[name] for p in total) for name, total in sums.items() if weights[name] > 0}


def densities(model: Model) -> dict[str, tuple[float, float]]:
    """Material -> mean and standard deviation of a weighed piece, g/cm3, over its compounds."""
    found: dict[str, tuple[float, float]] = {}
    slip = model.observer.density_uncertainty_g_cm3
    for name in model.materials:
        own = [c for c in model.compounds if c.material == name and c.prior > 0]
        weight = sum(c.prior for c in own)
        if weight <= 0:
            continue
        mean = sum(c.prior * c.density_g_cm3 for c in own) / weight
        spread = sum(c.prior * (c.density_sd_g_cm3**2 + (c.density_g_cm3 - mean) ** 2) for c in own) / weight
        found[name] = (mean, sqrt(spread + slip**2))
    return found


def _normals(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Coefficient of two normal distributions: sqrt(2 s t / (s2 + t2)) exp(-(m - n)2 / (4 (s2 + t2)))."""
    (m, s), (n, t) = one, other
    spread = s * s + t * t
    return sqrt(2.0 * s * t / spread) * exp(-((m - n) ** 2) / (4.0 * spread))
