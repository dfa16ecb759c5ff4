"""Float liquids made to order: for a density, between two plastics, for a list; recipe, cautions, how to check it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whichresin.knowledge.liquids import LiquidShelf
from whichresin.knowledge.model import Model
from whichresin.physics.ladder import Material, Rung, below, best_between, ladder, split_at
from whichresin.physics.liquids import Bench, Liquid, reach, recipe_for, solution_density
from whichresin.physics.water import water_density

from .bench import (
    WATER,
    BenchError,
    as_material,
    cautions_of,
    check_piece,
    liquid_named,
    named_compound,
    named_compounds,
    reaches,
)
from .measured import water_measured
from .result import Warned

_HOW_WATER = "Tap water that has stood until it has the room's temperature."
_DETERGENT = "One drop of washing-up liquid against clinging bubbles. Push the chip under, rub it, wait ten seconds."
_WATER_CAUTIONS = ("float-liquids",)
_CUP_G = 200.0
_RIGHT = 0.98  # a liquid that is right as often as this is as good as the best one, and the safer is taken
_CLEAR = 0.95
_SURE = 0.95


@dataclass(frozen=True, slots=True)
class MadeLiquid:
    """One liquid: how to make it, what it then weighs and how surely, what to mind."""

    solute: str  # id of a liquid, or "water"
    name: str
    grams_per_100_g_water: float
    mass_percent: float
    strength_percent: float | None  # of the product as bought
    celsius: float
    density_g_cm3: float
    uncertainty_g_cm3: float  # standard
    parts_g_cm3: Mapping[str, float]  # what each doubt adds, in squares
    range_g_cm3: tuple[float, float]  # what this solute reaches at this temperature
    how: tuple[str, ...]
    cautions: tuple[Warned, ...]
    source: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The liquid as an object."""
        return {
            "solute": self.solute,
            "solute_name": self.name,
            "grams_per_100_g_water": round(self.grams_per_100_g_water, 3),
            "mass_percent": round(self.mass_percent, 3),
            "strength_percent": None if self.strength_percent is None else round(self.strength_percent, 2),
            "temperature_c": self.celsius,
            "density_g_cm3": round(self.density_g_cm3, 5),
            "uncertainty_g_cm3": round(self.uncertainty_g_cm3, 5),
            "uncertainty_parts_g_cm3": {name: round(part, 6) for name, part in self.parts_g_cm3.items()},
            "range_g_cm3": [round(end, 4) for end in self.range_g_cm3],
            "how": list(self.how),
            "cautions": [caution.as_json() for caution in self.cautions],
            "source": list(self.source),
        }


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person asks of a liquid: a solute by name ("" for the safest), and its strength as bought."""

    solute: str = ""
    strength: float | None = None  # mass fraction

    @property
    def named(self) -> str:
        """The solute's id as written, in lower case."""
        return self.solute.strip().lower()


def made_liquid(model: Model, shelf: LiquidShelf, density_g_cm3: float, bench: Bench, wish: Wish) -> MadeLiquid:
    """The liquid of this density, of the solute wished for or the first on the shelf that reaches it.

    Raises ValueError with one sentence when it cannot be made.
    """
    liquid = _solute(shelf, density_g_cm3, bench, wish)
    how = [_DETERGENT]
    piece = check_piece(model, density_g_cm3)
    if piece is not None:
        how.append(
            f"Check it with a piece of known density: unfilled {piece.symbol} is about {piece.density_g_cm3:.3f} and "
            f"{'floats' if piece.density_g_cm3 < density_g_cm3 else 'sinks'}; or weigh 100 cm3 of it, which is "
            f"{100.0 * density_g_cm3:.1f} g."
        )
    if liquid is None:
        water = water_measured(shelf, bench.celsius, bench.celsius_uncertainty)
        cautions, ends = cautions_of(model, _WATER_CAUTIONS), (water.value, water.value)
        told = (_HOW_WATER, *how)
        return MadeLiquid(WATER, WATER, 0.0, 0.0, None, bench.celsius, *water, {}, ends, told, cautions, ())
    recipe = recipe_for(liquid, density_g_cm3, bench, wish.strength)
    how.insert(0, _for_a_cup(liquid.name, recipe.grams_per_100_g_water))
    return MadeLiquid(
        liquid.id,
        liquid.name,
        recipe.grams_per_100_g_water,
        100.0 * recipe.mass_fraction,
        100.0 * (wish.strength or liquid.strength),
        bench.celsius,
        recipe.density_g_cm3,
        recipe.uncertainty_g_cm3,
        recipe.parts_g_cm3,
        reach(liquid, bench.celsius),
        (liquid.advice, *how),
        cautions_of(model, liquid.cautions),
        liquid.source,
    )


def _for_a_cup(name: str, grams_per_100_g_water: float) -> str:
    """The recipe for a cup: a strong one takes little water."""
    water = _CUP_G * 100.0 / (100.0 + grams_per_100_g_water)
    return f"For a cup of {_CUP_G:g} g: {_CUP_G - water:.1f} g of {name} and {water:.1f} g of water."


def _solute(shelf: LiquidShelf, density: float, bench: Bench, wish: Wish) -> Liquid | None:
    """The liquid asked for, or the first that reaches the density; None when plain water is that density."""
    if wish.named and wish.named != WATER:
        return liquid_named(shelf, wish.solute)
    water = water_measured(shelf, bench.celsius, bench.celsius_uncertainty)
    if wish.named or abs(density - water.value) <= 2.0 * water.uncertainty:
        if abs(density - water.value) > 0.002:
            raise BenchError(f"plain water at {bench.celsius:g} C is {water.value:.4f} g/cm3, not {density:g}")
        return None
    ranges = reaches(shelf.liquids.values(), bench)
    for name, (low, high) in ranges.items():
        if low <= density <= high:
            return shelf.liquids[name]
    if not ranges:
        raise BenchError(f"no liquid is known at {bench.celsius:g} C: bring bench and liquids to about 20 C")
    lowest, highest = min(low for low, _ in ranges.values()), max(high for _, high in ranges.values())
    raise BenchError(
        f"{density:g} g/cm3 is out of reach at {bench.celsius:g} C: the liquids known here go from {lowest:.3f} to "
        f"{highest:.3f} g/cm3; weigh the piece instead (whichresin weigh)"
    )


def document(made: MadeLiquid, separates: Mapping[str, Any]) -> dict[str, Any]:
    """The contract's document for one liquid and what it tells apart."""
    return {"schema": 1, **made.as_json(), "separates": dict(separates)}


def for_density(model: Model, shelf: LiquidShelf, density: float, bench: Bench, wish: Wish) -> dict[str, Any]:
    """The liquid of a density, and which unfilled plastics float and sink in it."""
    if not 0.6 <= density <= 2.5:
        raise BenchError(f"--density {density:g} is outside 0.6 to 2.5 g/cm3; give g/cm3, such as 1.10")
    made = made_liquid(model, shelf, density, bench, wish)
    found = sides(model, made.density_g_cm3, made.uncertainty_g_cm3)
    note = "Unfilled plastics, at least 95 in 100 pieces; filler makes any of them heavier, foam lighter."
    return document(made, {**{name: list(members) for name, members in found.items()}, "note": note})


def sides(
    model: Model, density_g_cm3: float, uncertainty_g_cm3: float, sure: float = _SURE
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


def between(
    model: Model, shelf: LiquidShelf, names: tuple[str, str], bench: Bench, wish: Wish
) -> dict[str, Any]:
    """The liquid between two plastics, and how often it is right about them."""
    one, other = (named_compound(model, name) for name in names)
    if one.id == other.id:
        raise BenchError(f"{one.id} twice: name two different plastics")
    typical = model.observer.liquid_uncertainty_g_cm3
    light, heavy = sorted((one, other), key=lambda c: c.density_g_cm3)
    pair = (as_material(light), as_material(heavy))
    best = best_between(*pair, typical).density_g_cm3
    made = made_liquid(model, shelf, _safest(shelf, best, pair, bench, wish, typical), bench, wish)
    split = split_at(made.density_g_cm3, *pair, made.uncertainty_g_cm3)
    clear = split.right >= _CLEAR
    note = (
        "A clear answer; still one test, not a verdict."
        if clear
        else f"{light.id} ({light.density_g_cm3:.3f}) and {heavy.id} ({heavy.density_g_cm3:.3f} g/cm3) weigh too much "
        "alike for a float test to settle it: use another test, or weigh the piece."
    )
    return document(
        made,
        {
            "floats": [light.id],
            "sinks": [heavy.id],
            "lighter_floats": round(split.lighter_floats, 4),
            "heavier_sinks": round(split.heavier_sinks, 4),
            "right": round(split.right, 4),
            "clear": clear,
            "note": note,
        },
    )


def _safest(
    shelf: LiquidShelf, best: float, pair: tuple[Material, Material], bench: Bench, wish: Wish, doubt: float
) -> float:
    """The density to make: that of plain water, or within reach of the first liquid, if it is right often enough.

    Otherwise the best one, even where it needs an alcohol or is out of reach.
    """
    water = water_measured(shelf, bench.celsius, bench.celsius_uncertainty).value
    places = [water] if wish.named in ("", WATER) else []
    liquids = [] if wish.named else list(shelf.liquids.values())
    if wish.named not in ("", WATER):
        liquids = [liquid_named(shelf, wish.solute)]
    for low, high in reaches(liquids, bench).values():
        room = 0.002 + 0.02 * (high - low)  # not to the last gram that dissolves
        places.append(min(max(best, low + room), high - room))
    if wish.named:
        return places[0] if places else best
    return next((place for place in places if split_at(place, *pair, doubt).right >= _RIGHT), best)


def fewest(model: Model, shelf: LiquidShelf, names: Sequence[str], bench: Bench, wish: Wish) -> dict[str, Any]:
    """The fewest liquids that tell a list of plastics apart, and the pairs that no liquid does.

    Each liquid keeps twice its usual doubt from every range that it must part, and says between which densities
    and at which temperatures it still does.
    """
    materials = [as_material(compound) for compound in named_compounds(model, names)]
    water = water_measured(shelf, bench.celsius, bench.celsius_uncertainty)
    wanted = [] if wish.named else list(shelf.liquids.values())
    if wish.named not in ("", WATER):
        wanted = [liquid_named(shelf, wish.solute)]
    prefer = (water.value,) if wish.named in ("", WATER) else ()
    ranges = tuple(reaches(wanted, bench).values()) or ((water.value, water.value),)
    found = ladder(materials, 2.0 * model.observer.liquid_uncertainty_g_cm3, prefer, ranges)
    liquids: list[dict[str, Any]] = []
    cautions: dict[str, Warned] = {}
    for rung in found.rungs:
        made = made_liquid(model, shelf, rung.density_g_cm3, bench, wish)
        cautions |= {caution.id: caution for caution in made.cautions}
        one = made.as_json()
        del one["how"], one["cautions"]
        chances = {m.name: below(made.density_g_cm3, m, made.uncertainty_g_cm3) for m in materials}
        one["floats"] = [name for name, chance in chances.items() if chance >= _SURE]
        one["sinks"] = [name for name, chance in chances.items() if chance <= 1.0 - _SURE]
        one["room_g_cm3"] = [round(rung.low_g_cm3, 4), round(rung.high_g_cm3, 4)]
        one["holds_c"] = list(_holds(shelf, made, rung))
        liquids.append(one)
    order = ("danger", "warning", "care")
    return {
        "schema": 1,
        "temperature_c": bench.celsius,
        "liquids": liquids,
        "not_separated": [list(pair) for pair in found.not_separated],
        "out_of_reach": [list(pair) for pair in found.out_of_reach],
        "cautions": [c.as_json() for c in sorted(cautions.values(), key=lambda c: order.index(c.level))],
    }


def _holds(shelf: LiquidShelf, made: MadeLiquid, rung: Rung) -> tuple[int, int]:
    """The whole degrees between which this liquid, made as it is, stays in the room of its rung."""
    liquid = shelf.liquids.get(made.solute)
    low, high = (5.0, 35.0) if liquid is None else (liquid.celsius_low, liquid.celsius_high)

    def inside(celsius: int) -> bool:
        if not low <= celsius <= high:
            return False
        density = (
            water_density(celsius) if liquid is None else solution_density(liquid, made.mass_percent / 100.0, celsius)
        )
        return rung.low_g_cm3 - 1e-9 <= density <= rung.high_g_cm3 + 1e-9

    at = round(made.celsius)
    coldest = warmest = at
    while inside(coldest - 1):
        coldest -= 1
    while inside(warmest + 1):
        warmest += 1
    return coldest, warmest
