"""Information, policy and posterior held against outside libraries and against brute force on the same model."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest
from exact_policy import Game
from plain_belief import plain_posterior
from scipy.stats import entropy
from small_models import random_model
from test_posterior import library_posterior

from whichresin.belief.decision import target_of
from whichresin.belief.density import WATER_G_CM3
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior, weigh
from whichresin.belief.questions import cost_of, rank
from whichresin.belief.scene import entropy_of
from whichresin.knowledge.model import Model

Tree = tuple[str, tuple["Tree", ...]] | None  # a question and what follows each answer; None: act


@pytest.mark.parametrize("seed", range(4))
def test_information_is_scipys_mutual_information(seed: int) -> None:
    """The gain of a question is the entropy of the polymers now, less the mean entropy after each answer, in bits.

    Entropies by scipy, beliefs after each answer by the exact posterior. Every material here has one compound and
    more than a ten-thousandth of the belief, so nothing is left out of choosing.
    """
    base = random_model(seed, compounds=6, cues=4, density=False, set_cue=False)
    base = replace(base, compounds=tuple(replace(c, material=c.id) for c in base.compounds))
    told = [Observation("c1", "v0")]
    state = weigh(base, told)
    assert min(state.belief.compounds) > 1e-4
    assert entropy_of(state.belief.compounds) == pytest.approx(entropy(state.belief.compounds, base=2), rel=1e-12)
    for candidate in rank(base, state, [c for c in base.cues if c != "c1"], "polymer", deep=False):
        after = 0.0
        for outcome in candidate.values:
            then = posterior(base, [*told, Observation(candidate.cue, outcome.value)])
            chance = pytest.approx(2.718281828459045 ** (then.log_evidence - state.belief.log_evidence), rel=1e-9)
            assert outcome.probability == chance
            after += outcome.probability * entropy(then.compounds, base=2)
        assert candidate.gain == pytest.approx(entropy(state.belief.compounds, base=2) - after, abs=1e-9)


def trees(model: Model, cues: tuple[str, ...]) -> Iterator[Tree]:
    """Every way to ask: act at once, or ask one of the cues and go on in any way after each answer."""
    yield None
    for cue in cues:
        rest = tuple(c for c in cues if c != cue)
        for after in product(list(trees(model, rest)), repeat=len(model.cues[cue].values)):
            yield cue, after


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_exact_policy_is_the_best_of_all_policies(seed: int) -> None:
    """Dynamic programming finds the cost of the cheapest of all 244 question trees, each priced over every part,
    observer and course of answers from the plainly enumerated model."""
    base = random_model(seed, compounds=4, cues=3, cells=3, density=False, set_cue=False, values=(2, 2), splits=False)
    game, cues = Game(base), tuple(base.cues)
    target = target_of(base)
    joint: dict[tuple[str, ...], list[float]] = {}  # P(answers to all cues, compound)
    for values in product(*([v.id for v in base.cues[cue].values] for cue in cues)):
        told = [Observation(cue, value) for cue, value in zip(cues, values, strict=True)]
        compounds, _, evidence = plain_posterior(base, told, WATER_G_CM3)
        joint[values] = [evidence * p for p in compounds]

    def price(tree: Tree, courses: list[tuple[str, ...]]) -> float:
        if tree is None:
            mass = [sum(joint[c][i] for c in courses) for i in range(len(base.compounds))]
            return min(
                sum(m * column[part] for m, part in zip(mass, target.part_of, strict=True)) for column in target.columns
            )
        cue, after = tree
        place = cues.index(cue)
        spent = cost_of(base, base.cues[cue]) * sum(sum(joint[c]) for c in courses)
        split = [[c for c in courses if c[place] == v.id] for v in base.cues[cue].values]
        return spent + sum(price(then, some) for then, some in zip(after, split, strict=True))

    every = list(trees(base, cues))
    assert len(every) == 244
    assert game.optimum() == pytest.approx(min(price(tree, list(joint)) for tree in every), rel=1e-9)


def test_the_shipped_knowledge_equals_the_network_library(shipped: Model) -> None:
    """On the shipped model too the posterior is pgmpy's within 1e-9: a set cue, a group of cues and a float."""
    logging.getLogger("pgmpy").setLevel(logging.ERROR)
    told = [
        Observation("float_in_water", "sinks"),
        Observation("look", ("opaque", "waxy")),
        Observation("fibres_at_edge", "short_needles", "low"),
        Observation("grind", "powder_and_smear", "high"),
        Observation("hot_needle", "melts_strings_late", "medium", "slight"),
        Observation("nail", "no_mark"),
    ]
    ours = posterior(shipped, told).compounds
    theirs = library_posterior(shipped, told)
    assert max(abs(a - b) for a, b in zip(ours, theirs, strict=True)) < 1e-9
