"""The bench as a person names it: a liquid by name or density, a strength in percent, a material by symbol."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from whichresin.knowledge.liquids import LiquidShelf
from whichresin.knowledge.model import Compound, Model
from whichresin.physics.ladder import Material
from whichresin.physics.liquids import Bench, Liquid, reach, recipe_made
from whichresin.physics.propagation import Measured
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed, nearest

from .measured import water_measured
from .result import Warned

WATER = "water"
_LIGHTEST, _HEAVIEST = 0.6, 2.5  # g/cm3 of any bench liquid; outside it is a slip of the decimal
_COMMON = 0.006  # prior weight of a plastic that a shop can be expected to have a piece of
_LEVELS = ("danger", "warning", "care")


class BenchError(ValueError):
    """What a person said of the bench cannot be; the message is one sentence with what to do instead."""


def liquid_named(shelf: LiquidShelf, name: str) -> Liquid:
    """A liquid by id, in any case; raises BenchError with the nearest one."""
    wanted = name.strip().lower()
    if wanted in shelf.liquids:
        return shelf.liquids[wanted]
    near = nearest(wanted, shelf.liquids)
    hint = f"did you mean {near}?" if near else f"known are {listed(shelf.liquids)}"
    raise BenchError(f"there is no liquid {shown(name)}; {hint}")


def strength_of(percent: float | None) -> float | None:
    """A strength in percent as a mass fraction; raises BenchError outside 1 to 100."""
    if percent is None:
        return None
    if not 1.0 <= percent <= 100.0:
        raise BenchError(f"a strength of {percent:g} is not between 1 and 100 percent by mass")
    return percent / 100.0


def liquid_measured(
    shelf: LiquidShelf,
    name: str,
    celsius: float,
    grams: float | None = None,
    strength_percent: float | None = None,
    uncertainty: float | None = None,
) -> Measured:
    """The density of a liquid and its standard uncertainty: water, a made liquid with its recipe, or a figure.

    Raises BenchError or ValueError with one sentence.
    """
    if uncertainty is not None and not 0.0 < uncertainty <= 0.2:
        raise BenchError(f"a liquid's uncertainty of {uncertainty:g} is not between 0 and 0.2 g/cm3; use about 0.004")
    try:
        figure: float | None = float(name)
    except ValueError:
        figure = None
    if name.strip().lower() == WATER:
        water = water_measured(shelf, celsius)
        return water if uncertainty is None else Measured(water.value, uncertainty)
    if figure is not None:
        if not _LIGHTEST <= figure <= _HEAVIEST:
            raise BenchError(
                f"a liquid of {figure:g} g/cm3 is outside {_LIGHTEST:g} to {_HEAVIEST:g}; give its density in g/cm3"
            )
        return Measured(figure, shelf.allowances["named_liquid_g_cm3"] if uncertainty is None else uncertainty)
    liquid = liquid_named(shelf, name)
    if grams is None:
        raise BenchError(f"--liquid {liquid.id} needs --recipe: its grams in 100 g of water")
    if grams < 0.0:
        raise BenchError(f"a recipe of {grams:g} g is below zero; give the grams in 100 g of water")
    bench = Bench(celsius, shelf.allowances["celsius_uncertainty"])
    recipe = recipe_made(liquid, grams, bench, strength_of(strength_percent))
    return Measured(recipe.density_g_cm3, recipe.uncertainty_g_cm3 if uncertainty is None else uncertainty)


def reaches(liquids: Iterable[Liquid], bench: Bench) -> dict[str, tuple[float, float]]:
    """What each liquid reaches at the bench's temperature, g/cm3; those that are not known there are left out."""
    known = [liquid for liquid in liquids if liquid.celsius_low <= bench.celsius <= liquid.celsius_high]
    return {liquid.id: reach(liquid, bench.celsius) for liquid in known}


def cautions_of(model: Model, ids: Sequence[str]) -> tuple[Warned, ...]:
    """The cautions of these ids, the most dangerous first."""
    known = [model.cautions[name] for name in dict.fromkeys(ids) if name in model.cautions]
    known.sort(key=lambda caution: _LEVELS.index(caution.level))
    return tuple(Warned(one.id, one.level, one.text) for one in known)


class UnknownPlastic(BenchError):
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


def named_compounds(model: Model, names: Sequence[str]) -> list[Compound]:
    """Several compounds by name, each once, in the order named. Raises UnknownPlastic, or BenchError below two."""
    found: Mapping[str, Compound] = {c.id: c for c in (named_compound(model, name) for name in names)}
    if len(found) < 2:
        raise BenchError("name at least two different plastics")
    return list(found.values())


def _names(model: Model, compound: Compound) -> set[str]:
    material = model.materials[compound.material]
    return {name.casefold() for name in (material.id, material.symbol, material.name, *material.synonyms)}


def as_material(compound: Compound) -> Material:
    """A compound as the physics of float tests sees it."""
    return Material(compound.id, compound.density_g_cm3, compound.density_sd_g_cm3)


def check_piece(model: Model, density_g_cm3: float) -> Compound | None:
    """An unfilled compound to check a made liquid with: the nearest common one that is surely on one side of it."""
    bare = [c for c in model.compounds[:-1] if c.filler_kind == "none" and not c.retarded and c.prior >= _COMMON]
    sure = [c for c in bare if abs(c.density_g_cm3 - density_g_cm3) > 2.0 * c.density_sd_g_cm3 + 0.01]
    return min(sure, key=lambda c: (abs(c.density_g_cm3 - density_g_cm3), c.id), default=None)
