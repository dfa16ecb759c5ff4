"""Options of commands that reckon with the shop: its shelf, its temperature, the size of the damage, the day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.model import Model
    from whichresin.knowledge.problems import Problem
    from whichresin.repair.product_rules import ProductRules
    from whichresin.repair.shelf import Product
    from whichresin.session.answers import AnswersFile
    from whichresin.session.provisioned import Provisioned, Shop


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add --shelf, --celsius, --size and --today."""
    parser.add_argument(
        "--shelf",
        metavar="PATH",
        action="append",
        default=[],
        help="product files of the shop, or a folder of them (usual: the folder 'shelf' in the data folder, if any)",
    )
    parser.add_argument("--celsius", metavar="C", help="temperature of shop, part and products")
    parser.add_argument(
        "--size",
        metavar="SIZES",
        default="",
        help="in mm, such as length=150,width=0,thickness=3,sides=2; also margin, groove_width, patch, overlap, scarf",
    )
    parser.add_argument("--today", metavar="DATE", help="the day to judge expiry dates by (usual: today)")


def provide_plan(model: Model, told: AnswersFile, options: argparse.Namespace) -> Provisioned:
    """The plan with what the shop brings. Raises BadInput with one sentence."""
    from whichresin.repair.size import BadSize
    from whichresin.repair.words import BadWords
    from whichresin.session.provisioned import provisioned

    size = {**told.size, **sizes_of(options.size)}
    try:
        return provisioned(model, told.state, told.damage, told.context, size, _shop(model, told, options))
    except (BadWords, BadSize) as error:
        raise output.BadInput(str(error)) from None


def sizes_of(text: str) -> Mapping[str, float]:
    """Sizes written as key=figure, separated by commas. Raises BadInput."""
    from .weigh import number

    found = {}
    for part in filter(None, (one.strip() for one in text.split(","))):
        key, equals, figure = part.partition("=")
        if not equals:
            raise output.BadInput(f"--size {part!r} has no figure; write length=150,thickness=3")
        found[key.strip().replace("-", "_")] = number(figure, f"--size {key.strip()}", "mm")
    return found


def _shop(model: Model, told: AnswersFile, options: argparse.Namespace) -> Shop:
    from whichresin.repair.figures import BadFigures, load_figures
    from whichresin.repair.files import repair_file
    from whichresin.repair.fit import Bench
    from whichresin.session.provisioned import Shop

    from .shelf import celsius_of, day, product_rules

    rules = product_rules(options.knowledge)
    try:
        figures = load_figures(repair_file("figures.yaml", options.knowledge))
    except BadFigures as error:
        raise output.BadInput(str(error)) from None
    celsius = celsius_of(options.celsius)
    bench = Bench(day(options.today), told.celsius if celsius is None else celsius)
    return Shop(_products(model, rules, options.shelf), rules, figures, bench)


def _at(problem: Problem) -> str:
    return f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file


def _products(model: Model, rules: ProductRules, places: Sequence[str]) -> tuple[Product, ...]:
    from whichresin.repair.shelf import read_shelf
    from whichresin.session.journal import folder
    from whichresin.session.provisioned import products_of

    usual = folder() / "shelf"
    if not places and not usual.is_dir():
        return ()
    shelf = read_shelf(places or [str(usual)], model, rules)
    if shelf.errors and (places or not shelf.products):
        first = shelf.errors[0]
        more = f" ({len(shelf.errors)} errors in all; 'whichresin shelf' shows them)" if len(shelf.errors) > 1 else ""
        raise output.BadInput(f"{_at(first)}: {first.sentence}{more}")
    for problem in shelf.errors:
        output.say_error(f"left out: {_at(problem)}: {problem.sentence}")
    return products_of(shelf.products.values())
