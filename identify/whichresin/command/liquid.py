"""`whichresin liquid`: a float liquid for a density, between two plastics, for a list, or for an interview."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.liquids import LiquidShelf
    from whichresin.knowledge.model import Model
    from whichresin.physics.ladder import Material
    from whichresin.physics.liquids import Bench, Liquid, Recipe

_WATER = "water"
_HOW_WATER = "Tap water that has stood until it has the room's temperature."
_DETERGENT = "One drop of washing-up liquid against clinging bubbles. Push the chip under, rub it, wait ten seconds."
_USUAL_CELSIUS = 23.0
_RIGHT = 0.98  # a liquid that is right as often as this is as good as the best one, and the safer is taken


def parser() -> argparse.ArgumentParser:
    """The options of the command."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin liquid",
        description="Make a liquid in which one plastic floats and another sinks: grams of salt, sugar, glycerol or "
        "alcohol in 100 g of water, with the cautions that belong to it.",
        epilog="Plastics by symbol: PP, PA66, PP-TD20. --answers takes the file of 'whichresin interview --answers' "
        "and proposes the liquid that tells most about that part now.",
    )
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--density", metavar="D", help="the density wanted, g/cm3")
    what.add_argument("--split", metavar=("A", "B"), nargs=2, help="two plastics to tell apart")
    what.add_argument("--ladder", metavar="A", nargs="+", help="plastics to tell apart with as few liquids as can be")
    what.add_argument("--answers", metavar="FILE", help="the liquid that tells most about the part of these answers")
    parser.add_argument("--with", metavar="NAME", dest="solute", help="salt, sugar, glycerol, ethanol or isopropanol")
    parser.add_argument("--strength", metavar="PERCENT", help="strength of the product bought, percent by mass")
    parser.add_argument("--temperature", metavar="C", help=f"bench temperature (usual: {_USUAL_CELSIUS:g})")
    parser.add_argument("--resolution", metavar="G", help="step of the scale (usual: 1)")
    parser.add_argument("--water", metavar="G", help="how much water is taken (usual: 300)")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when no liquid helps."""
    options = parser().parse_args(args)
    from whichresin.session.load import NoModel, load_model

    from .bench import shelf

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    held = shelf()
    bench = _bench(options, held)
    try:
        if options.ladder:
            document = _ladder(options, held, model, bench)
        elif options.split:
            document = _split(options, held, model, bench)
        elif options.answers:
            document = _designed(options, held, model, bench)
        else:
            document = _for_density(options, held, model, bench)
    except ValueError as error:  # the physics says in one sentence what cannot be
        raise output.BadInput(str(error).rstrip(".")) from None
    _show(document, options.json)
    return output.NEGATIVE if document.get("density_g_cm3", 0.0) is None else output.DONE


def _show(document: dict[str, Any], as_json: bool) -> None:
    if as_json:
        output.say_json(document)
        return
    from whichresin.terminal.lines import wants_attributes, wrap, write

    from .bench_text import columns, ladder_lines, liquid_lines

    if "liquids" in document:
        lines = ladder_lines(document, columns())
    elif document["density_g_cm3"] is None:
        lines = wrap(document["separates"]["note"], columns())
    else:
        lines = liquid_lines(document, columns())
    write(lines, sys.stdout, wants_attributes(sys.stdout))


def _bench(options: argparse.Namespace, held: LiquidShelf) -> Bench:
    from whichresin.physics.liquids import Bench

    from .weigh import number

    celsius = _USUAL_CELSIUS if options.temperature is None else number(options.temperature, "--temperature")
    step = 1.0 if options.resolution is None else number(options.resolution, "--resolution", "grams")
    water = 300.0 if options.water is None else number(options.water, "--water", "grams")
    if not 0.0 < step <= 100.0:
        raise output.BadInput(f"--resolution {step:g} g is not a scale's step; use 1 for a kitchen scale")
    if not 10.0 <= water <= 100_000.0:
        raise output.BadInput(f"--water {water:g} g is not between 10 and 100000 g; take about 300")
    return Bench(celsius, held.allowances["celsius_uncertainty"], step, water)


def _strength(options: argparse.Namespace) -> float | None:
    from .bench import strength_of
    from .weigh import number

    return strength_of(None if options.strength is None else number(options.strength, "--strength", "percent"))


def _solute(options: argparse.Namespace, held: LiquidShelf, density: float, bench: Bench) -> Liquid | None:
    """The liquid asked for, or the first that reaches the density; None when plain water is that density."""
    from whichresin.session.measured import water_measured

    from .bench import liquid_named

    if options.solute is not None and options.solute.strip().lower() != _WATER:
        return liquid_named(held, options.solute)
    water = water_measured(held, bench.celsius, bench.celsius_uncertainty)
    if options.solute is not None or abs(density - water.value) <= 2.0 * water.uncertainty:
        if abs(density - water.value) > 0.002:
            raise ValueError(f"plain water at {bench.celsius:g} C is {water.value:.4f} g/cm3, not {density:g}")
        return None
    ranges = _reaches(held.liquids.values(), bench)
    for name, (low, high) in ranges.items():
        if low <= density <= high:
            return held.liquids[name]
    if not ranges:
        raise ValueError(f"no liquid is known at {bench.celsius:g} C: bring bench and liquids to about 20 C")
    lowest, highest = min(low for low, _ in ranges.values()), max(high for _, high in ranges.values())
    raise ValueError(
        f"{density:g} g/cm3 is out of reach at {bench.celsius:g} C: the liquids known here go from {lowest:.3f} to "
        f"{highest:.3f} g/cm3; weigh the piece instead (whichresin weigh)"
    )


def _document(
    options: argparse.Namespace, held: LiquidShelf, model: Model, density: float, bench: Bench
) -> dict[str, Any]:
    """The contract's document for one liquid."""
    from whichresin.physics.liquids import reach, recipe_for
    from whichresin.session.designed import check_piece
    from whichresin.session.measured import water_measured

    liquid = _solute(options, held, density, bench)
    how = [_DETERGENT]
    piece = check_piece(model, density)
    if piece is not None:
        how.append(
            f"Check it with a piece of known density: unfilled {piece.symbol} is about {piece.density_g_cm3:.3f} and "
            f"{'floats' if piece.density_g_cm3 < density else 'sinks'}; or weigh 100 cm3 of it, which is "
            f"{100.0 * density:.1f} g."
        )
    if liquid is None:
        water = water_measured(held, bench.celsius, bench.celsius_uncertainty)
        cautions = _cautions(model, ("float-liquids",))
        recipe: Recipe | None = None
        value, doubt = water.value, water.uncertainty
        low = high = water.value
        how.insert(0, _HOW_WATER)
    else:
        recipe = recipe_for(liquid, density, bench, _strength(options))
        value, doubt = recipe.density_g_cm3, recipe.uncertainty_g_cm3
        low, high = reach(liquid, bench.celsius)
        cautions = _cautions(model, liquid.cautions)
        how.insert(0, liquid.advice)
    return {
        "schema": 1,
        "solute": _WATER if liquid is None else liquid.id,
        "solute_name": "water" if liquid is None else liquid.name,
        "grams_per_100_g_water": 0.0 if recipe is None else round(recipe.grams_per_100_g_water, 3),
        "mass_percent": 0.0 if recipe is None else round(100.0 * recipe.mass_fraction, 3),
        "strength_percent": None if liquid is None else round(100.0 * (_strength(options) or liquid.strength), 2),
        "temperature_c": bench.celsius,
        "density_g_cm3": round(value, 5),
        "uncertainty_g_cm3": round(doubt, 5),
        "uncertainty_parts_g_cm3": {} if recipe is None else {k: round(v, 6) for k, v in recipe.parts_g_cm3.items()},
        "range_g_cm3": [round(low, 4), round(high, 4)],
        "separates": {},
        "how": how,
        "cautions": cautions,
        "source": [] if liquid is None else list(liquid.source),
    }


def _cautions(model: Model, ids: Sequence[str]) -> list[dict[str, str]]:
    """The cautions of these ids, the most dangerous first."""
    order = ("danger", "warning", "care")
    known = [model.cautions[name] for name in dict.fromkeys(ids) if name in model.cautions]
    known.sort(key=lambda caution: order.index(caution.level))
    return [{"id": one.id, "level": one.level, "text": one.text} for one in known]


def _for_density(options: argparse.Namespace, held: LiquidShelf, model: Model, bench: Bench) -> dict[str, Any]:
    from whichresin.session.designed import sides

    from .weigh import number

    density = number(options.density, "--density", "g/cm3")
    if not 0.6 <= density <= 2.5:
        raise output.BadInput(f"--density {density:g} is outside 0.6 to 2.5 g/cm3; give g/cm3, such as 1.10")
    document = _document(options, held, model, density, bench)
    found = sides(model, document["density_g_cm3"], document["uncertainty_g_cm3"])
    note = "Unfilled plastics, at least 95 in 100 pieces; filler makes any of them heavier, foam lighter."
    document["separates"] = {**{name: list(members) for name, members in found.items()}, "note": note}
    return document


def _split(options: argparse.Namespace, held: LiquidShelf, model: Model, bench: Bench) -> dict[str, Any]:
    from whichresin.physics.ladder import best_between, split_at
    from whichresin.session.designed import as_material, named_compound

    one, other = (named_compound(model, name) for name in options.split)
    if one.id == other.id:
        raise ValueError(f"{one.id} twice: name two different plastics")
    typical = model.observer.liquid_uncertainty_g_cm3
    light, heavy = sorted((one, other), key=lambda c: c.density_g_cm3)
    best = best_between(as_material(one), as_material(other), typical).density_g_cm3
    density = _safest(options, held, best, (as_material(light), as_material(heavy)), bench, typical)
    document = _document(options, held, model, density, bench)
    doubt = document["uncertainty_g_cm3"]
    split = split_at(document["density_g_cm3"], as_material(light), as_material(heavy), doubt)
    clear = split.right >= 0.95
    note = (
        "A clear answer; still one test, not a verdict."
        if clear
        else f"{light.id} ({light.density_g_cm3:.3f}) and {heavy.id} ({heavy.density_g_cm3:.3f} g/cm3) weigh too much "
        "alike for a float test to settle it: use another test, or weigh the piece."
    )
    document["separates"] = {
        "floats": [light.id],
        "sinks": [heavy.id],
        "lighter_floats": round(split.lighter_floats, 4),
        "heavier_sinks": round(split.heavier_sinks, 4),
        "right": round(split.right, 4),
        "clear": clear,
        "note": note,
    }
    return document


def _safest(
    options: argparse.Namespace,
    held: LiquidShelf,
    best: float,
    pair: tuple[Material, Material],
    bench: Bench,
    doubt: float,
) -> float:
    """The density to make: that of plain water, or within reach of the first liquid, if it is right often enough.

    Otherwise the best one, even where it needs an alcohol or is out of reach.
    """
    from whichresin.physics.ladder import split_at
    from whichresin.session.measured import water_measured

    from .bench import liquid_named

    wanted = (options.solute or "").strip().lower()
    water = water_measured(held, bench.celsius, bench.celsius_uncertainty).value
    places = [water] if wanted in ("", _WATER) else []
    liquids = held.liquids.values() if not wanted else () if wanted == _WATER else (liquid_named(held, wanted),)
    for low, high in _reaches(liquids, bench).values():
        room = 0.002 + 0.02 * (high - low)  # not to the last gram that dissolves
        places.append(min(max(best, low + room), high - room))
    if wanted:
        return places[0] if places else best
    return next((place for place in places if split_at(place, *pair, doubt).right >= _RIGHT), best)


def _reaches(liquids: Iterable[Liquid], bench: Bench) -> dict[str, tuple[float, float]]:
    """What each liquid reaches at the bench's temperature; those that are not known there are left out."""
    from whichresin.physics.liquids import reach

    known = [liquid for liquid in liquids if liquid.celsius_low <= bench.celsius <= liquid.celsius_high]
    return {liquid.id: reach(liquid, bench.celsius) for liquid in known}


def _designed(options: argparse.Namespace, held: LiquidShelf, model: Model, bench: Bench) -> dict[str, Any]:
    from whichresin.session.answers import BadAnswers, answers_from_bytes, read_answers
    from whichresin.session.designed import cost_of_float, design_for

    from .bench import liquid_named

    try:
        if options.answers == "-":
            state = answers_from_bytes(model, sys.stdin.buffer.read((1 << 20) + 1), "standard input").state
        else:
            state = read_answers(model, options.answers).state
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None
    wanted = (options.solute or "").strip().lower()
    only = () if not wanted else ((_WATER,) if wanted == _WATER else (liquid_named(held, wanted).id,))
    found = design_for(model, state, held, bench, only)
    if found is None:
        note = "No float liquid tells anything more about this part: the answers leave nothing for it to settle."
        return {"schema": 1, "density_g_cm3": None, "separates": {"note": note}, "cautions": []}
    options.solute = found.liquid
    document = _document(options, held, model, found.density_g_cm3, bench)
    cost = cost_of_float(model, found.liquid) + found.effort
    worth = found.saves - cost
    low, high = found.as_good_g_cm3
    document["separates"] = {
        "answers": [
            {
                "result": answer.result,
                "probability": round(answer.probability, 6),
                "leader": model.cells[answer.leader].name if answer.leader in model.cells else answer.leader,
                "leader_probability": round(answer.leader_probability, 6),
            }
            for answer in found.answers
        ],
        "as_good_g_cm3": [round(low, 4), round(high, 4)],
        "loss_now_minutes": round(found.loss_now, 4),
        "loss_after_minutes": round(found.loss_after, 4),
        "saves_minutes": round(found.saves, 4),
        "costs_minutes": cost,
        "worth_minutes": round(worth, 4),
        "note": "" if worth > 0.0 else "It saves less than it costs: another question is likely to be better.",
    }
    return document


def _ladder(options: argparse.Namespace, held: LiquidShelf, model: Model, bench: Bench) -> dict[str, Any]:
    from whichresin.physics.ladder import below, ladder
    from whichresin.session.designed import as_material, named_compound
    from whichresin.session.measured import water_measured

    compounds = list({c.id: c for c in (named_compound(model, name) for name in options.ladder)}.values())
    if len(compounds) < 2:
        raise ValueError("name at least two different plastics")
    materials = [as_material(compound) for compound in compounds]
    water = water_measured(held, bench.celsius, bench.celsius_uncertainty)
    margin = 2.0 * model.observer.liquid_uncertainty_g_cm3
    found = ladder(materials, margin, (water.value,), tuple(_reaches(held.liquids.values(), bench).values()))
    liquids, cautions = [], []
    for density in found.densities_g_cm3:
        try:
            document = _document(options, held, model, density, bench)
        except ValueError as error:
            document = {"solute": None, "density_g_cm3": round(density, 5), "note": str(error)}
        doubt = document.get("uncertainty_g_cm3", model.observer.liquid_uncertainty_g_cm3)
        chances = {m.name: below(density, m, doubt) for m in materials}
        cautions += document.pop("cautions", [])
        for name in ("schema", "separates", "how"):
            document.pop(name, None)
        document["floats"] = [name for name, chance in chances.items() if chance >= 0.95]
        document["sinks"] = [name for name, chance in chances.items() if chance <= 0.05]
        liquids.append(document)
    return {
        "schema": 1,
        "temperature_c": bench.celsius,
        "liquids": liquids,
        "not_separated": [list(pair) for pair in found.not_separated],
        "cautions": list({caution["id"]: caution for caution in cautions}.values()),
    }
