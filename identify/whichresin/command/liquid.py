"""`whichresin liquid`: a float liquid for a density, between two plastics, for a list, or for an interview."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from . import output
from .bench import draw, number

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.liquids import LiquidShelf
    from whichresin.knowledge.model import Model
    from whichresin.physics.liquids import Bench
    from whichresin.session.density_picture import DensityPicture
    from whichresin.session.recipes import Wish

    from .options import Options

_USUAL_CELSIUS = 23.0


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
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
    parser.add_argument("--picture", metavar="FILE.svg", help="also draw the plastics and the liquids on one axis")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when no liquid helps."""
    options = parser().parse_args(args)
    from whichresin.session import recipes
    from whichresin.session.bench import strength_of
    from whichresin.session.load import NoModel, load_model

    from .bench import shelf

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    held = shelf()
    bench = _bench(options, held)
    strength = None if options.strength is None else number(options.strength, "--strength", "percent")
    try:
        wish = recipes.Wish(options.solute or "", strength_of(strength))
        document, picture = _made(options, held, model, bench, wish)
    except ValueError as error:  # the physics says in one sentence what cannot be
        raise output.BadInput(str(error).rstrip(".")) from None
    if options.picture:
        if picture is None:
            raise output.BadInput("--picture needs plastics to draw: use it with --split, --ladder or --answers")
        draw(options.picture, picture, "Plastics and liquids by density")
    _show(document, picture, options.json)
    return output.NEGATIVE if document.get("density_g_cm3", 0.0) is None else output.DONE


def _made(
    options: argparse.Namespace, held: LiquidShelf, model: Model, bench: Bench, wish: Wish
) -> tuple[dict[str, Any], DensityPicture | None]:
    """The document asked for, and the picture that belongs to it."""
    from whichresin.session import density_picture, recipes

    if options.ladder:
        document = recipes.fewest(model, held, options.ladder, bench, wish)
        return document, density_picture.of_ladder(model, options.ladder, document["liquids"])
    if options.split:
        document = recipes.between(model, held, tuple(options.split), bench, wish)
        return document, density_picture.of_ladder(model, options.split, [document])
    if options.answers:
        return _designed(options, held, model, bench, wish)
    density = number(options.density, "--density", "g/cm3")
    return recipes.for_density(model, held, density, bench, wish), None


def _show(document: dict[str, Any], picture: DensityPicture | None, as_json: bool) -> None:
    if as_json:
        output.say_json(document)
        return
    from whichresin.terminal.density_lines import density_lines
    from whichresin.terminal.lines import Line, wants_attributes, wrap, write

    from .bench_text import columns, ladder_lines, liquid_lines

    if "liquids" in document:
        lines = ladder_lines(document, columns())
    elif document["density_g_cm3"] is None:
        lines = wrap(document["separates"]["note"], columns())
    else:
        lines = liquid_lines(document, columns())
    if picture is not None:
        lines = [*lines, Line(""), *density_lines(picture, columns())]
    write(lines, sys.stdout, wants_attributes(sys.stdout))


def _bench(options: argparse.Namespace, held: LiquidShelf) -> Bench:
    from whichresin.physics.liquids import Bench

    celsius = _USUAL_CELSIUS if options.temperature is None else number(options.temperature, "--temperature")
    step = 1.0 if options.resolution is None else number(options.resolution, "--resolution", "grams")
    water = 300.0 if options.water is None else number(options.water, "--water", "grams")
    if not 0.0 < step <= 100.0:
        raise output.BadInput(f"--resolution {step:g} g is not a scale's step; use 1 for a kitchen scale")
    if not 10.0 <= water <= 100_000.0:
        raise output.BadInput(f"--water {water:g} g is not between 10 and 100000 g; take about 300")
    return Bench(celsius, held.allowances["celsius_uncertainty"], step, water)


def _designed(
    options: argparse.Namespace, held: LiquidShelf, model: Model, bench: Bench, wish: Wish
) -> tuple[dict[str, Any], DensityPicture]:
    from whichresin.session.answers import BadAnswers, answers_from_bytes, read_answers
    from whichresin.session.density_picture import of_interview
    from whichresin.session.designed import document_for
    from whichresin.session.interview import Interview

    try:
        if options.answers == "-":
            state = answers_from_bytes(model, sys.stdin.buffer.read((1 << 20) + 1), "standard input").state
        else:
            state = read_answers(model, options.answers).state
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None
    if options.temperature is None:
        bench = replace(bench, celsius=state.celsius)
    document = document_for(model, state, held, bench, wish)
    found = [document] if document["density_g_cm3"] is not None else []
    return document, of_interview(Interview(model, state), found)
