"""Contradiction: honest answers hardly ever raise the alarm, whatever the polymer; planted swaps often do."""

from __future__ import annotations

import math
import random
from statistics import NormalDist, fmean, pstdev

import pytest
from small_models import SKILLS, shop_like_model

from whichresin.belief.contradiction import ALARM_BELOW, find, fit, mean_fit
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import Workspace, posterior
from whichresin.belief.sampling import draw_answer, draw_bench
from whichresin.knowledge.model import Model

MODEL = shop_like_model(materials=16, cues=28, seed=4)
SHARP = shop_like_model(materials=16, cues=28, seed=4, sharpness=0.12)
ASKED = 12


def interview(model: Model, rng: random.Random, compound: int, other: int | None = None) -> list[Observation]:
    """Answers to a dozen cues about one part; with `other`, every second answer is about that compound."""
    bench = draw_bench(model, rng.random, compound=compound)
    cues = rng.sample([c for c in model.cues if c != "float_liquids"], ASKED)
    found = []
    for place, name in enumerate(cues):
        swapped = other if other is not None and place % 2 else None
        cue = model.cues[name]
        if swapped is not None and cue.physics:
            second = draw_bench(model, rng.random, compound=swapped)
            found.append(Observation(name, draw_answer(second, cue, rng.random)))
        else:
            found.append(Observation(name, draw_answer(bench, cue, rng.random, compound=swapped)))
    return found


def strangers(model: Model, rng: random.Random) -> tuple[int, int]:
    """Two compounds that are not repaired the same way."""
    known = len(model.compounds) - 1
    while True:
        one, two = rng.randrange(known), rng.randrange(known)
        if model.compounds[one].cell != model.compounds[two].cell:
            return one, two


def test_fit_is_about_standard_normal_for_the_true_compound() -> None:
    """Under the compound that gave the answers, z has mean 0 and deviation 1 within sampling error."""
    rng = random.Random(11)
    scores = []
    for _ in range(500):
        compound = rng.randrange(len(MODEL.compounds) - 1)
        scores.append(fit(MODEL, interview(MODEL, rng, compound), compound))
    assert abs(fmean(scores)) < 4.0 / math.sqrt(len(scores))
    assert 0.85 < pstdev(scores) < 1.15


def test_a_rare_but_true_polymer_is_no_contradiction() -> None:
    """False alarms stay under 2 % for each material alone, within the error of a hundred interviews each.

    The bound is the number of alarms that a rate of 2 % exceeds by chance once in a thousand materials.
    """
    rng, work = random.Random(12), Workspace()
    each, alarms = 60, {}
    materials = sorted({c.material for c in MODEL.compounds[:-1]})
    for material in materials:
        indices = [i for i, c in enumerate(MODEL.compounds) if c.material == material]
        for _ in range(each):
            told = interview(MODEL, rng, rng.choice(indices))
            z, _ = mean_fit(MODEL, told, posterior(MODEL, told, workspace=work))
            alarms[material] = alarms.get(material, 0) + (z < ALARM_BELOW)
    most = 0.02 * each + NormalDist().inv_cdf(0.999) * math.sqrt(0.02 * 0.98 * each)
    assert max(alarms.values()) <= most, alarms
    assert sum(alarms.values()) / (each * len(materials)) < 0.02


def caught(model: Model, seed: int, times: int = 200) -> tuple[float, float]:
    """Share of planted swaps caught, by the alarm and by one who knows which answers are about which part.

    The second is the ceiling: the likelihood ratio of two parts against one, at a false rate of 2 %.
    """
    rng, work = random.Random(seed), Workspace()
    alarms, ratios, honest = 0, [], []

    def ratio(told: list[Observation]) -> float:
        split = posterior(model, told[::2], workspace=work), posterior(model, told[1::2], workspace=work)
        return sum(b.log_evidence for b in split) - posterior(model, told, workspace=work).log_evidence

    for _ in range(times):
        one, two = strangers(model, rng)
        honest.append(ratio(interview(model, rng, one)))
        told = interview(model, rng, one, two)
        ratios.append(ratio(told))
        alarms += mean_fit(model, told, posterior(model, told, workspace=work))[0] < ALARM_BELOW
    limit = sorted(honest)[int(0.98 * times)]
    return alarms / times, sum(r > limit for r in ratios) / times


def test_planted_swaps_are_caught() -> None:
    """Half of a dozen answers from another kind of part: caught at the stated rates.

    With tables as soft as a shop's even one who knows the pattern catches less than a third; the alarm must
    reach a quarter of that ceiling, and with sharp tables a third (measured: 10 of 22 %, 20 of 47 %).
    """
    soft, ceiling = caught(MODEL, 13)
    assert soft > ceiling / 4.0, (soft, ceiling)
    sharp, ceiling = caught(SHARP, 13)
    assert sharp > ceiling / 3.0, (sharp, ceiling)


def test_the_answer_to_repeat_is_the_odd_one() -> None:
    """With one answer that the part's compound hardly ever gives, the alarm names that answer."""
    rng = random.Random(14)
    named = raised = 0
    sharp = [c for c in MODEL.cues.values() if c.kind == "choice" and c.table]
    for _ in range(60):
        compound = rng.randrange(len(MODEL.compounds) - 1)
        told = []
        for cue in rng.sample(sharp, ASKED):
            row = cue.table.rows[cue.table.row_of[compound]]
            told.append(Observation(cue.id, cue.values[row.index(max(row))].id, sure="high"))
        odd = rng.randrange(ASKED)
        cue = MODEL.cues[told[odd].cue]
        row = cue.table.rows[cue.table.row_of[compound]]
        told[odd] = Observation(cue.id, cue.values[row.index(min(row))].id, sure="high")
        belief = posterior(MODEL, told)
        finding = find(MODEL, told, belief)
        assert finding.z_without_worst >= finding.z
        raised += finding.alarm
        named += finding.alarm and finding.worst == told[odd].cue
    assert named == raised


def test_few_answers_never_raise_the_alarm() -> None:
    """Two answers cannot contradict each other strongly enough to say so."""
    told = [Observation("c1", "v0"), Observation("c2", "v1")]
    finding = find(MODEL, told, posterior(MODEL, told))
    assert not finding.alarm and finding.worst == ""
    assert find(MODEL, [], posterior(MODEL, [])).z == 0.0
    assert len(SKILLS) == 3


@pytest.mark.parametrize("seed", range(3))
def test_order_of_telling_does_not_matter(seed: int) -> None:
    """The finding is the same for the same answers in any order, bit for bit."""
    rng = random.Random(seed)
    told = interview(MODEL, rng, *strangers(MODEL, rng))
    belief = posterior(MODEL, told)
    first = find(MODEL, told, belief)
    rng.shuffle(told)
    assert find(MODEL, told, belief) == first
