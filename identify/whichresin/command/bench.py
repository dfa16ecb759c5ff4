"""What `weigh` and `liquid` share: the shelf of liquids, a liquid by name, JSON of what is possible."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.liquids import LiquidShelf
    from whichresin.physics.liquids import Liquid
    from whichresin.physics.propagation import Measured
    from whichresin.session.measured import Possible

_LIGHTEST, _HEAVIEST = 0.6, 2.5  # g/cm3 of any bench liquid; outside it is a slip of the decimal


def shelf() -> LiquidShelf:
    """The liquids; raises BadInput naming the first fault."""
    from whichresin.knowledge.liquids import BadLiquids, load_liquids

    try:
        return load_liquids()
    except BadLiquids as error:
        raise output.BadInput(str(error)) from None


def liquid_named(held: LiquidShelf, name: str) -> Liquid:
    """A liquid by id, in any case; raises BadInput with the nearest one."""
    wanted = name.strip().lower()
    if wanted in held.liquids:
        return held.liquids[wanted]
    from whichresin.vocabulary.text import shown
    from whichresin.vocabulary.words import listed, nearest

    near = nearest(wanted, held.liquids)
    hint = f"did you mean {near}?" if near else f"known are {listed(held.liquids)}"
    raise output.BadInput(f"there is no liquid {shown(name)}; {hint}")


def liquid_measured(
    held: LiquidShelf,
    name: str,
    celsius: float,
    grams: float | None = None,
    strength_percent: float | None = None,
    uncertainty: float | None = None,
) -> Measured:
    """The density of a liquid and its standard uncertainty: water, a made liquid with its recipe, or a figure."""
    from whichresin.physics.liquids import Bench, recipe_made
    from whichresin.physics.propagation import Measured
    from whichresin.session.measured import water_measured

    if uncertainty is not None and not 0.0 < uncertainty <= 0.2:
        raise output.BadInput(f"--liquid-uncertainty {uncertainty:g} is not between 0 and 0.2 g/cm3; use about 0.004")
    try:
        figure: float | None = float(name)
    except ValueError:
        figure = None
    if name.strip().lower() == "water":
        water = water_measured(held, celsius)
        return water if uncertainty is None else Measured(water.value, uncertainty)
    if figure is not None:
        if not _LIGHTEST <= figure <= _HEAVIEST:
            raise output.BadInput(
                f"a liquid of {figure:g} g/cm3 is outside {_LIGHTEST:g} to {_HEAVIEST:g}; give its density in g/cm3"
            )
        return Measured(figure, held.allowances["named_liquid_g_cm3"] if uncertainty is None else uncertainty)
    liquid = liquid_named(held, name)
    if grams is None:
        raise output.BadInput(f"--liquid {liquid.id} needs --recipe: its grams in 100 g of water")
    if grams < 0.0:
        raise output.BadInput(f"--recipe {grams:g} g is below zero; give the grams in 100 g of water")
    bench = Bench(celsius, held.allowances["celsius_uncertainty"])
    recipe = recipe_made(liquid, grams, bench, strength_of(strength_percent))
    return Measured(recipe.density_g_cm3, recipe.uncertainty_g_cm3 if uncertainty is None else uncertainty)


def strength_of(percent: float | None) -> float | None:
    """A strength in percent as a mass fraction; raises BadInput outside 1 to 100."""
    if percent is None:
        return None
    if not 1.0 <= percent <= 100.0:
        raise output.BadInput(f"--strength {percent:g} is not between 1 and 100 percent by mass")
    return percent / 100.0


def possible_json(one: Possible) -> dict[str, Any]:
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
