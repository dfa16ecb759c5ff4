"""The confidence that is said hedges the answers, never the prior, and changes no ranking by likelihood."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_models import random_model

from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.belief.reported import reported
from whichresin.knowledge.model import Model

BASE = random_model(4, compounds=8, cues=4)


def hedged(power: float) -> Model:
    return replace(BASE, observer=replace(BASE.observer, likelihood_counts=power))


def test_without_answers_the_prior_is_said() -> None:
    """Nothing was answered, so there is nothing to hedge."""
    before = posterior(BASE, [])
    assert reported(hedged(0.8), before).compounds == pytest.approx(before.compounds)


def test_full_power_says_the_posterior_itself() -> None:
    """At 1 what is said is what is reasoned with, to the bit."""
    belief = posterior(BASE, [Observation("c1", "v0")])
    assert reported(hedged(1.0), belief) is belief


def test_it_is_the_power_posterior() -> None:
    """Written out: prior times likelihood to the power, for the model's prior and for one of a part kind."""
    told = [Observation("c1", "v0"), Observation("float_in_water", "sinks")]
    own = [1.0 + 0.3 * i for i in range(len(BASE.compounds))]
    for prior in (None, own):
        start = [c.prior for c in BASE.compounds] if prior is None else prior
        belief = posterior(BASE, told, prior)
        even = posterior(BASE, told, [1.0] * len(start)).compounds  # the likelihood, up to a scale
        weights = [w * like**0.8 for w, like in zip(start, even, strict=True)]
        expected = [w / sum(weights) for w in weights]
        assert reported(hedged(0.8), belief, prior).compounds == pytest.approx(expected, rel=1e-9)


def test_nothing_becomes_certain_or_impossible() -> None:
    """However many answers agree, no compound is said to be at 0."""
    told = [Observation(f"c{k}", "v0") for k in range(4)]
    assert min(reported(hedged(0.9), posterior(BASE, told)).compounds) > 0.0
