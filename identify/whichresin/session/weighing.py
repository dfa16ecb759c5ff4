"""A piece weighed, put into a jar or floated: the density with its doubt, what it can be, what to watch for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whichresin.belief.hypotheses import Belief
from whichresin.knowledge.liquids import LiquidShelf
from whichresin.knowledge.model import Model
from whichresin.physics.displacement import displaced_density
from whichresin.physics.floating import Float, density_between
from whichresin.physics.propagation import Measured
from whichresin.physics.weighing import AIR_G_CM3, Doubts, reading, smallest_mass, weigh

from .measured import (
    Possible,
    belief_of_density,
    belief_of_floats,
    outside_known,
    possible_materials,
    warnings_for,
)

_NOTHING = 0.1  # of the whole doubt: a bubble that moves a density by less is not worth a line
_FLOAT_NOTE = "Push the wetted piece under with a drop of washing-up liquid and rub off bubbles before you look."


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale by its step in grams, and whether that was only read from how the figures are written."""

    step_g: float
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Readings:
    """Repeated readings in grams: in air, under the liquid (sinker included), the sinker alone under the liquid."""

    dry: Sequence[float]
    wet: Sequence[float]
    sinker: Sequence[float] = ()


@dataclass(frozen=True, slots=True)
class Levels:
    """A jar's level in cm3 without and with the piece, and how far apart its marks are."""

    before: float
    after: float
    mark: float = 1.0


def weighed_document(
    model: Model, shelf: LiquidShelf, readings: Readings, scale: Scale, liquid: Measured, notes: Sequence[str] = ()
) -> dict[str, Any]:
    """The contract's document for a weighing under a liquid. Raises ValueError with one sentence."""
    doubts = Doubts(shelf.allowances["bubble_mm3"], shelf.allowances["thread_g"])
    found = weigh(readings.dry, readings.wet, liquid, scale.step_g, readings.sinker or None, doubts)
    enough = shelf.allowances["enough_g_cm3"]
    smallest = smallest_mass(found.density_g_cm3, liquid, scale.step_g, enough, doubts)
    density = Measured(found.density_g_cm3, found.uncertainty_g_cm3)
    wanted = ["bubbles", "coating", outside_known(model, density)]
    if found.uncertainty_g_cm3 > enough:
        wanted.append("liquid-limits" if smallest is None else "small")
    numbers = {
        "bubble": found.parts_g_cm3["bubble"],
        "uncertainty": found.uncertainty_g_cm3,
        "smallest": smallest or 0.0,
        "enough": enough,
    }
    told = [*_scale_notes(scale), *notes]
    return {
        **_document(shelf, model, belief_of_density(model, density), density, liquid, numbers, wanted, told),
        "method": "immersion, ISO 1183-1 method A and ASTM D792",
        "volume_cm3": round(found.volume_cm3, 5),
        "air_buoyancy": {"air_g_cm3": AIR_G_CM3, "correction_g_cm3": round(found.air_buoyancy_g_cm3, 6)},
        "smallest_mass_g": None if smallest is None else round(smallest, 3),
        "uncertainty_parts_g_cm3": {name: round(part, 6) for name, part in found.parts_g_cm3.items()},
    }


def displaced_document(
    model: Model, shelf: LiquidShelf, dry_g: Sequence[float], levels: Levels, scale: Scale, liquid: Measured
) -> dict[str, Any]:
    """The contract's document for a piece in a jar: how much water it moves. Raises ValueError with one sentence."""
    dry = reading(dry_g, scale.step_g)
    share = shelf.allowances["volume_reading_share"]
    found = displaced_density(dry, levels.before, levels.after, levels.mark, share)
    density, moved = Measured(found.value, found.uncertainty), levels.after - levels.before
    enough = shelf.allowances["enough_g_cm3"]
    level = (found.parts["before"] ** 2 + found.parts["after"] ** 2) ** 0.5
    # The doubt falls with the piece: as many times more weight as the doubt is too great.
    smallest = dry.value * found.uncertainty / enough
    bubble = shelf.allowances["bubble_mm3"] / 1000.0 * density.value / moved
    wanted = ["coating", outside_known(model, density)]
    if bubble > _NOTHING * found.uncertainty:
        wanted.append("bubbles")
    if found.uncertainty > enough:
        wanted.append("small")
    numbers = {
        "bubble": bubble,
        "uncertainty": found.uncertainty,
        "smallest": smallest,
        "enough": enough,
    }
    told = _scale_notes(scale)
    return {
        **_document(shelf, model, belief_of_density(model, density), density, liquid, numbers, wanted, told),
        "method": "volume of water moved aside",
        "volume_cm3": round(moved, 5),
        "air_buoyancy": {"air_g_cm3": AIR_G_CM3, "correction_g_cm3": AIR_G_CM3},
        "smallest_mass_g": round(smallest, 3),
        "uncertainty_parts_g_cm3": {"mass": round(found.parts["mass"], 6), "levels": round(level, 6)},
    }


def floated_document(model: Model, shelf: LiquidShelf, results: Sequence[Float]) -> dict[str, Any]:
    """The contract's document for float tests in liquids of known density. Raises ValueError with one sentence."""
    between = density_between(results, model.observer.neutral_within_g_cm3)
    belief = belief_of_floats(model, [(one.liquid_g_cm3, one.result) for one in results])
    wanted = ["coating", outside_known(model, between.density) if between.density else ""]
    return {
        **_document(shelf, model, belief, between.density, None, {}, wanted, [_FLOAT_NOTE]),
        "method": "float tests in liquids of known density",
        "low_g_cm3": None if between.low is None else round(between.low, 4),
        "high_g_cm3": None if between.high is None else round(between.high, 4),
    }


def _scale_notes(scale: Scale) -> list[str]:
    if not scale.guessed:
        return []
    return [f"The scale's step was read from the figures as {scale.step_g:g} g; say --resolution if it is another."]


def _document(
    shelf: LiquidShelf,
    model: Model,
    belief: Belief,
    density: Measured | None,
    liquid: Measured | None,
    numbers: Mapping[str, float],
    wanted: Sequence[str],
    notes: Sequence[str],
) -> dict[str, Any]:
    possible = possible_materials(model, belief, density)
    if any(one.fillers for one in possible):
        wanted = [*wanted, "retardant", "voids"]
    return {
        "schema": 1,
        "density_g_cm3": None if density is None else round(density.value, 5),
        "uncertainty_g_cm3": None if density is None else round(density.uncertainty, 5),
        "liquid_density_g_cm3": None if liquid is None else round(liquid.value, 6),
        "liquid_uncertainty_g_cm3": None if liquid is None else round(liquid.uncertainty, 6),
        "warnings": [*warnings_for(shelf, model, belief, numbers, wanted), *notes],
        "polymers": [_possible_json(one) for one in possible],
        "none_of_these": round(belief.compounds[-1], 6),
    }


def _possible_json(one: Possible) -> dict[str, Any]:
    """A material that a density leaves possible, as JSON."""
    return {
        "symbol": one.symbol,
        "name": one.name,
        "probability": round(one.probability, 6),
        "material": one.material,
        "compounds": [{"symbol": symbol, "probability": round(p, 6)} for symbol, p in one.compounds],
        "filled_with": [
            {
                "code": filled.filler,
                "name": filled.name,
                "percent": round(filled.share.percent, 1),
                "low_percent": round(filled.share.low_percent, 1),
                "high_percent": round(filled.share.high_percent, 1),
            }
            for filled in one.fillers
        ],
    }
