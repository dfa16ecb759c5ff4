"""Stated confidence is met: parts and observers drawn from the model, whole interviews with early stopping.

A sanity check within sampling error; the full study (thousands of interviews, misfit worlds) is for simulation.
"""

from __future__ import annotations

import math
import random

import pytest
from small_models import shop_like_model

from whichresin.belief.hypotheses import by_cell, by_class, filled
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import Workspace, posterior, weigh
from whichresin.belief.sampling import draw_answer, draw_bench, draw_index
from whichresin.belief.stopping import choose

MODEL = shop_like_model(materials=18, cues=20, seed=6, sharpness=0.25)
INTERVIEWS = 250


def finished() -> list[tuple[float, bool, float, bool, float, bool]]:
    """(stated, right) for the leading cell, the leading class and 'filled' at the end of each interview."""
    rng, work, found = random.Random(21), Workspace(), []
    for _ in range(INTERVIEWS):
        bench, told = draw_bench(MODEL, rng.random), []
        while True:
            state = weigh(MODEL, told, workspace=work)
            chosen = choose(MODEL, state, list(MODEL.cues), workspace=work)
            if chosen.proposal is None:
                break
            name = chosen.proposal.cue
            told.append(Observation(name, draw_answer(bench, MODEL.cues[name], rng.random)))
        true, belief = MODEL.compounds[bench.compound], state.belief
        cell, cell_chance = next(iter(by_cell(MODEL, belief).items()))
        klass, class_chance = next(iter(by_class(MODEL, belief).items()))
        inside = filled(MODEL, belief)
        found.append(
            (cell_chance, cell == true.cell, class_chance, klass == true.klass, inside, true.filler_kind != "none")
        )
    return found


@pytest.fixture(scope="module")
def ends() -> list[tuple[float, bool, float, bool, float, bool]]:
    return finished()


@pytest.mark.parametrize(("what", "column"), [("cell", 0), ("class", 2), ("filled", 4)])
def test_stated_confidence_is_met(
    ends: list[tuple[float, bool, float, bool, float, bool]], what: str, column: int
) -> None:
    """Early stopping included, what is said comes true as often as said: over all, and above and below 0.8."""
    pairs = [(end[column], end[column + 1]) for end in ends]
    for low, high in ((0.0, 1.01), (0.0, 0.8), (0.8, 1.01)):
        chosen = [(float(p), bool(right)) for p, right in pairs if low <= p < high]
        if len(chosen) < 20:
            continue
        gap = sum(right - p for p, right in chosen) / len(chosen)
        error = math.sqrt(sum(p * (1.0 - p) for p, _ in chosen)) / len(chosen)
        assert abs(gap) < 3.3 * error + 0.005, (what, low, gap, error)


def test_interviews_end_by_themselves_and_ask_something(
    ends: list[tuple[float, bool, float, bool, float, bool]],
) -> None:
    """The set is one where asking helps: the cell is right far more often than the best guess beforehand."""
    before = next(iter(by_cell(MODEL, posterior(MODEL, [])).values()))
    assert sum(end[1] for end in ends) / len(ends) > before + 0.2


def test_answers_are_drawn_as_the_likelihood_has_them() -> None:
    """Answers drawn from one compound appear as often as that compound's likelihood says, set cues included."""
    rng, times = random.Random(22), 6000
    compound = 4
    for name, value in (("c9", "v0"), ("look", "s3"), ("float_in_water", "sinks")):
        cue = MODEL.cues[name]
        seen = 0
        for _ in range(times):
            answer = draw_answer(draw_bench(MODEL, rng.random, compound=compound), cue, rng.random)
            seen += value in answer if isinstance(answer, tuple) else answer == value
        only = [1e-300] * len(MODEL.compounds)
        only[compound] = 1.0
        said = (value,) if cue.kind == "set" else value
        others = tuple(v.id for v in cue.values if v.id != value) if cue.kind == "set" else ()
        seen_alone = Observation(name, said, left_out=others)
        chance = math.exp(posterior(MODEL, [seen_alone], prior=only).log_evidence)
        assert abs(seen / times - chance) < 4.0 * math.sqrt(max(chance * (1.0 - chance), 1e-4) / times), name


def test_drawing_an_index_follows_the_weights() -> None:
    """An index comes up in proportion to its weight, and the last one serves for rounding at the end."""
    rng = random.Random(23)
    counts = [0, 0, 0]
    for _ in range(6000):
        counts[draw_index([1.0, 0.0, 3.0], rng.random)] += 1
    assert counts[1] == 0 and abs(counts[0] / 6000 - 0.25) < 0.03
    assert draw_index([1.0, 1.0], lambda: 1.0) == 1
