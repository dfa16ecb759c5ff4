"""The liquid proposed for an interview, against the belief itself."""

from __future__ import annotations

from math import exp

import pytest

from whichresin.belief.decision import action_losses, loss_over, part_masses, target_of
from whichresin.belief.density import RESULTS
from whichresin.belief.likelihood import Observation
from whichresin.belief.liquids import Floating
from whichresin.belief.posterior import BeliefState, weigh
from whichresin.belief.questions import liquid_worth
from whichresin.belief.scene import scene_of
from whichresin.belief.views import Viewer
from whichresin.knowledge.liquids import load_liquids
from whichresin.knowledge.model import Model
from whichresin.physics.liquids import Bench, recipe_for
from whichresin.session.bench import UnknownPlastic, named_compound
from whichresin.session.designed import bounds_tried, floated, liquids_at, liquids_left
from whichresin.session.events import Answered
from whichresin.session.state import State

SHELF, BENCH = load_liquids(), Bench()
SEEN = [Observation("float_in_water", "sinks"), Observation("grind", "smears")]


def floating(model: Model, belief: BeliefState) -> Floating:
    """What float tests are worth for this belief, for the repair decision."""
    target = target_of(model)
    scene = scene_of(belief, target)
    return Floating(Viewer(belief, scene), model.cues["float_liquids"], loss_over(target, scene.parts).loss)


@pytest.mark.parametrize("density", [1.03, 1.10, 1.19])
@pytest.mark.parametrize("seen", [[], SEEN], ids=["nothing answered", "two answers"])
def test_the_expected_loss_is_that_of_the_beliefs_after_each_answer(
    shipped: Model, density: float, seen: list[Observation]
) -> None:
    """Each answer told to the belief in turn, weighed by how likely it is: the long way gives the same minutes.

    Up to what choosing leaves out: the lightest compounds, and the latent of the observer.
    """
    target, uncertainty = target_of(shipped), 0.003
    before = weigh(shipped, seen)
    total = 0.0
    for result in RESULTS:
        told = [*seen, Observation("float_liquids", ((density, result),), uncertainty=uncertainty)]
        after = weigh(shipped, told)
        chance = exp(after.belief.log_evidence - before.belief.log_evidence)
        total += chance * min(action_losses(target, part_masses(target, after.belief.compounds)))
    assert floating(shipped, before).after(density, uncertainty) == pytest.approx(total, rel=0.03)


@pytest.mark.parametrize("seen", [[], SEEN, [*SEEN, Observation("clarity", "opaque")]])
def test_no_other_liquid_is_clearly_better(shipped: Model, seen: list[Observation]) -> None:
    """Tried coarsely and then closely, the best is that of trying all; a plateau's middle, not its edge."""
    belief, tests = weigh(shipped, seen), liquids_at(SHELF, BENCH)
    found = liquid_worth(shipped, belief, tests)
    work = floating(shipped, belief)
    every = {t: work.after(t.density_g_cm3, t.uncertainty_g_cm3) + work.cost(t) for t in tests}
    assert found is not None and found.liquid is not None
    now = found.worth + found.cost + found.loss_after
    assert found.loss_after + found.cost <= min(every.values()) + 0.03 * (now - min(every.values())) + 0.5
    assert found.liquid.low_g_cm3 <= found.liquid.test.density_g_cm3 <= found.liquid.high_g_cm3


def test_the_doubt_of_a_grid_liquid_is_that_of_its_recipe(shipped: Model) -> None:
    """Read off between five recipes of each liquid, it is within a twentieth of the recipe's own."""
    for test in liquids_at(SHELF, BENCH)[::7]:
        recipe = recipe_for(SHELF.liquids[test.liquid], test.density_g_cm3, BENCH)
        assert test.uncertainty_g_cm3 == pytest.approx(recipe.uncertainty_g_cm3, rel=0.05)


def test_only_liquids_whose_answer_is_not_known_are_proposed(shipped: Model) -> None:
    """What floats in water floats in brine, and what sank in 0.93 sinks in all lighter: no new questions."""
    state = State().with_answer(Answered("float_in_water", "floats"))
    state = state.with_answer(Answered("float_liquids", ((0.93, "sinks"),)))
    assert bounds_tried(shipped, state) == pytest.approx((0.93, 0.99754), abs=1e-4)
    left = liquids_left(shipped, state)
    assert left and all(0.934 < test.density_g_cm3 < 0.9936 for test in left)
    assert not liquids_left(shipped, state.with_answer(Answered("float_liquids", ((0.95, "neutral"),))))


def test_plastics_are_found_by_symbol_id_and_plain_name(shipped: Model) -> None:
    """The bare symbol is the unfilled polymer; a misspelling gets the nearest symbol."""
    assert named_compound(shipped, "pp").id == "PP"
    assert named_compound(shipped, "pa66-gf30").id == "PA66-GF30"
    assert named_compound(shipped, "polypropylene").id == "PP"
    with pytest.raises(UnknownPlastic, match="did you mean PA66"):
        named_compound(shipped, "PA666")


# Answers after which the best of the other questions tells less than a jar of brine: no scale for a weighing.
LATE = {
    "duty": "body_or_trim",
    "float_in_water": "sinks",
    "clarity": "opaque",
}
