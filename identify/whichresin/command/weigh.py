"""`whichresin weigh`: the density of a piece from weights, from the water it moves, or from float tests."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from . import output
from .bench import draw
from .bench import number as number

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.liquids import LiquidShelf
    from whichresin.knowledge.model import Model
    from whichresin.physics.propagation import Measured
    from whichresin.session.weighing import Scale

    from .options import Options

_USUAL_CELSIUS = 23.0
_HEAVIEST_G = 1e6


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
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
    parser.add_argument("--picture", metavar="FILE.svg", help="also draw the density among what it can be")
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
    from whichresin.session.density_picture import of_weighing

    picture = of_weighing(model, document)
    if options.picture:
        draw(options.picture, picture, "What weighs that")
    if options.json:
        output.say_json(document)
        return output.DONE
    from whichresin.terminal.density_lines import density_lines
    from whichresin.terminal.lines import Line, wants_attributes, write

    from .bench_text import columns, weighed_lines

    lines = [*weighed_lines(document, columns()), Line(""), *density_lines(picture, columns())]
    write(lines, sys.stdout, wants_attributes(sys.stdout))
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


def _grams(texts: Sequence[str] | None, name: str) -> list[float]:
    values = [number(text, name, "grams") for text in texts or ()]
    for value in values:
        if value > _HEAVIEST_G:
            raise output.BadInput(f"{name} {value:g} g is beyond any bench scale; give grams")
    return values


def _scale(options: argparse.Namespace, texts: Sequence[str]) -> Scale:
    """The scale by its step, read from the figures where it is not said."""
    from whichresin.session.measured import scale_step
    from whichresin.session.weighing import Scale

    if options.resolution is not None:
        step = number(options.resolution, "--resolution", "grams")
        if not 0.0 < step <= 100.0:
            raise output.BadInput(f"--resolution {step:g} g is not a scale's step; use 0.01 if it shows 0.01 g")
        return Scale(step)
    return Scale(scale_step(texts), guessed=True)


def _celsius(options: argparse.Namespace) -> float:
    if options.temperature is None:
        return _USUAL_CELSIUS
    return number(options.temperature, "--temperature", "degrees Celsius")


def _liquid(options: argparse.Namespace, held: LiquidShelf) -> Measured:
    from whichresin.session.bench import liquid_measured

    return liquid_measured(
        held,
        options.liquid,
        _celsius(options),
        None if options.recipe is None else number(options.recipe, "--recipe", "grams"),
        None if options.strength is None else number(options.strength, "--strength", "percent"),
        None if options.liquid_uncertainty is None else number(options.liquid_uncertainty, "--liquid-uncertainty"),
    )


def _weighed(options: argparse.Namespace, held: LiquidShelf, model: Model) -> dict[str, Any]:
    from whichresin.session.weighing import Readings, weighed_document

    dry, wet, sinker = (_grams(getattr(options, name), f"--{name}") for name in ("dry", "wet", "sinker"))
    scale = _scale(options, [*options.dry, *options.wet, *(options.sinker or ())])
    readings = Readings(dry, wet, sinker)
    return weighed_document(model, held, readings, scale, _liquid(options, held), _notes(options))


def _displaced(options: argparse.Namespace, held: LiquidShelf, model: Model) -> dict[str, Any]:
    from whichresin.session.weighing import Levels, displaced_document

    before, after = (number(getattr(options, name), f"--{name}", "cm3") for name in ("before", "after"))
    mark = 1.0 if options.mark is None else number(options.mark, "--mark", "cm3")
    dry, scale = _grams(options.dry, "--dry"), _scale(options, options.dry)
    return displaced_document(model, held, dry, Levels(before, after, mark), scale, _liquid(options, held))


def _floated(options: argparse.Namespace, held: LiquidShelf, model: Model) -> dict[str, Any]:
    from whichresin.physics.floating import Float
    from whichresin.session.bench import liquid_measured
    from whichresin.session.weighing import floated_document

    doubt = None
    if options.liquid_uncertainty is not None:
        doubt = number(options.liquid_uncertainty, "--liquid-uncertainty")
    results = [
        Float(liquid_measured(held, text, _celsius(options), None, None, doubt), result)
        for result in ("floats", "sinks", "hangs")
        for text in getattr(options, result)
    ]
    return floated_document(model, held, results)


def _notes(options: argparse.Namespace) -> list[str]:
    if options.temperature is not None:
        return []
    return [f"The liquid was taken to be at {_USUAL_CELSIUS:g} C; measure it and say --temperature."]
