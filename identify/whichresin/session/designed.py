"""Which made liquid tells most about this part now, and which liquids tell given plastics apart."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from whichresin.belief.decision import Target, action_losses, part_masses, target_of
from whichresin.belief.density import RESULTS, WATER_G_CM3, float_chances
from whichresin.belief.posterior import BeliefState, Workspace
from whichresin.belief.questions import cost_of
from whichresin.engine.chain import Chain
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.liquids import LiquidShelf
from whichresin.knowledge.model import Compound, Model
from whichresin.physics.ladder import Material, below
from whichresin.physics.liquids import Bench, Liquid, Recipe, reach, recipe_for
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import nearest

from .measured import water_measured
from .state import State
from .weighed import Desk, weigh_state

STEP_G_CM3 = 0.005
# Densities that save at least this share of what the best one saves are as good: the middle of their run is
# taken, so that an error of recipe or temperature costs least.
AS_GOOD = 0.97


@dataclass(frozen=True, slots=True)
class Answer:
    """One possible answer to a float test, how likely it is, and which part of the target would then lead."""

    result: str
    probability: float
    leader: str
    leader_probability: float


@dataclass(frozen=True, slots=True)
class Designed:
    """The float test that saves most. Losses in expected minutes of bench work."""

    density_g_cm3: float
    uncertainty_g_cm3: float
    liquid: str  # id of a liquid, or "water"
    recipe: Recipe | None
    loss_now: float
    loss_after: float
    effort: float  # minutes to make the liquid, hazard included
    as_good_g_cm3: tuple[float, float]  # the run of densities that are as good
    answers: tuple[Answer, ...]

    @property
    def saves(self) -> float:
        """Expected minutes saved, before the cost of the test."""
        return self.loss_now - self.loss_after


def design_for(
    model: Model, state: State, shelf: LiquidShelf, bench: Bench, only: Collection[str] = ()
) -> Designed | None:
    """The best liquid for an interview's state; None when no liquid saves anything."""
    desk = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())
    at = weigh_state(desk, state)
    target = target_of(model, state.target, state.shop)
    return best_liquid(at.belief, target, shelf, bench, only, liquids_tried(model, state))


def liquids_tried(model: Model, state: State) -> tuple[float, ...]:
    """Densities, g/cm3, of the liquids in which the piece was tried: the same test again is no new question."""
    found = []
    for answer in state.answers.values():
        physics = model.cues[answer.cue].physics
        if physics == "float_water":
            found.append(WATER_G_CM3)
        elif physics == "float_liquids" and isinstance(answer.value, tuple):
            found += [float(pair[0]) for pair in answer.value if isinstance(pair, tuple)]
    return tuple(found)


def best_liquid(
    belief: BeliefState,
    target: Target,
    shelf: LiquidShelf,
    bench: Bench,
    only: Collection[str] = (),
    tested: Sequence[float] = (),
) -> Designed | None:
    """The density whose float test leaves the smallest expected loss, among what the shelf can make.

    Exact for the model: each answer's chance per compound and observer skill, with the liquid's own uncertainty,
    slips, and what earlier float tests and weighings said of the piece's density. The work and hazard of making
    the liquid count against it. `only` limits the liquids (ids; "water" is one), and a liquid that cannot be told
    from one of `tested` is left out.
    """
    within = belief.model.observer.neutral_within_g_cm3
    made = [one for one in liquids_at(shelf, bench, only) if all(abs(one[0] - d) > within for d in tested)]
    after = [_loss_after(belief, target, density, uncertainty) for density, uncertainty, _ in made]
    worths = [loss + effort(belief.model, liquid) for loss, (_, _, liquid) in zip(after, made, strict=True)]
    now = min(action_losses(target, part_masses(target, belief.belief.compounds)))
    if not after or now - min(after) < 1e-9:
        return None
    place, run = _middle_of_best([density for density, _, _ in made], worths, now)
    density, uncertainty, liquid = made[place]
    recipe = recipe_for(liquid, density, bench) if liquid is not None else None
    return Designed(
        density,
        uncertainty,
        liquid.id if liquid is not None else "water",
        recipe,
        now,
        after[place],
        effort(belief.model, liquid),
        run,
        _answers(belief, target, density, uncertainty),
    )


def effort(model: Model, liquid: Liquid | None) -> float:
    """Minutes that making a liquid costs, its hazard included; plain water costs none."""
    return 0.0 if liquid is None else liquid.minutes + model.losses.hazard_minutes[liquid.hazard]


def liquids_at(
    shelf: LiquidShelf, bench: Bench, only: Collection[str] = ()
) -> list[tuple[float, float, Liquid | None]]:
    """What can be made: density on a grid, its standard uncertainty, and the first liquid that reaches it.

    Rising in density. Plain water is one of them, with no liquid.
    """
    found: dict[float, tuple[float, float, Liquid | None]] = {}
    if not only or "water" in only:
        water = water_measured(shelf, bench.celsius, bench.celsius_uncertainty)
        found[round(water.value, 4)] = (water.value, water.uncertainty, None)
    for liquid in shelf.liquids.values():
        if (only and liquid.id not in only) or not liquid.celsius_low <= bench.celsius <= liquid.celsius_high:
            continue
        low, high = reach(liquid, bench.celsius)
        for k in range(int(low / STEP_G_CM3), int(high / STEP_G_CM3) + 1):
            density = round(k * STEP_G_CM3, 4)
            if low + 0.001 < density < high - 0.001 and density not in found:
                found[density] = (density, recipe_for(liquid, density, bench).uncertainty_g_cm3, liquid)
    return [found[key] for key in sorted(found)]


def _loss_after(belief: BeliefState, target: Target, density: float, uncertainty: float) -> float:
    return sum(
        min(action_losses(target, part_masses(target, weights))) for weights in _after(belief, density, uncertainty)
    )


def _after(belief: BeliefState, density: float, uncertainty: float) -> list[list[float]]:
    """Weight of each compound together with each answer, in the order of RESULTS."""
    model = belief.model
    within = model.observer.neutral_within_g_cm3
    known = next((group.density for group in belief.groups.values() if group.density), None)
    columns = [[0.0] * len(model.compounds) for _ in RESULTS]
    for i, compound in enumerate(model.compounds):
        chances = None
        for place, skill in enumerate(model.observer.skills):
            weight = belief.joint[place][i]
            if weight < 1e-12:
                columns[0][i] += weight  # too light to matter, but the sums stay whole
                continue
            if known is not None or chances is None:
                mean, sd = compound.density_g_cm3, compound.density_sd_g_cm3
                if known is not None:
                    mean, sd = known[i][place].mean_g_cm3, known[i][place].sd_g_cm3
                chances = float_chances(density - mean, sqrt(uncertainty**2 + sd * sd), within)
            for k, chance in enumerate(chances):
                columns[k][i] += weight * ((1.0 - skill.slip) * chance + skill.slip / len(RESULTS))
    return columns


def _middle_of_best(densities: Sequence[float], losses: Sequence[float], now: float) -> tuple[int, tuple[float, float]]:
    """Place of the middle of the run around the best one that saves nearly as much, and the run's ends."""
    best = min(range(len(losses)), key=lambda k: (losses[k], densities[k]))
    enough = losses[best] + (1.0 - AS_GOOD) * abs(now - losses[best])
    low = high = best
    while low > 0 and losses[low - 1] <= enough:
        low -= 1
    while high + 1 < len(losses) and losses[high + 1] <= enough:
        high += 1
    centre = 0.5 * (densities[low] + densities[high])
    place = min(range(low, high + 1), key=lambda k: (abs(densities[k] - centre), losses[k]))
    return place, (densities[low], densities[high])


def _answers(belief: BeliefState, target: Target, density: float, uncertainty: float) -> tuple[Answer, ...]:
    found = []
    for result, weights in zip(RESULTS, _after(belief, density, uncertainty), strict=True):
        sums: dict[str, float] = {}
        for part, mass in zip(target.parts, part_masses(target, weights), strict=True):
            sums[part] = sums.get(part, 0.0) + mass
        total = sum(sums.values())
        leader = max(sums, key=lambda name: (sums[name], name))
        found.append(Answer(result, total, leader, sums[leader] / total if total > 0.0 else 0.0))
    return tuple(found)


class UnknownPlastic(ValueError):
    """A name that is no compound or material; the message is one sentence with the nearest one."""


def named_compound(model: Model, words: str) -> Compound:
    """The compound that a person names: `PP` is the unfilled polymer, `PA66-GF30` the filled one.

    Compound id, then symbol, then a material's other names; case does not matter. Raises UnknownPlastic.
    """
    wanted = " ".join(words.split()).casefold()
    compounds = model.compounds[:-1]
    for hits in (
        [c for c in compounds if c.id.casefold() == wanted],
        [c for c in compounds if c.symbol.casefold() == wanted],
        [c for c in compounds if wanted in _names(model, c)],
    ):
        if hits:
            return min(hits, key=lambda c: (c.retarded, c.filler_kind != "none", -c.prior))
    near = nearest(words, [c.id for c in compounds])
    hint = f"did you mean {near}?" if near else "use a symbol such as PP, PA66 or PP-TD20"
    raise UnknownPlastic(f"{shown(words)} is not a plastic known here; {hint}")


def _names(model: Model, compound: Compound) -> set[str]:
    material = model.materials[compound.material]
    return {name.casefold() for name in (material.id, material.symbol, material.name, *material.synonyms)}


def as_material(compound: Compound) -> Material:
    """A compound as the physics of float tests sees it."""
    return Material(compound.id, compound.density_g_cm3, compound.density_sd_g_cm3)


def sides(
    model: Model, density_g_cm3: float, uncertainty_g_cm3: float, sure: float = 0.95
) -> Mapping[str, tuple[str, ...]]:
    """Unfilled materials by what they do in a liquid: floats, sinks (each at least `sure`), either."""
    groups: dict[str, list[str]] = {"floats": [], "either": [], "sinks": []}
    for compound in model.compounds[:-1]:
        bare = next(c for c in model.compounds if c.material == compound.material)
        if compound is not bare or compound.retarded:
            continue
        chance = below(density_g_cm3, as_material(compound), uncertainty_g_cm3)
        groups["floats" if chance >= sure else "sinks" if chance <= 1.0 - sure else "either"].append(compound.id)
    return {name: tuple(members) for name, members in groups.items()}


def check_piece(model: Model, density_g_cm3: float) -> Compound | None:
    """An unfilled compound to check a made liquid with: the nearest one that is surely on one side of it."""
    bare = [c for c in model.compounds[:-1] if c.filler_kind == "none" and not c.retarded]
    sure = [c for c in bare if abs(c.density_g_cm3 - density_g_cm3) > 2.0 * c.density_sd_g_cm3 + 0.01]
    return min(sure, key=lambda c: (abs(c.density_g_cm3 - density_g_cm3), c.id), default=None)


def cost_of_float(model: Model, liquid: str) -> float:
    """Minutes that a float test costs, hazard included: in plain water, or in a liquid that is made."""
    physics = "float_water" if liquid == "water" else "float_liquids"
    return next((cost_of(model, cue) for cue in model.cues.values() if cue.physics == physics), 0.0)
