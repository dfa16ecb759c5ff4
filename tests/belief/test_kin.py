"""The sceptic: a true likelihood ratio, no opinion without answers, and heard before every conclusion."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from statistics import fmean

import pytest
from plain_belief import plain_posterior
from small_models import compound, cue, losses, model, none_of_these, random_model, shop_like_model

from whichresin.belief.decision import action_losses
from whichresin.belief.density import WATER_G_CM3
from whichresin.belief.kin import BROADENED, Doubt, Sceptic
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import weigh
from whichresin.belief.sampling import draw_answer, draw_bench
from whichresin.belief.stopping import choose
from whichresin.knowledge.model import Model
from whichresin.training.misfit import without

SHOP_LIKE = shop_like_model(materials=16, cues=20, seed=3, sharpness=0.2)


def answers_of(base: Model, rng: random.Random, index: int, count: int) -> list[Observation]:
    bench = draw_bench(base, rng.random, compound=index)
    cues = rng.sample([c for c in base.cues if c != "float_liquids"], count)
    return [Observation(name, draw_answer(bench, base.cues[name], rng.random)) for name in cues]


@pytest.mark.parametrize("seed", range(4))
def test_strangeness_is_the_likelihood_ratio(seed: int) -> None:
    """It equals ln P(answers | kin) - ln P(answers | base), both summed plainly over every part and observer."""
    base = random_model(seed, compounds=5, cues=4, density=False)
    rng = random.Random(seed)
    told = [Observation(c.id, rng.choice([v.id for v in c.values])) for c in base.cues.values() if c.kind == "choice"]
    sceptic = Sceptic(base)
    evidence = []
    kin = slice(sceptic.known, len(sceptic.model.compounds) - 1)
    for part in (slice(0, sceptic.known), kin):
        chosen = range(len(sceptic.model.compounds))[part]
        like = [sceptic.model.compounds[i].prior for i in chosen]
        total = sum(like)
        some = tuple(replace(sceptic.model.compounds[i], prior=p / total) for i, p in zip(chosen, like, strict=True))
        cues = {
            name: replace(one, table=replace(one.table, row_of=tuple(one.table.row_of[i] for i in chosen)))
            for name, one in sceptic.model.cues.items()
            if one.table is not None
        }
        alone = replace(sceptic.model, compounds=some, cues=cues)
        evidence.append(plain_posterior(alone, told, WATER_G_CM3)[2])
    assert sceptic.doubt(told).strangeness == pytest.approx(math.log(evidence[1] / evidence[0]), abs=1e-9)


def test_no_answers_are_not_strange() -> None:
    """Before any answer kin and base are level, whatever the part's prior and the rules' factors on all alike."""
    sceptic = Sceptic(SHOP_LIKE)
    tilted = [c.prior * (3.0 if k % 3 else 0.2) for k, c in enumerate(SHOP_LIKE.compounds)]
    assert sceptic.doubt([]).strangeness == pytest.approx(0.0, abs=1e-9)
    assert sceptic.doubt([], prior=tilted).strangeness == pytest.approx(0.0, abs=1e-9)
    assert sceptic.doubt([], factors=[0.3] * len(tilted)).strangeness == pytest.approx(0.0, abs=1e-9)


def test_a_marking_that_was_read_speaks_against_kin() -> None:
    """A marking names what is in the base: on something unlisted it could only be a lie, so it makes less strange."""
    sceptic = Sceptic(SHOP_LIKE)
    marking = [1.0 if k == 3 else 0.01 for k in range(len(SHOP_LIKE.compounds))]
    assert sceptic.doubt([], marking=marking).strangeness < -0.2
    even = sceptic.doubt([], marking=[0.2] * len(marking))
    assert even.strangeness == pytest.approx(0.0, abs=1e-9)


def test_kin_are_their_family_broadened() -> None:
    """Every kin's answers lie between its family's mixture and 'none of these'; its density spreads wider."""
    sceptic = Sceptic(SHOP_LIKE)
    kin = sceptic.model.compounds[sceptic.known : -1]
    for one in sceptic.model.cues.values():
        if one.table is None or one.kind == "set":
            continue
        none = one.table.rows[one.table.row_of[-1]]
        for row in (one.table.rows[k] for k in one.table.row_of[sceptic.known : -1]):
            assert sum(row) == pytest.approx(1.0)
            assert all(p >= BROADENED * n - 1e-12 for p, n in zip(row, none, strict=True))
    for one in kin:
        family = [c for c in SHOP_LIKE.compounds[:-1] if (c.cell, c.filler_kind) == (one.cell, one.filler_kind)]
        assert one.density_sd_g_cm3 > min(c.density_sd_g_cm3 for c in family)
        assert one.material == SHOP_LIKE.compounds[-1].material


def test_what_is_left_out_is_stranger() -> None:
    """Parts of a material that was taken out of the base are stranger, on average, than parts that are in it."""
    rng = random.Random(8)
    materials = sorted({c.material for c in SHOP_LIKE.compounds[:-1]})
    inside, outside = [], []
    whole = Sceptic(SHOP_LIKE)
    for material in materials:
        lacking = Sceptic(without(SHOP_LIKE, frozenset((material,))))
        index = next(i for i, c in enumerate(SHOP_LIKE.compounds) if c.material == material)
        for _ in range(5):
            told = answers_of(SHOP_LIKE, rng, index, 10)
            inside.append(whole.doubt(told).strangeness)
            outside.append(lacking.doubt(told).strangeness)
    assert fmean(outside) > fmean(inside) + 0.3


def settled_base() -> Model:
    parts = [compound("A", "cell-a"), compound("B", "cell-b"), none_of_these(0.01)]
    rows = [(0.96, 0.04), (0.04, 0.96), (0.5, 0.5)]
    cues = [
        cue("told", ("yes", "no"), rows),
        cue("safe", ("yes", "no"), rows, minutes=1.0),
        cue("flame", ("yes", "no"), rows, hazard="high", minutes=0.1),
    ]
    base = model(parts, cues, losses(("cell-a", "cell-b", "none"), wrong=600.0, defer=100.0))
    return replace(base, losses=replace(base.losses, settled_below=90.0))


def test_the_sceptic_is_heard_before_a_conclusion() -> None:
    """A doubtful conclusion waits for a harmless test worth its cost, never a guarded one; with none left, what is
    stranger than the limit is withheld as unknown, and anything else stands."""

    def staked(minutes: float) -> Model:
        base = settled_base()
        limits = replace(base.observer, strange_stake_minutes=minutes, strange_withholds_for={"A": 0.3})
        return replace(base, observer=limits)

    told = [Observation("told", "yes")]
    base, dear = staked(0.0), staked(10_000.0)
    state, sceptic = weigh(base, told), Sceptic(base)

    def strange(value: float) -> Doubt:
        return replace(sceptic.doubt(told), strangeness=value)

    plain = choose(base, state, ["safe", "flame"])
    assert (plain.status, plain.stop, plain.strangeness) == ("concluded", "settled", None)
    calm = choose(base, state, ["safe", "flame"], sceptic=lambda: strange(-0.6))
    assert (calm.status, calm.strangeness) == ("concluded", -0.6) and calm.verdict == plain.verdict
    asked = choose(dear, state, ["safe", "flame"], sceptic=lambda: strange(0.4))
    assert asked.proposal is not None and (asked.proposal.cue, asked.status, asked.stop) == ("safe", "open", "")
    assert asked.ranked[0] is asked.proposal and {c.cue for c in asked.ranked} == {"safe", "flame"}
    stands = choose(dear, state, ["flame"], sceptic=lambda: strange(0.2))
    assert (stands.status, stands.stop) == ("concluded", "settled")
    withheld = choose(dear, state, ["flame"], sceptic=lambda: strange(0.4))
    assert (withheld.status, withheld.stop, withheld.proposal) == ("unknown", "strange", None)
    quarrel = choose(base, state, [], contradiction=True, sceptic=lambda: pytest.fail("not asked"))
    assert quarrel.status == "contradiction"


@pytest.mark.parametrize("limit", [-1.0, 0.0, 0.7, 40.0])
def test_withholding_is_right_exactly_above_the_limit(limit: float) -> None:
    """The decision that a test is asked for and the limit that ends it are one and the same."""
    doubt = Sceptic(SHOP_LIKE).doubt([])
    question = doubt.question(limit, 90.0)
    for strangeness in (limit - 0.1, limit + 0.1):
        outside = 1.0 / (1.0 + math.exp(-min(strangeness, 29.0)))
        stands, withheld, put_off = action_losses(question, [1.0 - outside, outside])
        assert (withheld < stands) == (min(strangeness, 29.0) > limit) and min(stands, withheld) < put_off


def test_kin_and_none_of_these_lie_outside() -> None:
    """Everything that is not a plastic of the base lies outside: its kin, and 'none of these'."""
    sceptic = Sceptic(SHOP_LIKE)
    outside = sceptic.doubt([]).outside
    assert outside == (*(0,) * sceptic.known, *(1,) * (len(sceptic.model.compounds) - sceptic.known))
