"""The liquid proposed for an interview, against the belief itself."""

from __future__ import annotations

from dataclasses import replace
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
from whichresin.session.designed import bounds_tried, floated, liquids_at, liquids_left, recipe_at
from whichresin.session.events import Answered, Declined, TakenBack
from whichresin.session.interview import Interview, consult
from whichresin.session.recipes import MadeLiquid
from whichresin.session.result import Question
from whichresin.session.state import State

SHELF, BENCH = load_liquids(), Bench()
SEEN = [Observation("float_in_water", "sinks"), Observation("grind", "smears")]


def floating(model: Model, belief: BeliefState) -> Floating:
    """What float tests are worth for this belief, for the repair decision."""
    target = target_of(model)
    scene = scene_of(belief, target)
    return Floating(Viewer(belief, scene), model.cues["float_liquids"], loss_over(target, scene.parts))


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



# A hard powdering plastic with no scale fine enough for a weighing: weight is what is left to tell.
LATE = State(
    {
        cue: Answered(cue, value)
        for cue, value in (
            ("duty", "none_of_these"),
            ("condition", "sound"),
            ("look", ("smooth_both_sides", "no_fibres")),
            ("moulding_marks", ("weld_line", "mould_seam")),
            ("flex", "rigid"),
            ("grind", "powder"),
            ("grind_fast", "smears"),
            ("hot_needle", "softens_chars"),
            ("float_in_water", "sinks"),
        )
    },
    declined=("density_measured", "part", "marking", "clarity", "boiling_water", "tap_ring", "foam_core"),
)


def proposed(model: Model, state: State) -> tuple[Interview, Question, MadeLiquid]:
    """The interview of a state that comes to a liquid, the question and the liquid."""
    interview = Interview(model, state)
    question = interview.result.next
    assert question is not None and question.liquid is not None
    return interview, question, question.liquid


def test_a_liquid_is_asked_for_when_it_is_worth_more_than_the_rest(shipped: Model) -> None:
    """One more question in the same currency: first of all candidates, its minutes those of test and mixing, its worth
    what it saves less what it costs."""
    interview, question, made = proposed(shipped, LATE)
    assert question.cue == "float_liquids" and f"{made.density_g_cm3:.3f} g/cm3" in question.question
    worths = [one.worth for one in interview.result.questions]
    assert question.worth >= 0.5 * max(worths) and question.worth > 0
    assert question.minutes == shipped.cues["float_liquids"].minutes + SHELF.liquids[made.solute].minutes
    assert sum(outcome.probability for outcome in question.outcomes) == pytest.approx(1.0, abs=1e-6)
    early = Interview(shipped, State(declined=("part", "marking"))).result
    assert all(one.liquid is None for one in early.questions), "quicker questions come first"


def test_the_document_keeps_its_fields_and_adds_the_recipe(shipped: Model) -> None:
    """`next` has what every question has; the recipe stands under `liquid`, at the bench's temperature."""
    _, question, _ = proposed(shipped, replace(LATE, celsius=18.0))
    found = question.as_json()
    assert {"cue", "question", "values", "worth"} <= set(found) and set(found["values"]) == set(RESULTS)
    liquid = found["liquid"]
    assert liquid["temperature_c"] == 18.0 and liquid["grams_per_100_g_water"] > 0
    assert found["cautions"] == [caution["id"] for caution in liquid["cautions"]]
    assert any("known density" in text for text in liquid["how"])
    plain = next(one for one in consult(shipped, LATE).questions if one.liquid is None).as_json()
    assert "liquid" not in plain


@pytest.mark.parametrize("result", RESULTS)
def test_every_answer_is_evidence_and_is_not_asked_again(shipped: Model, result: str) -> None:
    """Floats, sinks and hangs each move the belief as foreseen; the next liquid lies on the side still open."""
    interview, question, made = proposed(shipped, LATE)
    foreseen = next(outcome for outcome in question.outcomes if outcome.value == result)
    interview.tell(interview.answer_of(question, result))
    answer = interview.state.answers["float_liquids"]
    assert answer.value == ((round(made.density_g_cm3, 4), result),)
    assert answer.uncertainty == pytest.approx(made.uncertainty_g_cm3, abs=1e-5)
    if foreseen.probability > 0.1:
        cells = {cell.name: cell.probability for cell in interview.result.cells}
        assert cells[foreseen.leader] == pytest.approx(foreseen.leader_probability, abs=0.12)
    again = interview.result.next
    if again is not None and again.liquid is not None:
        low, high = bounds_tried(shipped, interview.state)
        assert low < again.liquid.density_g_cm3 < high


def test_a_second_liquid_is_added_and_a_refused_one_takes_nothing_away(shipped: Model) -> None:
    """Results pile up in one answer, undone one by one; refusing the next liquid leaves those seen."""
    interview, question, made = proposed(shipped, LATE)
    interview.tell(interview.answer_of(question, "sinks"))
    interview.tell(floated(shipped, interview.state, recipe_at(shipped, 1.23, 23.0), "floats"))
    value = interview.state.answers["float_liquids"].value
    assert value == ((round(made.density_g_cm3, 4), "sinks"), (1.23, "floats"))
    interview.tell(Declined("float_liquids"))
    assert interview.state.answers["float_liquids"].value == value
    assert all(one.liquid is None for one in interview.result.questions)
    interview.tell(TakenBack())
    interview.tell(TakenBack())
    assert interview.state.answers["float_liquids"].value == value[:1]


def test_no_liquid_for_a_foam_or_a_piece_that_was_weighed(shipped: Model) -> None:
    """Rules withhold it like any test; so does a person who has no kitchen scale."""
    for more in (Answered("density_measured", 1.2), Answered("look", ("foam_pores",))):
        assert all(one.liquid is None for one in consult(shipped, LATE.with_answer(more)).questions)
    refused = replace(LATE, declined=(*LATE.declined, "float_liquids"))
    assert all(one.liquid is None for one in consult(shipped, refused).questions)


def test_an_alcohol_liquid_says_that_it_burns(shipped: Model) -> None:
    """Below water's density only alcohols do; the caution of fire comes with the question, the worst first."""
    made = recipe_at(shipped, 0.93, 23.0)
    assert made.solute in ("ethanol", "isopropanol")
    assert made.cautions[0].id == "solvent-flash" and made.cautions[0].level == "danger"
