"""Drawing parts, observers and answers from the model itself: for simulation, drills and calibration.

Randomness comes in as `uniform`, a function that returns a fresh number in [0, 1) at each call: a seed
reproduces everything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from whichresin.belief.density import SLIP_HIGH_G_CM3, SLIP_LOW_G_CM3, WATER_G_CM3, normal_quantile
from whichresin.belief.likelihood import Answer, GroupKey, group_key, slip_answers
from whichresin.knowledge.model import Cue, Model, Skill

Uniform = Callable[[], float]


@dataclass(slots=True)
class Bench:
    """One part and one observer at the bench, with the luck of each test fixed at its first answer."""

    model: Model
    compound: int
    skill: Skill
    density_g_cm3: float
    slip_factor: float = 1.0  # more than 1: this person errs more than the tables say
    muddled: dict[GroupKey, bool] = field(default_factory=dict)


def draw_index(weights: Sequence[float], uniform: Uniform) -> int:
    """An index drawn in proportion to the weights."""
    left = uniform() * sum(weights)
    for place, weight in enumerate(weights):
        left -= weight
        if left < 0.0:
            return place
    return len(weights) - 1


def draw_normal(mean: float, sd: float, uniform: Uniform) -> float:
    """A normal deviate by inversion."""
    return mean + sd * normal_quantile(min(max(uniform(), 1e-12), 1.0 - 1e-12))


def draw_bench(
    model: Model, uniform: Uniform, prior: Sequence[float] | None = None, compound: int | None = None
) -> Bench:
    """A part from the prior (or the given compound) and an observer from the skills' shares."""
    weights = [c.prior for c in model.compounds] if prior is None else prior
    index = draw_index(weights, uniform) if compound is None else compound
    skill = model.observer.skills[draw_index([s.share for s in model.observer.skills], uniform)]
    one = model.compounds[index]
    return Bench(model, index, skill, draw_normal(one.density_g_cm3, one.density_sd_g_cm3, uniform))


def draw_answer(
    bench: Bench,
    cue: Cue,
    uniform: Uniform,
    liquids_g_cm3: Sequence[float] = (),
    compound: int | None = None,
) -> Answer:
    """What this observer answers, drawn exactly as the likelihood has it.

    `liquids_g_cm3` are the liquids at hand for a float in liquids. `compound` answers as if the part were that
    one: a planted mistake. A cue without expectations is answered by an empty text.
    """
    slip = min(0.95, bench.skill.slip * bench.slip_factor)
    if cue.physics:
        return _draw_density_answer(bench, cue, slip, uniform, liquids_g_cm3)
    if cue.table is None:
        return ""
    key = group_key(cue)
    if key not in bench.muddled:
        bench.muddled[key] = uniform() < bench.skill.muddled
    row = cue.table.rows[cue.table.row_of[bench.compound if compound is None else compound]]
    flats = slip_answers(cue, bench.model.observer)
    if cue.kind == "set":
        wrong = 1.0 if bench.muddled[key] else slip
        chances = [(1.0 - wrong) * p + wrong * flat for p, flat in zip(row, flats, strict=True)]
        return tuple(v.id for v, p in zip(cue.values, chances, strict=True) if uniform() < p)
    if bench.muddled[key] or uniform() < slip:
        row = flats
    return cue.values[draw_index(row, uniform)].id


def _draw_density_answer(
    bench: Bench, cue: Cue, slip: float, uniform: Uniform, liquids_g_cm3: Sequence[float]
) -> Answer:
    observer = bench.model.observer
    if cue.physics == "density":
        if uniform() < slip:
            return SLIP_LOW_G_CM3 + uniform() * (SLIP_HIGH_G_CM3 - SLIP_LOW_G_CM3)
        return draw_normal(bench.density_g_cm3, observer.density_uncertainty_g_cm3, uniform)
    if cue.physics == "float_water":
        return _draw_float(bench, WATER_G_CM3, observer.water_uncertainty_g_cm3, slip, uniform)
    spread = observer.liquid_uncertainty_g_cm3
    return tuple((liquid, _draw_float(bench, liquid, spread, slip, uniform)) for liquid in liquids_g_cm3)


def _draw_float(bench: Bench, liquid: float, spread: float, slip: float, uniform: Uniform) -> str:
    within = bench.model.observer.neutral_within_g_cm3
    if uniform() < slip:
        return ("floats", "neutral", "sinks")[int(uniform() * 3.0)]
    gap = draw_normal(liquid, spread, uniform) - bench.density_g_cm3
    return "floats" if gap > within else ("sinks" if gap < -within else "neutral")
