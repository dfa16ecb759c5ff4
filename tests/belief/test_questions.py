"""The next question: near the exact optimum, never idle, safest first, the same with or without a workspace."""

from __future__ import annotations

import random
from dataclasses import replace
from statistics import fmean

import pytest
from exact_policy import Game
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_models import compound, cue, density_cues, losses, model, none_of_these, random_model, shop_like_model

from whichresin.belief.condensed import condense
from whichresin.belief.decision import action_losses, best_action, part_masses, target_of, treat_as
from whichresin.belief.hypotheses import by_cell
from whichresin.belief.likelihood import Observation
from whichresin.belief.lookahead import SMALL_BRANCH, Step, TwoSteps
from whichresin.belief.posterior import BeliefState, Workspace, posterior, weigh
from whichresin.belief.questions import cost_of, rank
from whichresin.belief.sampling import draw_answer, draw_bench
from whichresin.belief.scene import Scene, scene_of
from whichresin.belief.stopping import choose
from whichresin.belief.views import View, Viewer, answers
from whichresin.knowledge.model import Model

SHOP_LIKE = shop_like_model(materials=20, cues=20, seed=2)


def small_game(seed: int) -> Game:
    """A random small interview: five to eight compounds, five cues, losses of all sizes."""
    rng = random.Random(seed)
    base = random_model(
        seed, compounds=rng.randint(5, 8), cells=rng.randint(3, 5), density=False, set_cue=False, values=(2, 3)
    )
    table = losses(base.losses.cells, wrong=rng.uniform(60.0, 250.0), defer=rng.uniform(25.0, 90.0))
    return Game(replace(base, losses=table))


def test_near_the_exact_optimum() -> None:
    """Over a fixed set of small interviews the expected cost is within 3 % of the optimum on average."""
    ratios, idle = [], []
    for seed in range(30):
        game = small_game(seed)
        names = [c.id for c in game.cues]

        def policy(state: BeliefState, game: Game = game, names: list[str] = names) -> str:
            chosen = choose(game.model, state, names, workspace=game.work)
            return chosen.proposal.cue if chosen.proposal else ""

        best = game.optimum()
        ratios.append(game.cost(policy) / best)
        idle.append(game.acting(()) / best)
    assert fmean(ratios) <= 1.03
    assert sorted(ratios)[int(0.95 * len(ratios))] <= 1.10
    assert min(ratios) >= 1.0 - 1e-9
    assert fmean(idle) > 1.2, "the set must be one where asking matters"


def parted_by(one: str, two: str, hazards: tuple[str, str]) -> Model:
    """Two equally likely cells and two cues that each tell them apart, one of them idle noise besides."""
    rows = [(0.96, 0.04), (0.04, 0.96), (0.5, 0.5)]
    same = [(0.5, 0.5)] * 3
    parts = [compound("A", "cell-a", density=1.1), compound("B", "cell-b", density=1.1), none_of_these(0.01)]
    cues = [
        cue(one, ("yes", "no"), rows, hazard=hazards[0], minutes=2.0),
        cue(two, ("yes", "no"), rows, hazard=hazards[1], minutes=1.0),
        cue("idle", ("yes", "no"), same, minutes=0.01),
    ]
    loss = losses(("cell-a", "cell-b", "none"), wrong=200.0, defer=100.0)
    free = {"none": 0.0, "low": 0.0, "medium": 0.0, "high": 0.5}
    return model(parts, cues, replace(loss, hazard_minutes=free))


def test_high_hazard_comes_after_a_safer_cue_of_worth() -> None:
    """A cheaper but hazardous test is not proposed while a safe one is worth its cost; it is, once alone."""
    base = parted_by("safe", "flame", ("none", "high"))
    ranked = rank(base, weigh(base, []), ["flame", "safe", "idle"])
    assert [c.cue for c in ranked[:2]] == ["safe", "flame"]
    assert ranked[1].worth > ranked[0].worth
    chosen = choose(base, weigh(base, []), ["flame", "idle"])
    assert chosen.proposal is not None and chosen.proposal.cue == "flame"


def test_an_idle_cue_is_never_worth_asking() -> None:
    """A cue that every compound answers alike is never proposed, however cheap, not even before a hazard."""
    base = parted_by("safe", "flame", ("none", "high"))
    for candidates in (["idle"], ["idle", "flame"], ["idle", "safe", "flame"]):
        ranked = rank(base, weigh(base, []), candidates)
        idle = next(c for c in ranked if c.cue == "idle")
        assert idle.worth < 0.0 and idle.gain == pytest.approx(0.0, abs=1e-9)
        chosen = choose(base, weigh(base, []), candidates)
        assert chosen.proposal is None or chosen.proposal.cue != "idle"


NEARLY = 1.1


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000))
@example(seed=454)
def test_what_is_proposed_can_change_the_action(seed: int) -> None:
    """Some course of answers to the proposal and one other cue makes another action as good as acting now, or nearly:
    the look-ahead leaves rare compounds out, so it may see a change where they tip the balance back."""
    game = small_game(seed)
    names = [c.id for c in game.cues]
    state = game.belief(())
    chosen = choose(game.model, state, names)
    if chosen.proposal is None:
        return
    now, changed = game.target.actions.index(chosen.verdict.action), False
    for after in game.answers((), chosen.proposal.cue):
        for name in names:
            told = {cue_id for cue_id, _ in after}
            further = [after] if name in told else [after, *game.answers(after, name)]
            for end in further:
                losses_then = action_losses(game.target, part_masses(game.target, game.belief(end).belief.compounds))
                others = losses_then[:now] + losses_then[now + 1 :]
                changed |= min(others) <= NEARLY * losses_then[now]
    assert changed or chosen.proposal.depth > 2


@pytest.mark.parametrize("target", ["decision", "polymer"])
@pytest.mark.parametrize("shop", [(), ("welder",)])
def test_the_workspace_changes_nothing(target: str, shop: tuple[str, ...]) -> None:
    """With one workspace carried through whole interviews, every choice equals that of a fresh call."""
    rng, work = random.Random(5), Workspace()
    for _ in range(3):
        bench, told = draw_bench(SHOP_LIKE, rng.random), []
        for _ in range(6):
            carried = choose(
                SHOP_LIKE, weigh(SHOP_LIKE, told, workspace=work), list(SHOP_LIKE.cues), target, shop, workspace=work
            )
            assert carried == choose(SHOP_LIKE, weigh(SHOP_LIKE, told), list(SHOP_LIKE.cues), target, shop)
            name = carried.ranked[0].cue
            told.append(Observation(name, draw_answer(bench, SHOP_LIKE.cues[name], rng.random)))


def test_all_candidates_are_ranked_with_their_outcomes() -> None:
    """Every unanswered cue with expectations is there once; outcome chances sum to 1; answered ones are gone."""
    told = [Observation("c1", "v0"), Observation("float_in_water", "sinks")]
    ranked = rank(SHOP_LIKE, weigh(SHOP_LIKE, told), [*SHOP_LIKE.cues, "c2"])
    expected = set(SHOP_LIKE.cues) - {"c1", "float_in_water", "float_liquids"}
    assert {c.cue for c in ranked} == expected and len(ranked) == len(expected)
    for candidate in ranked:
        total = sum(outcome.probability for outcome in candidate.values)
        assert total == pytest.approx(1.0) or (candidate.cue == "look" and total < 1.0)
        assert candidate.cost == pytest.approx(cost_of(SHOP_LIKE, SHOP_LIKE.cues[candidate.cue]))


def test_one_step_numbers_agree_with_the_posterior() -> None:
    """A choice cue's outcome chances and leaders are those of really asking, by the exact posterior.

    Compounds left out of choosing cost at most a few thousandths.
    """
    base = random_model(3, compounds=8, cues=4, density=False, set_cue=False)
    told = [Observation("c2", "v0")]
    state = weigh(base, told)
    for candidate in rank(base, state, ["c0", "c1", "c3"]):
        for outcome in candidate.values:
            after = posterior(base, [*told, Observation(candidate.cue, outcome.value)])
            before = state.belief.log_evidence
            chance = 2.718281828459045 ** (after.log_evidence - before)
            assert outcome.probability == pytest.approx(chance, abs=0.02)
            leader, probability = next(iter(by_cell(base, after).items()))
            assert outcome.leader == leader or outcome.leader_probability == pytest.approx(probability, abs=0.05)
            assert outcome.leader_probability == pytest.approx(probability, abs=0.05)


def test_float_and_weighing_respect_each_other() -> None:
    """Once weighed, a float in water tells nothing more: its information falls to almost nothing."""
    parts = [compound("A", "a", density=0.91, sd=0.006), compound("B", "b", density=1.05, sd=0.02), none_of_these(0.01)]
    base = model(parts, density_cues(), losses(("a", "b", "none"), wrong=200.0, defer=90.0))
    fresh = {c.cue: c for c in rank(base, weigh(base, []), list(base.cues))}
    weighed = weigh(base, [Observation("density_measured", 0.99, uncertainty=0.03)])
    after = {c.cue: c for c in rank(base, weighed, list(base.cues))}
    assert fresh["float_in_water"].gain > 0.7 and fresh["density_measured"].gain > 0.6
    exact = weigh(base, [Observation("density_measured", 0.905, uncertainty=0.003)])
    assert {c.cue: c for c in rank(base, exact, list(base.cues))}["float_in_water"].gain < 0.02
    assert 0.0 < after["float_in_water"].gain < 1.0


def shop_like_views(target: str, shop: tuple[str, ...]) -> tuple[Scene, list[View]]:
    state = weigh(SHOP_LIKE, [Observation("c3", "v1")])
    scene = scene_of(state, target_of(SHOP_LIKE, target, shop))
    viewer = Viewer(state, scene)
    names = ("c0", "c5", "look", "float_in_water", "density_measured")
    return scene, [viewer.view(SHOP_LIKE.cues[name]) for name in names]


@pytest.mark.parametrize("target", ["decision", "polymer"])
@pytest.mark.parametrize("shop", [(), ("welder",)])
def test_long_rows_equal_plain_sums(target: str, shop: tuple[str, ...]) -> None:
    """All answers weighed side by side leave each part what summing compound by compound leaves it."""
    scene, views = shop_like_views(target, shop)
    for view, columns in zip(views, answers(views, scene), strict=True):
        for value, column in enumerate(columns):
            plain = [0.0] * len(scene.parts)
            for i, (mass, clean) in enumerate(zip(scene.masses, view.clean.chance, strict=True)):
                chance = clean * view.rows[view.row_of[i]][value] + (1.0 - clean) * view.flats[value]
                plain[scene.place_of[i]] += mass * chance * (view.scales[value] if view.scales else 1.0)
            assert column == pytest.approx(plain, rel=1e-9, abs=1e-15)
        assert view.scales is not None or sum(map(sum, columns)) == pytest.approx(1.0)


@pytest.mark.parametrize("target", ["decision", "polymer"])
@pytest.mark.parametrize("shop", [(), ("welder",)])
def test_giving_up_early_changes_no_worth(target: str, shop: tuple[str, ...]) -> None:
    """Two steps ahead, with pairs of answers remembered and poor followers given up, equals trying everything."""
    scene, views = shop_like_views(target, shop)
    steps = [
        Step(view, columns, [], cost, 0.0, 0.0, 0.0)
        for view, columns, cost in zip(views, answers(views, scene), (1.0, 0.2, 3.0, 0.5, 6.0), strict=True)
    ]
    ahead = TwoSteps(steps, scene)
    small, found = condense(scene, views, 0.85, 0.015 if len(scene.parts) > 15 else 0.005)
    loss, now = ahead.loss, ahead.loss(small.by_part(small.masses))

    def after(weights: list[float], k: int) -> float:
        """The loss once question `k` is answered; after the silence of a look it is as before."""
        ends = [[w * chance for w, chance in zip(weights, row, strict=True)] for row in found[k]]
        silence = 1.0 - sum(map(sum, ends)) / sum(weights)
        assert views[k].scales is not None or silence == pytest.approx(0.0, abs=1e-9)
        acting = loss(small.by_part(weights))
        return sum(loss(small.by_part(end)) for end in ends) + max(0.0, silence) * acting

    for first in range(len(steps)):
        total, others, silence = 0.0, [k for k in range(len(steps)) if k != first], 1.0
        for row in found[first]:
            weights = [mass * chance for mass, chance in zip(small.masses, row, strict=True)]
            chance, best = sum(weights), loss(small.by_part(weights))
            if chance >= SMALL_BRANCH:
                best = min(best, *(after(weights, k) + steps[k].cost * chance for k in others))
            total, silence = total + best, silence - chance
        if views[first].scales is not None:
            total += max(0.0, silence) * min(now, *(after(small.masses, k) + steps[k].cost for k in others))
        worth = ahead.worth(steps[first], [steps[k] for k in others])
        assert worth == pytest.approx(now - total - steps[first].cost, rel=1e-9, abs=1e-9)


def test_cutting_down_keeps_the_loss_of_acting_now() -> None:
    """Compounds left out of choosing leave every part's mass, and so the loss of acting now, as it is."""
    state = weigh(SHOP_LIKE, [Observation("c3", "v1")])
    target = target_of(SHOP_LIKE)
    scene = scene_of(state, target)
    assert len(scene.kept) < len(SHOP_LIKE.compounds)
    whole = part_masses(target, state.belief.compounds)
    cut = scene.by_part(scene.masses)
    assert cut == pytest.approx([whole[part] for part in scene.parts], abs=2e-4)


def test_settled_unknown_and_none_left() -> None:
    """The verdicts to stop: settled, not worth it, none left; and when nothing is known, that is said."""
    base = parted_by("safe", "flame", ("none", "high"))
    sure = weigh(base, [Observation("safe", "yes", "high"), Observation("flame", "yes", "high")])
    settled = replace(base, losses=replace(base.losses, settled_below=20.0))
    chosen = choose(settled, replace(sure, model=settled), ["idle"])
    assert (chosen.stop, chosen.status, chosen.verdict.action) == ("settled", "concluded", "cell-a")
    flat = choose(base, weigh(base, []), [])
    assert (flat.stop, flat.status) == ("none_left", "unknown")
    assert choose(base, weigh(base, []), ["idle"]).stop == "not_worth"
    assert choose(base, weigh(base, []), ["safe"]).status == "open"
    assert choose(base, weigh(base, []), ["safe"], contradiction=True).status == "contradiction"
    outside = weigh(base, [], prior=[0.01, 0.01, 0.98])
    assert choose(base, outside, []).status == "unknown"


def test_lopsided_losses_choose_the_safe_side() -> None:
    """At 1 : 25 the cheap precaution is taken at 5 % belief; with no precaution in the table it is not."""
    parts = [compound("A", "polyolefin", 5.0), compound("B", "polar", 95.0), none_of_these(1e-6)]
    names = ("polyolefin", "polar", "none")
    table = replace(losses(names), table=((0.0, 250.0, 60.0, 30.0), (10.0, 0.0, 60.0, 30.0), (60.0, 60.0, 0.0, 30.0)))
    base = model(parts, [], table)
    verdict = best_action(base, posterior(base, []))
    assert verdict.action == "polyolefin" and verdict.runner_up == "polar"
    assert verdict.loss == pytest.approx(9.5, abs=0.01)
    even = model(parts, [], losses(names, wrong=60.0))
    assert best_action(even, posterior(even, [])).action == "polar"


def test_a_welder_makes_fibre_matter() -> None:
    """With a welder at hand the fibre side is part of what is to be settled, and adds its own loss."""
    parts = [compound("A", "a", 1.0), compound("A-GF", "a", 1.0, filler_kind="fibre"), none_of_these(1e-6)]
    base = model(parts, [], losses(("a", "none"), wrong=200.0, defer=90.0, splits=True))
    belief = posterior(base, [])
    assert best_action(base, belief).loss == pytest.approx(0.0, abs=0.01)
    assert best_action(base, belief, shop=("welder",)).loss == pytest.approx(5.0, abs=0.01)
    ((by, fibre, loss),) = treat_as(base, belief, ("welder",))
    assert (by, fibre) == ("fibre", True) and loss == pytest.approx(5.0, abs=0.01)
    assert len(target_of(base, "decision", ("welder",)).parts) == 3


def test_unknown_targets_are_refused() -> None:
    """A misspelt target is refused with the two that exist."""
    with pytest.raises(ValueError, match="decision, polymer"):
        target_of(SHOP_LIKE, "name")
