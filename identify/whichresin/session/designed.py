"""The float liquid made for this part: which one tells most now, as a question of the interview."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from whichresin.belief.density import RESULTS, WATER_G_CM3
from whichresin.belief.liquids import LiquidTest
from whichresin.belief.posterior import Workspace
from whichresin.belief.questions import Candidate, liquid_worth
from whichresin.engine.chain import Chain
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.liquids import BadLiquids, LiquidShelf, shipped_shelf
from whichresin.knowledge.model import Model
from whichresin.physics.liquids import Bench, Liquid, reach, recipe_for

from .asking import as_question
from .bench import WATER, liquid_named
from .events import Answered
from .measured import water_measured
from .recipes import MadeLiquid, Wish, document, made_liquid
from .result import Outcome, Question
from .state import State
from .weighed import Desk, weigh_state

STEP_G_CM3 = 0.005
_FIGURED = 5  # recipes whose uncertainty is worked out for each liquid; between them it is read off
_EDGE_G_CM3 = 0.001  # kept from the ends of what a liquid reaches


def liquids_left(model: Model, state: State) -> Sequence[LiquidTest]:
    """What can be made at this bench, rising in density, but for what cannot be told from a liquid tried already."""
    try:
        shelf = shipped_shelf()
    except BadLiquids:
        return ()  # the interview goes on without; the commands that make liquids say what is wrong
    return untried(model, state, liquids_at(shelf, bench_at(shelf, state.celsius)))


def bench_at(shelf: LiquidShelf, celsius: float) -> Bench:
    """A kitchen scale and 300 g of water at this temperature."""
    return Bench(celsius, shelf.allowances["celsius_uncertainty"])


@lru_cache(maxsize=8)
def _tests(shelf: LiquidShelf, bench: Bench, only: frozenset[str]) -> tuple[LiquidTest, ...]:
    found: dict[float, LiquidTest] = {}
    if WATER in only:
        water = water_measured(shelf, bench.celsius, bench.celsius_uncertainty)
        found[round(water.value, 4)] = LiquidTest(water.value, water.uncertainty, 0.0, "none", WATER)
    for liquid in shelf.liquids.values():
        if (only and liquid.id not in only) or not liquid.celsius_low <= bench.celsius <= liquid.celsius_high:
            continue
        low, high = reach(liquid, bench.celsius)
        low, high = low + _EDGE_G_CM3, high - _EDGE_G_CM3
        figured = _figured(liquid, low, high, bench)
        for k in range(int(low / STEP_G_CM3) + 1, int(high / STEP_G_CM3) + 1):
            density = round(k * STEP_G_CM3, 4)
            if density not in found:
                doubt = _between(figured, (density - low) / (high - low))
                found[density] = LiquidTest(density, doubt, liquid.minutes, liquid.hazard, liquid.id)
    return tuple(found[key] for key in sorted(found))


def liquids_at(shelf: LiquidShelf, bench: Bench, only: Collection[str] = ()) -> tuple[LiquidTest, ...]:
    """What can be made: densities on a grid, rising, each of the first liquid that reaches it.

    `only` limits the liquids by id; plain water is one of them only when it is named there.
    """
    return _tests(shelf, bench, frozenset(only))


def _figured(liquid: Liquid, low: float, high: float, bench: Bench) -> list[float]:
    places = [low + (high - low) * k / (_FIGURED - 1) for k in range(_FIGURED)]
    return [recipe_for(liquid, place, bench).uncertainty_g_cm3 for place in places]


def _between(figures: Sequence[float], share: float) -> float:
    place = min(int(share * (len(figures) - 1)), len(figures) - 2)
    rest = share * (len(figures) - 1) - place
    return figures[place] + rest * (figures[place + 1] - figures[place])


def untried(model: Model, state: State, tests: Sequence[LiquidTest]) -> list[LiquidTest]:
    """The tests whose result is not told by those made: what floats in one liquid floats in every heavier one.

    A liquid must be told from those tried, too.
    """
    low, high = bounds_tried(model, state)
    within = model.observer.neutral_within_g_cm3
    return [test for test in tests if low + within < test.density_g_cm3 < high - within]


def bounds_tried(model: Model, state: State) -> tuple[float, float]:
    """Between which densities, g/cm3, the piece lies by what it did in liquids; a piece that hangs is on both."""
    low, high = 0.0, float("inf")
    for density, result in results_tried(model, state):
        low = max(low, density) if result != "floats" else low
        high = min(high, density) if result != "sinks" else high
    return low, high


def results_tried(model: Model, state: State) -> list[tuple[float, str]]:
    """(density in g/cm3, result) of every float test answered, plain water among them."""
    found: list[tuple[float, str]] = []
    for answer in state.answers.values():
        physics = model.cues[answer.cue].physics
        if physics == "float_water" and isinstance(answer.value, str):
            found.append((WATER_G_CM3, answer.value))
        elif physics == "float_liquids" and isinstance(answer.value, tuple):
            found += [pair for pair in answer.value if isinstance(pair, tuple)]
    return found


def result_words(model: Model) -> Mapping[str, str]:
    """What a piece can do in a liquid, in the plain words of the test in water."""
    water = next((cue for cue in model.cues.values() if cue.physics == "float_water"), None)
    return {value.id: value.text for value in water.values} if water is not None else {}


def as_liquid_question(model: Model, candidate: Candidate, celsius: float, outcomes: tuple[Outcome, ...]) -> Question:
    """The test with its recipe at the bench's temperature, its cautions and how to check the liquid."""
    cue, found = model.cues[candidate.cue], candidate.liquid
    assert found is not None
    made = recipe_at(model, found.test.density_g_cm3, celsius, found.test.liquid)
    question = f"{cue.question.removesuffix('?').replace('of known density', f'of {made.density_g_cm3:.3f} g/cm3')}?"
    words = result_words(model)
    values = tuple((result, words.get(result, result)) for result in dict.fromkeys((*words, *RESULTS)))
    told = tuple(replace(outcome, text=words.get(outcome.value, outcome.value)) for outcome in outcomes)
    asked = as_question(model, cue, candidate.worth, outcomes=told, liquid=made)
    cautions = tuple(caution.id for caution in made.cautions)
    minutes = cue.minutes + shipped_shelf().liquids[found.test.liquid].minutes
    return replace(
        asked, question=question, minutes=minutes, hazard=candidate.hazard, values=values, cautions=cautions
    )


def recipe_at(model: Model, density_g_cm3: float, celsius: float, solute: str = "") -> MadeLiquid:
    """How to make a liquid at a bench of this temperature. Raises ValueError with one sentence when it cannot be."""
    shelf = shipped_shelf()
    return made_liquid(model, shelf, density_g_cm3, bench_at(shelf, celsius), Wish(solute))


def floated(model: Model, state: State, made: MadeLiquid, result: str, sure: str = "medium") -> Answered:
    """The event of one result in a made liquid; what was tried before stays part of the answer.

    One doubt counts for all liquids of an answer: the widest.
    """
    cue = next(cue for cue in model.cues.values() if cue.physics == "float_liquids")
    before = state.answers.get(cue.id)
    earlier = before.value if before is not None and isinstance(before.value, tuple) else ()
    doubts = [made.uncertainty_g_cm3]
    if before is not None:
        doubts.append(model.observer.liquid_uncertainty_g_cm3 if before.uncertainty is None else before.uncertainty)
    value = (*earlier, (round(made.density_g_cm3, 4), result))
    return Answered(cue.id, value, sure, round(max(doubts), 5))


@dataclass(frozen=True, slots=True)
class Designed:
    """The float test that saves most. Losses in expected minutes of bench work."""

    density_g_cm3: float
    liquid: str  # id of a liquid, or "water"
    loss_now: float
    loss_after: float
    cost: float  # minutes, making the liquid and hazard included
    as_good_g_cm3: tuple[float, float]  # the run of densities that are as good
    answers: tuple[Outcome, ...]

    @property
    def saves(self) -> float:
        """Expected minutes saved, before the cost of the test."""
        return self.loss_now - self.loss_after

    def as_json(self, model: Model) -> dict[str, object]:
        """What the test tells, as it stands under `separates` in the document of a liquid."""
        worth = self.saves - self.cost
        return {
            "answers": [
                {
                    "result": answer.value,
                    "probability": round(answer.probability, 6),
                    "leader": model.cells[answer.leader].name if answer.leader in model.cells else answer.leader,
                    "leader_probability": round(answer.leader_probability, 6),
                }
                for answer in self.answers
            ],
            "as_good_g_cm3": [round(end, 4) for end in self.as_good_g_cm3],
            "loss_now_minutes": round(self.loss_now, 4),
            "loss_after_minutes": round(self.loss_after, 4),
            "saves_minutes": round(self.saves, 4),
            "costs_minutes": self.cost,
            "worth_minutes": round(worth, 4),
            "note": "" if worth > 0.0 else "It saves less than it costs: another question is likely to be better.",
        }


def design_for(
    model: Model, state: State, shelf: LiquidShelf, bench: Bench, only: Collection[str] = ()
) -> Designed | None:
    """The liquid that saves most for an interview's state, worth its cost or not; None when none saves anything.

    Without `only`, plain water is one of the liquids.
    """
    desk = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())
    at = weigh_state(desk, state)
    named = tuple(only) or (WATER, *shelf.liquids)
    tests = untried(model, state, liquids_at(shelf, bench, named))
    found = liquid_worth(model, at.belief, tests, state.target, state.shop)
    if found is None or found.liquid is None:
        return None
    outcomes = tuple(Outcome(o.value, o.value, o.probability, o.leader, o.leader_probability) for o in found.values)
    best = found.liquid
    return Designed(
        best.test.density_g_cm3,
        best.test.liquid,
        found.worth + found.cost + found.loss_after,
        found.loss_after,
        found.cost,
        (best.low_g_cm3, best.high_g_cm3),
        outcomes,
    )


def document_for(model: Model, state: State, shelf: LiquidShelf, bench: Bench, wish: Wish) -> dict[str, Any]:
    """The contract's document for the liquid that tells most about the part of these answers.

    Its density is None when no liquid tells anything. Raises ValueError with one sentence.
    """
    only = () if not wish.named else (WATER,) if wish.named == WATER else (liquid_named(shelf, wish.solute).id,)
    found = design_for(model, state, shelf, bench, only)
    if found is None:
        note = "No float liquid tells anything more about this part: the answers leave nothing for it to settle."
        return {"schema": 1, "density_g_cm3": None, "separates": {"note": note}, "cautions": []}
    made = made_liquid(model, shelf, found.density_g_cm3, bench, replace(wish, solute=found.liquid))
    return document(made, found.as_json(model))
