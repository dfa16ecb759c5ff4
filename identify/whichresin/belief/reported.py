"""The confidence that is said, as against the one that is reasoned with.

    said(i) ~ prior(i) * (weight of all answers for i) ** likelihood_counts

With `likelihood_counts` below 1 the answers count for a little less than the tables say, a hedge against
observers who err more than the tables know and against tables that are off (the power posterior of Miller and
Dunson, JASA 114 (2019) 1113-1125). Without answers the prior is said as it is. Choosing questions, stopping and
deciding stay on the raw posterior; how the number was fitted stands beside it in shared/observer.yaml.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from whichresin.belief.hypotheses import Belief
from whichresin.knowledge.model import Model

_SMALLEST = 1e-300


def reported(model: Model, belief: Belief, prior: Sequence[float] | None = None) -> Belief:
    """The belief to be shown; `prior` is the one that `belief` was worked out with."""
    power = model.observer.likelihood_counts
    if power == 1.0:
        return belief
    start = [compound.prior for compound in model.compounds] if prior is None else prior
    raw = [
        max(first, _SMALLEST) ** (1.0 - power) * max(p, _SMALLEST) ** power
        for first, p in zip(start, belief.compounds, strict=True)
    ]
    total = sum(raw)
    return replace(belief, compounds=tuple([p / total for p in raw]))
