"""The posterior is exact: it equals plain enumeration and a Bayesian-network library on the same model."""

from __future__ import annotations

import itertools
import logging
import math
import random
from statistics import NormalDist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_belief import given_latent, groups_of, latent, plain_posterior
from small_models import random_model

from whichresin.belief.density import (
    FEW_NODES,
    MANY_NODES,
    WATER_G_CM3,
    Reading,
    standard_nodes,
    weigh_density,
)
from whichresin.belief.likelihood import BeliefError, Observation
from whichresin.belief.posterior import Workspace, posterior
from whichresin.knowledge.model import Model


def some_answers(model: Model, seed: int) -> list[Observation]:
    """Answers to some of the cues, with random sureness and doubt; floats in two liquids among them."""
    rng = random.Random(seed)
    found = []
    for cue in model.cues.values():
        if rng.random() < 0.25:
            continue
        if cue.physics == "float_water":
            value: object = rng.choice(("floats", "sinks", "neutral"))
        elif cue.physics == "float_liquids":
            value = ((1.10, rng.choice(("floats", "sinks"))), (1.24, rng.choice(("floats", "sinks"))))
        elif cue.physics == "density":
            value = rng.uniform(0.9, 1.6)
        elif cue.kind == "set":
            value = tuple(rng.sample([v.id for v in cue.values], 2))
        else:
            value = rng.choice([v.id for v in cue.values])
        sure, doubt = rng.choice(("high", "medium", "low")), rng.choice(("", "", "slight", "strong"))
        found.append(Observation(cue.id, value, sure, doubt, 0.003 if rng.random() < 0.3 else None))
    return found


def library_posterior(model: Model, observations: list[Observation]) -> list[float]:
    """P(compound | answers) by pgmpy's variable elimination.

    Each answer is a node with two states, 'as observed' and 'otherwise'. A weighing's probability density is
    scaled to a probability by one constant, which leaves the posterior alone.
    """
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    n, skills = len(model.compounds), model.observer.skills
    network = DiscreteBayesianNetwork()
    network.add_nodes_from(["compound", "skill"])
    tables = [
        TabularCPD("compound", n, [[c.prior] for c in model.compounds]),
        TabularCPD("skill", len(skills), [[s.share] for s in skills]),
    ]
    evidence = {}
    for key, members in groups_of(model, observations).items():
        luck = f"luck:{key}"
        pairs = list(itertools.product(range(n), range(len(skills))))
        columns = [latent(model, key, members, i, skills[s]) for i, s in pairs]
        states = max(len(column) for column in columns)
        columns = [column + [(0.0, column[0][1])] * (states - len(column)) for column in columns]
        network.add_edges_from([("compound", luck), ("skill", luck)])
        chances = [[column[k][0] for column in columns] for k in range(states)]
        tables.append(TabularCPD(luck, states, chances, ["compound", "skill"], [n, len(skills)]))
        for place, seen in enumerate(members):
            name = f"answer:{key}:{place}"
            network.add_edges_from([("compound", name), ("skill", name), (luck, name)])
            seen_row = [
                given_latent(model, [seen], i, skills[s], column[k][1], WATER_G_CM3)
                for (i, s), column in zip(pairs, columns, strict=True)
                for k in range(states)
            ]
            scale = max(1.0, max(seen_row))
            seen_row = [value / scale for value in seen_row]
            rest = [1.0 - value for value in seen_row]
            tables.append(TabularCPD(name, 2, [seen_row, rest], ["compound", "skill", luck], [n, len(skills), states]))
            evidence[name] = 0
    network.add_cpds(*tables)
    found = VariableElimination(network).query(["compound"], evidence=evidence, show_progress=False)
    return [float(p) for p in found.values]


@pytest.mark.parametrize("seed", range(8))
def test_equals_the_network_library(seed: int) -> None:
    """Equal to pgmpy's exact inference within 1e-9, floats in two liquids and a set cue included."""
    logging.getLogger("pgmpy").setLevel(logging.ERROR)
    model = random_model(seed, compounds=4 + seed % 4, cues=3 + seed % 3)
    observations = some_answers(model, seed)
    ours = posterior(model, observations).compounds
    theirs = library_posterior(model, observations)
    assert max(abs(a - b) for a, b in zip(ours, theirs, strict=True)) < 1e-9


@pytest.mark.parametrize("seed", range(6))
def test_equals_plain_enumeration(seed: int) -> None:
    """Compounds, skills and evidence equal the sum over every joint state, one by one."""
    model = random_model(seed, compounds=4, cues=2)
    observations = some_answers(model, seed + 100)
    belief = posterior(model, observations)
    compounds, skills, evidence = plain_posterior(model, observations, WATER_G_CM3)
    assert belief.compounds == pytest.approx(compounds, abs=1e-12)
    assert belief.skills == pytest.approx(skills, abs=1e-12)
    assert belief.log_evidence == pytest.approx(math.log(evidence), abs=1e-9)


@pytest.mark.parametrize("count", [FEW_NODES, MANY_NODES])
def test_the_grid_keeps_mean_and_spread(count: int) -> None:
    """The nodes of the density grid keep the normal's mean 0 and variance 1 exactly."""
    cells = standard_nodes(count)
    assert sum(mean for mean, _ in cells) / count == pytest.approx(0.0, abs=1e-12)
    assert sum(mean**2 + sd**2 for mean, sd in cells) / count == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("sd", [0.006, 0.02, 0.05, 0.1])
@pytest.mark.parametrize("u", [0.001, 0.015, None])
def test_the_grid_is_fine_enough(sd: float, u: float | None) -> None:
    """Two floats, with or without a weighing: near the integral over the true density.

    Within 3 % inside 1.5 standard deviations; within 20 % out to 2.5, where hardly any piece lies.
    """
    mean, slips = 1.12, (0.06,)
    for offset in (-2.5, -1.5, -0.4, 0.0, 0.3, 1.2, 2.0):
        x = mean + offset * sd
        readings = [Reading("sinks", x - 0.01, 0.004, slips), Reading("floats", x + 0.02, 0.004, slips)]
        readings += [Reading("", x, u, slips)] if u else []
        (found,) = weigh_density(mean, sd, tuple(readings), 1, 0.004)
        error = abs(found.likelihood / _integral(mean, sd, readings) - 1.0)
        assert error < (0.03 if abs(offset) <= 1.5 else 0.2), (offset, error)


def _integral(mean: float, sd: float, readings: list[Reading], steps: int = 4_000) -> float:
    unit, prior = NormalDist(), NormalDist(mean, sd)
    total, width = 0.0, 16.0 * sd / steps
    for k in range(steps):
        rho = mean - 8.0 * sd + (k + 0.5) * width
        weight = prior.pdf(rho) * width
        for result, x, u, (slip,) in readings:
            if result:
                gap = x - rho if result == "floats" else rho - x
                weight *= (1.0 - slip) * unit.cdf((gap - 0.004) / u) + slip / 3.0
            else:
                weight *= (1.0 - slip) * NormalDist(rho, u).pdf(x) + slip / 1.6
        total += weight
    return total


MODEL = random_model(5, compounds=7, cues=5)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), order=st.randoms(use_true_random=False))
def test_order_does_not_matter(seed: int, order: random.Random) -> None:
    """The same answers in any order give the same bits, with or without a workspace."""
    observations = some_answers(MODEL, seed)
    shuffled = observations[:]
    order.shuffle(shuffled)
    work = Workspace()
    assert posterior(MODEL, shuffled) == posterior(MODEL, observations)
    for upto in range(len(shuffled) + 1):
        posterior(MODEL, shuffled[:upto], workspace=work)
    assert posterior(MODEL, shuffled, workspace=work) == posterior(MODEL, observations)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_nothing_is_beyond_recall(seed: int) -> None:
    """No compound reaches probability 0, whatever is answered, and the weights sum to 1."""
    belief = posterior(MODEL, some_answers(MODEL, seed))
    assert min(belief.compounds) > 0.0
    assert sum(belief.compounds) == pytest.approx(1.0, abs=1e-12)
    assert sum(belief.skills) == pytest.approx(1.0, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000), cue=st.sampled_from(["c0", "c3", "float_in_water", "density_measured"]))
def test_surer_and_less_doubted_answers_weigh_more(seed: int, cue: str) -> None:
    """One answer told more surely, or doubted less, moves the odds of any two compounds at least as far."""
    rng = random.Random(seed)
    words = [v.id for v in MODEL.cues[cue].values]
    value = rng.choice(words) if words else rng.uniform(0.95, 1.5)
    weaker_last = [("high", ""), ("medium", ""), ("low", ""), ("low", "slight"), ("low", "strong")]
    steps = [posterior(MODEL, [Observation(cue, value, sure, doubt)]) for sure, doubt in weaker_last]
    start = posterior(MODEL, [])
    n = len(MODEL.compounds)
    for strong, weak in itertools.pairwise(steps):
        for i in range(n):
            moves = [
                math.log(b.compounds[i] / b.compounds[n - 1]) - math.log(start.compounds[i] / start.compounds[n - 1])
                for b in (strong, weak)
            ]
            assert abs(moves[1]) <= abs(moves[0]) + 1e-9


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_neutral_answers_change_nothing(seed: int) -> None:
    """An empty answer leaves the belief as it is, and so does a set of which every word is left out."""
    observations = some_answers(MODEL, seed)
    told = {seen.cue for seen in observations}
    empty = [Observation(c, "") for c in MODEL.cues if c not in told and MODEL.cues[c].kind != "set"]
    empty += [
        Observation(c.id, (), left_out=tuple(v.id for v in c.values))
        for c in MODEL.cues.values()
        if c.kind == "set" and c.id not in told
    ]
    assert posterior(MODEL, observations + empty) == posterior(MODEL, observations)


def test_factors_multiply_and_a_prior_replaces() -> None:
    """A rule's factor scales one compound's odds by exactly itself; a zero is never read as impossible."""
    n = len(MODEL.compounds)
    start = posterior(MODEL, [])
    factors = [1.0] * n
    factors[0] = 0.02
    after = posterior(MODEL, [], factors=factors)
    odds = lambda b: b.compounds[0] / b.compounds[1]  # noqa: E731
    assert odds(after) / odds(start) == pytest.approx(0.02)
    uniform = posterior(MODEL, [], prior=[3.0] * n)
    assert uniform.compounds == pytest.approx([1.0 / n] * n)
    assert min(posterior(MODEL, [], factors=[0.0] * n).compounds) > 0.0
    hopeless = posterior(
        MODEL, some_answers(MODEL, 3), prior=[1e-300] + [1.0] * (n - 1), factors=[0.0] + [1.0] * (n - 1)
    )
    assert hopeless.compounds[0] > 0.0


def test_a_bad_answer_is_one_clear_sentence() -> None:
    """Unknown cue, value, sureness or shape: the message names what was found and what was expected."""
    for seen, part in [
        (Observation("c99", "v0"), "no cue called 'c99'"),
        (Observation("c0", "purple"), "expected one of v0"),
        (Observation("c0", "v0", sure="very"), "expected one of high, medium, low"),
        (Observation("c0", "v0", doubt="huge"), "expected one of slight, strong"),
        (Observation("density_measured", "heavy"), "must be a density"),
        (Observation("float_in_water", "flies"), "expected one of floats"),
        (Observation("float_liquids", "floats"), "must be pairs"),
    ]:
        with pytest.raises(BeliefError, match=part):
            posterior(MODEL, [seen])
