"""The liquid proposed for an interview, against the belief itself."""

from __future__ import annotations

from math import exp

import pytest

from whichresin.belief.decision import action_losses, part_masses, target_of
from whichresin.belief.density import RESULTS
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import weigh
from whichresin.knowledge.liquids import load_liquids
from whichresin.knowledge.model import Model
from whichresin.physics.liquids import Bench
from whichresin.session.designed import (
    UnknownPlastic,
    _loss_after,
    best_liquid,
    effort,
    liquids_at,
    liquids_tried,
    named_compound,
)
from whichresin.session.events import Answered
from whichresin.session.state import State

SHELF, BENCH = load_liquids(), Bench()
SEEN = [Observation("float_in_water", "sinks"), Observation("grind", "smears")]


@pytest.mark.parametrize("density", [1.03, 1.10, 1.19])
@pytest.mark.parametrize("seen", [[], SEEN], ids=["nothing answered", "two answers"])
def test_the_expected_loss_is_that_of_the_beliefs_after_each_answer(
    shipped: Model, density: float, seen: list[Observation]
) -> None:
    """Each answer told to the belief in turn, weighed by how likely it is: the long way gives the same minutes.

    Without earlier float tests to the last figures; with one, up to the normal that stands for what it said.
    """
    target, uncertainty = target_of(shipped), 0.003
    before = weigh(shipped, seen)
    total = 0.0
    for result in RESULTS:
        told = [*seen, Observation("float_liquids", ((density, result),), uncertainty=uncertainty)]
        after = weigh(shipped, told)
        chance = exp(after.belief.log_evidence - before.belief.log_evidence)
        total += chance * min(action_losses(target, part_masses(target, after.belief.compounds)))
    quick = _loss_after(before, target, density, uncertainty)
    assert quick == pytest.approx(total, rel=0.002 if not seen else 0.02)


def test_no_other_liquid_is_clearly_better(shipped: Model) -> None:
    """Savings less effort within 3 in 100 of the best on the grid: the middle of a plateau is taken, not its edge."""
    target = target_of(shipped)
    belief = weigh(shipped, SEEN)
    found = best_liquid(belief, target, SHELF, BENCH)
    assert found is not None
    now = found.loss_now
    nets = [
        now - _loss_after(belief, target, density, u) - effort(shipped, liquid)
        for density, u, liquid in liquids_at(SHELF, BENCH)
    ]
    assert found.saves - found.effort >= max(nets) - 0.03 * abs(max(nets)) - 1e-9


def test_a_liquid_tried_already_is_not_proposed_again(shipped: Model) -> None:
    """The same float test again is no new question."""
    state = State().with_answer(Answered("float_in_water", "floats"))
    state = state.with_answer(Answered("float_liquids", ((0.93, "sinks"),)))
    tested = liquids_tried(shipped, state)
    assert tested == pytest.approx((0.99754, 0.93), abs=1e-4)
    belief = weigh(shipped, [Observation("float_in_water", "floats"), Observation("float_liquids", ((0.93, "sinks"),))])
    found = best_liquid(belief, target_of(shipped, "polymer"), SHELF, BENCH, (), tested)
    assert found is None or all(abs(found.density_g_cm3 - d) > 0.004 for d in tested)


def test_plastics_are_found_by_symbol_id_and_plain_name(shipped: Model) -> None:
    """The bare symbol is the unfilled polymer; a misspelling gets the nearest symbol."""
    assert named_compound(shipped, "pp").id == "PP"
    assert named_compound(shipped, "pa66-gf30").id == "PA66-GF30"
    assert named_compound(shipped, "polypropylene").id == "PP"
    with pytest.raises(UnknownPlastic, match="did you mean PA66"):
        named_compound(shipped, "PA666")
