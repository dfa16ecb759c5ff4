"""The slow twin of the posterior: plain enumeration of every compound, skill and latent, on numbers, no logs.

Written from the description of the likelihood, sharing no code with the belief room.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import pairwise, product
from statistics import NormalDist

from whichresin.belief.likelihood import Observation
from whichresin.knowledge.model import Cue, Model, Skill

# Mean and sd of the normal, whether a weighing was clean, and the cell's own mean and sd.
DensityState = tuple[float, float, bool, tuple[float, float]]


@cache
def cells_of_normal(count: int) -> list[tuple[float, float]]:
    """Mean and standard deviation of each equal-mass cell of the standard normal."""
    normal = NormalDist()
    ends = [-math.inf, *(normal.inv_cdf(k / count) for k in range(1, count)), math.inf]
    cells = []
    for low, high in pairwise(ends):
        f_low = 0.0 if math.isinf(low) else normal.pdf(low)
        f_high = 0.0 if math.isinf(high) else normal.pdf(high)
        mean = count * (f_low - f_high)
        a = 0.0 if math.isinf(low) else low * f_low
        b = 0.0 if math.isinf(high) else high * f_high
        cells.append((mean, math.sqrt(1.0 + count * (a - b) - mean**2)))
    return cells


def slip(model: Model, skill: Skill, seen: Observation) -> float:
    value = min(0.95, skill.slip * model.observer.sure[seen.sure])
    return max(value, model.observer.doubt[seen.doubt]) if seen.doubt else value


def grid(sd: float) -> list[tuple[float, float]]:
    """16 cells, or 48 for a spread above 0.03 g/cm3."""
    return cells_of_normal(48 if sd > 0.03 else 16)


def usual_uncertainty(model: Model, cue: Cue, seen: Observation) -> float:
    observer = model.observer
    usual = {
        "float_water": observer.water_uncertainty_g_cm3,
        "float_liquids": observer.liquid_uncertainty_g_cm3,
        "density": observer.density_uncertainty_g_cm3,
    }[cue.physics]
    return usual if seen.uncertainty is None else seen.uncertainty


def density_latent(model: Model, members: Sequence[Observation], i: int, skill: Skill) -> list[tuple[float, object]]:
    """States of the density latent: (weight, (mean, sd, clean weighing?, cell)).

    With a weighing, the latent also says whether it was a slip; when it was not, the grid is laid on the
    compound's normal as narrowed by the weighing, whose own chance is the normal's marginal.
    """
    compound = model.compounds[i]
    mean, sd = compound.density_g_cm3, compound.density_sd_g_cm3
    weighings = [seen for seen in members if model.cues[seen.cue].physics == "density"]
    wide = [(1.0 / len(grid(sd)), (mean, sd, False, cell)) for cell in grid(sd)]
    if not weighings:
        return wide
    (seen,) = weighings
    eps, u = slip(model, skill, seen), usual_uncertainty(model, model.cues[seen.cue], seen)
    precision = 1.0 / sd**2 + 1.0 / u**2
    narrowed = ((mean / sd**2 + seen.value / u**2) / precision, precision**-0.5)
    narrow = grid(narrowed[1])
    slipped = [(eps * chance, state) for chance, state in wide]
    return slipped + [((1.0 - eps) / len(narrow), (*narrowed, True, cell)) for cell in narrow]


def at_node(model: Model, seen: Observation, i: int, skill: Skill, state: DensityState, water: float) -> float:
    """P(the readings of this answer | the state of the density latent)."""
    mean, sd, clean, (z, width) = state
    cue, compound = model.cues[seen.cue], model.compounds[i]
    u = usual_uncertainty(model, cue, seen)
    if cue.physics == "density":
        whole = NormalDist(compound.density_g_cm3, math.hypot(compound.density_sd_g_cm3, u))
        return whole.pdf(seen.value) if clean else 1.0 / 1.6
    chance, eps, within = 1.0, slip(model, skill, seen), model.observer.neutral_within_g_cm3
    rho, spread, unit = mean + sd * z, math.hypot(u, sd * width), NormalDist()
    for liquid, result in [(water, seen.value)] if cue.physics == "float_water" else seen.value:
        floats = unit.cdf((liquid - rho - within) / spread)
        sinks = unit.cdf((rho - liquid - within) / spread)
        seen_clean = {"floats": floats, "sinks": sinks, "neutral": 1.0 - floats - sinks}[result]
        chance *= (1.0 - eps) * seen_clean + eps / 3.0
    return chance


def in_state(model: Model, cue: Cue, seen: Observation, i: int, skill: Skill, muddled: bool) -> float:
    """P(this tabled answer | compound i, skill, luck); every word of a set is reported or not, by itself."""
    names = [value.id for value in cue.values]
    row, chance, eps = cue.table.rows[cue.table.row_of[i]], 1.0, slip(model, skill, seen)
    for place, name in enumerate(names):
        flat, share = 1.0 / len(names), model.observer.slip_follows_usual
        if cue.table.usual:
            flat = share * cue.table.usual[place] + (1.0 - share) / len(names)
        reported = flat if muddled else (1.0 - eps) * row[place] + eps * flat
        if cue.kind == "set":
            chance *= reported if name in seen.value else 1.0 - reported
        elif name == seen.value:
            chance *= reported
    return chance


def groups_of(model: Model, observations: Sequence[Observation]) -> dict[tuple[str, bool], list[Observation]]:
    groups: dict[tuple[str, bool], list[Observation]] = {}
    for seen in observations:
        cue = model.cues[seen.cue]
        groups.setdefault((cue.group, bool(cue.physics)), []).append(seen)
    return groups


def latent(
    model: Model, key: tuple[str, bool], members: Sequence[Observation], i: int, skill: Skill
) -> list[tuple[float, object]]:
    """The states of a group's latent with their probabilities."""
    if key[1]:
        return density_latent(model, members, i, skill)
    return [(1.0 - skill.muddled, False), (skill.muddled, True)]


def given_latent(
    model: Model, members: Sequence[Observation], i: int, skill: Skill, state: object, water: float
) -> float:
    chance = 1.0
    for seen in members:
        cue = model.cues[seen.cue]
        if cue.physics:
            chance *= at_node(model, seen, i, skill, state, water)
        else:
            chance *= in_state(model, cue, seen, i, skill, bool(state))
    return chance


def plain_posterior(
    model: Model, observations: Sequence[Observation], water: float
) -> tuple[list[float], list[float], float]:
    """Posterior of compounds and of skills, and the evidence, by summing over every joint state."""
    groups = groups_of(model, observations)
    compounds = [0.0] * len(model.compounds)
    skills = [0.0] * len(model.observer.skills)
    for i, compound in enumerate(model.compounds):
        for s, skill in enumerate(model.observer.skills):
            states = [latent(model, key, members, i, skill) for key, members in groups.items()]
            for combination in product(*states):
                weight = compound.prior * skill.share
                for (chance, state), members in zip(combination, groups.values(), strict=True):
                    weight *= chance * given_latent(model, members, i, skill, state, water)
                compounds[i] += weight
                skills[s] += weight
    evidence = sum(compounds)
    return [w / evidence for w in compounds], [w / evidence for w in skills], evidence
