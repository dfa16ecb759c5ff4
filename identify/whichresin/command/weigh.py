"""`whichresin weigh`: the density of a piece from weights, from the water it moves, or from float tests."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.belief.hypotheses import Belief
    from whichresin.knowledge.liquids import LiquidShelf
    from whichresin.knowledge.model import Model
    from whichresin.physics.propagation import Measured

_USUAL_CELSIUS = 23.0
_HEAVIEST_G = 1e6


def parser() -> argparse.ArgumentParser:
    """The options of the command."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin weigh",
        description="Density of a clean piece of plastic, with its uncertainty, and what it can be. Three ways: weigh "
        "it dry and hanging in a liquid (--dry, --wet); weigh it and read how much water it moves (--dry, --before, "
        "--after); or tell what it does in liquids of known density (--floats, --sinks, --hangs).",
        epilog="Grams, cm3, g/cm3 and degrees Celsius. Repeats are given one after the other: --dry 5.02 5.01 5.02. A "
        "piece that floats is weighed with a sinker: --wet is then both together, --sinker the sinker alone, both "
        "under the liquid.",
    )
    parser.add_argument("--dry", metavar="G", nargs="+", help="weight in air")
    parser.add_argument("--wet", metavar="G", nargs="+", help="weight hanging under the liquid, sinker included")
    parser.add_argument("--sinker", metavar="G", nargs="+", help="weight of the sinker alone under the liquid")
    parser.add_argument("--before", metavar="CM3", help="level of the jar before the piece goes in")
    parser.add_argument("--after", metavar="CM3", help="level of the jar with the piece under")
    parser.add_argument("--mark", metavar="CM3", help="how far apart the marks of the jar are (usual: 1)")
    for result, text in (("floats", "it floats up in"), ("sinks", "it sinks in"), ("hangs", "it hangs still in")):
        parser.add_argument(
            f"--{result}", metavar="D", nargs="+", default=[], help=f"density of a liquid that {text}, or water"
        )
    parser.add_argument("--liquid", metavar="NAME", default="water", help="water, salt, sugar ..., or its density")
    parser.add_argument("--recipe", metavar="G", help="grams of the product in 100 g of water, with --liquid salt ...")
    parser.add_argument("--strength", metavar="PERCENT", help="strength of that product, percent by mass")
    parser.add_argument("--liquid-uncertainty", metavar="D", help="standard uncertainty of a liquid given as a density")
    parser.add_argument("--temperature", metavar="C", help=f"temperature of the liquid (usual: {_USUAL_CELSIUS:g})")
    parser.add_argument("--resolution", metavar="G", help="step of the scale; left out: read from the figures")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    way = _way(options)
    from whichresin.session.load import NoModel, load_model

    from .bench import shelf

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    held = shelf()
    try:
        document = {"weighed": _weighed, "displaced": _displaced, "floated": _floated}[way](options, held, model)
    except ValueError as error:  # the physics says in one sentence what cannot be
        raise output.BadInput(str(error).rstrip(".")) from None
    if options.json:
        output.say_json(document)
        return output.DONE
    from whichresin.terminal.lines import wants_attributes, write

    from .bench_text import columns, weighed_lines

    write(weighed_lines(document, columns()), sys.stdout, wants_attributes(sys.stdout))
    return output.DONE


def _way(options: argparse.Namespace) -> str:
    floated = bool(options.floats or options.sinks or options.hangs)
    displaced = options.before is not None or options.after is not None
    weighed = options.wet is not None or options.sinker is not None
    if floated + displaced + weighed > 1:
        raise output.BadInput("one way at a time: --wet, or --before and --after, or --floats, --sinks and --hangs")
    if floated:
        return "floated"
    if options.dry is None:
        raise output.BadInput("--dry is missing: weigh the dry piece in air, in grams")
    if displaced:
        if options.before is None or options.after is None:
            raise output.BadInput("--before and --after belong together: the level without and with the piece, in cm3")
        return "displaced"
    if options.wet is None:
        raise output.BadInput("--wet is missing: weigh the piece hanging under water, or use --before and --after")
    return "weighed"


def number(text: str, name: str, unit: str = "") -> float:
    """A figure from the command line. Raises BadInput for words, units stuck to it, a comma, nan or inf."""
    plain = text.strip()
    try:
        value = float(plain) if "_" not in plain else math.nan
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    from whichresin.vocabulary.text import shown

    wanted = f" in {unit}" if unit else ""
    hint = "write a decimal point" if "," in plain else "give the bare figure, such as 5.02"
    raise output.BadInput(f"{name} {shown(text)} is not a number{wanted}; {hint}")


def _grams(texts: Sequence[str] | None, name: str) -> list[float]:
    values = [number(text, name, "grams") for text in texts or ()]
    for value in values:
        if value > _HEAVIEST_G:
            raise output.BadInput(f"{name} {value:g} g is beyond any bench scale; give grams")
    return values


def _step(options: argparse.Namespace, texts: Sequence[str]) -> tuple[float, bool]:
    """The step of the scale, and whether it was only read from the figures."""
    from whichresin.session.measured import scale_step

    if options.resolution is not None:
        step = number(options.resolution, "--resolution", "grams")
        if not 0.0 < step <= 100.0:
            raise output.BadInput(f"--resolution {step:g} g is not a scale's step; use 0.01 if it shows 0.01 g")
        return step, False
    return scale_step(texts), True


def _celsius(options: argparse.Namespace) -> float:
    if options.temperature is None:
        return _USUAL_CELSIUS
    return number(options.temperature, "--temperature", "degrees Celsius")


def _liquid(options: argparse.Namespace, held: LiquidShelf) -> Measured:
    from .bench import liquid_measured

    return liquid_measured(
        held,
        options.liquid,
        _celsius(options),
        None if options.recipe is None else number(options.recipe, "--recipe", "grams"),
        None if options.strength is None else number(options.strength, "--strength", "percent"),
        None if options.liquid_uncertainty is None else number(options.liquid_uncertainty, "--liquid-uncertainty"),
    )


def _weighed(options: argparse.Namespace, held: LiquidShelf, model: Model) -> dict[str, Any]:
    from whichresin.physics.propagation import Measured
    from whichresin.physics.weighing import AIR_G_CM3, Doubts, smallest_mass, weigh
    from whichresin.session.measured import belief_of_density, outside_known

    dry, wet, sinker = (_grams(getattr(options, name), f"--{name}") for name in ("dry", "wet", "sinker"))
    step, guessed = _step(options, [*options.dry, *options.wet, *(options.sinker or ())])
    liquid = _liquid(options, held)
    doubts = Doubts(held.allowances["bubble_mm3"], held.allowances["thread_g"])
    found = weigh(dry, wet, liquid, step, sinker or None, doubts)
    enough = held.allowances["enough_g_cm3"]
    smallest = smallest_mass(found.density_g_cm3, liquid, step, enough, doubts)
    density = Measured(found.density_g_cm3, found.uncertainty_g_cm3)
    belief = belief_of_density(model, density)
    wanted = ["bubbles", "coating", outside_known(model, density)]
    if found.uncertainty_g_cm3 > enough:
        wanted.append("liquid-limits" if smallest is None else "small")
    numbers = {
        "bubble": found.parts_g_cm3["bubble"],
        "uncertainty": found.uncertainty_g_cm3,
        "smallest": smallest or 0.0,
        "enough": enough,
    }
    return {
        **_document(held, model, belief, density, liquid, numbers, wanted, _notes(options, step, guessed)),
        "method": "immersion, ISO 1183-1 method A and ASTM D792",
        "volume_cm3": round(found.volume_cm3, 5),
        "air_buoyancy": {"air_g_cm3": AIR_G_CM3, "correction_g_cm3": round(found.air_buoyancy_g_cm3, 6)},
        "smallest_mass_g": None if smallest is None else round(smallest, 3),
        "uncertainty_parts_g_cm3": {name: round(part, 6) for name, part in found.parts_g_cm3.items()},
    }


def _displaced(options: argparse.Namespace, held: LiquidShelf, model: Model) -> dict[str, Any]:
    from whichresin.physics.displacement import displaced_density
    from whichresin.physics.propagation import Measured
    from whichresin.physics.weighing import AIR_G_CM3, reading
    from whichresin.session.measured import belief_of_density, outside_known

    dry = reading(_grams(options.dry, "--dry"), (step := _step(options, options.dry))[0])
    before, after = (number(getattr(options, name), f"--{name}", "cm3") for name in ("before", "after"))
    mark = 1.0 if options.mark is None else number(options.mark, "--mark", "cm3")
    liquid = _liquid(options, held)
    found = displaced_density(dry, before, after, mark, held.allowances["volume_reading_share"])
    density = Measured(found.value, found.uncertainty)
    belief = belief_of_density(model, density)
    enough = held.allowances["enough_g_cm3"]
    level = (found.parts["before"] ** 2 + found.parts["after"] ** 2) ** 0.5
    # The doubt falls with the piece: as many times more weight as the doubt is too great.
    smallest = dry.value * found.uncertainty / enough
    bubble = held.allowances["bubble_mm3"] / 1000.0 * density.value / (after - before)
    wanted = ["bubbles", "coating", outside_known(model, density)]
    if found.uncertainty > enough:
        wanted.append("small")
    numbers = {"bubble": bubble, "uncertainty": found.uncertainty, "smallest": smallest, "enough": enough}
    return {
        **_document(held, model, belief, density, liquid, numbers, wanted, _notes(options, *step)),
        "method": "volume of water moved aside",
        "volume_cm3": round(after - before, 5),
        "air_buoyancy": {"air_g_cm3": AIR_G_CM3, "correction_g_cm3": AIR_G_CM3},
        "smallest_mass_g": round(smallest, 3),
        "uncertainty_parts_g_cm3": {"mass": round(found.parts["mass"], 6), "levels": round(level, 6)},
    }


def _floated(options: argparse.Namespace, held: LiquidShelf, model: Model) -> dict[str, Any]:
    from whichresin.physics.floating import Float, density_between
    from whichresin.session.measured import belief_of_floats, outside_known

    from .bench import liquid_measured

    doubt = None
    if options.liquid_uncertainty is not None:
        doubt = number(options.liquid_uncertainty, "--liquid-uncertainty")
    results = [
        Float(liquid_measured(held, text, _celsius(options), None, None, doubt), result)
        for result in ("floats", "sinks", "hangs")
        for text in getattr(options, result)
    ]
    between = density_between(results, model.observer.neutral_within_g_cm3)
    belief = belief_of_floats(model, [(one.liquid_g_cm3, one.result) for one in results])
    density = between.density
    wanted = ["coating", outside_known(model, density) if density else ""]
    notes = ["Push the wetted piece under with a drop of washing-up liquid and rub off bubbles before you look."]
    document = _document(held, model, belief, density, None, {}, wanted, notes)
    return {
        **document,
        "method": "float tests in liquids of known density",
        "low_g_cm3": None if between.low is None else round(between.low, 4),
        "high_g_cm3": None if between.high is None else round(between.high, 4),
    }


def _notes(options: argparse.Namespace, step: float, guessed: bool) -> list[str]:
    notes = []
    if guessed:
        notes.append(f"The scale's step was read from the figures as {step:g} g; say --resolution if it is another.")
    if options.temperature is None:
        notes.append(f"The liquid was taken to be at {_USUAL_CELSIUS:g} C; measure it and say --temperature.")
    return notes


def _document(
    held: LiquidShelf,
    model: Model,
    belief: Belief,
    density: Measured | None,
    liquid: Measured | None,
    numbers: dict[str, float],
    wanted: Sequence[str],
    notes: Sequence[str],
) -> dict[str, Any]:
    from whichresin.session.measured import possible_materials, warnings_for

    from .bench import possible_json

    possible = possible_materials(model, belief, density)
    if any(one.fillers for one in possible):
        wanted = [*wanted, "retardant", "voids"]
    return {
        "schema": 1,
        "density_g_cm3": None if density is None else round(density.value, 5),
        "uncertainty_g_cm3": None if density is None else round(density.uncertainty, 5),
        "liquid_density_g_cm3": None if liquid is None else round(liquid.value, 6),
        "liquid_uncertainty_g_cm3": None if liquid is None else round(liquid.uncertainty, 6),
        "warnings": [*warnings_for(held, model, belief, numbers, wanted), *notes],
        "polymers": [possible_json(one) for one in possible],
        "none_of_these": round(belief.compounds[-1], 6),
    }
