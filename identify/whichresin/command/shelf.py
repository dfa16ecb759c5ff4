"""`whichresin shelf`: the shop's own products: are their files sound, are they in date, do they fit this part."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.model import Model
    from whichresin.repair.fit import Verdict
    from whichresin.repair.product_rules import ProductRules
    from whichresin.repair.shelf import Shelf

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin shelf",
        description="The shop's own products, one YAML file each: check the files, see what has run out, and with "
        "--answers what fits the part. Without PATH: the folder 'shelf' in the data folder.",
    )
    parser.add_argument("path", metavar="PATH", nargs="*", help="a product file, or a folder of them")
    parser.add_argument("--answers", metavar="FILE", help="hold the products against the part of this answers file")
    parser.add_argument("--celsius", metavar="C", help="temperature of the shop, part and product")
    parser.add_argument("--today", metavar="DATE", help="the day to judge expiry dates by (usual: today)")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when a file has errors or no product is left."""
    options = parser().parse_args(args)

    from whichresin.repair.fit import Bench
    from whichresin.session.load import NoModel, load_model

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    rules = product_rules(options.knowledge)
    shelf = shelf_at(options.path, model, rules)
    bench = Bench(day(options.today), celsius_of(options.celsius))
    verdicts = _judged(options.answers, shelf, model, rules, bench)
    if options.json:
        output.say_json(_document(shelf, verdicts, bench))
    else:
        _show(shelf, verdicts, bench)
    return output.NEGATIVE if shelf.errors or not shelf.products else output.DONE


def product_rules(packs: Sequence[str] = ()) -> ProductRules:
    """The rules of products, of the last pack that has some; raises BadInput naming the first fault."""
    from whichresin.repair.files import repair_file
    from whichresin.repair.product_rules import BadProductRules, load_product_rules

    try:
        return load_product_rules(repair_file("products.yaml", packs))
    except BadProductRules as error:
        raise output.BadInput(str(error)) from None


def shelf_at(places: Sequence[str], model: Model, rules: ProductRules) -> Shelf:
    """The products of the places given, or of the data folder. Raises BadInput when there is no shelf at all."""
    from whichresin.repair.shelf import read_shelf
    from whichresin.session.journal import folder

    if not places:
        usual = folder() / "shelf"
        if not usual.is_dir():
            raise output.BadInput(f"there is no shelf yet: put product files into {usual}, or name a folder")
        places = [str(usual)]
    return read_shelf(places, model, rules)


def day(text: str | None) -> date:
    """A day as YYYY-MM-DD, or today. Raises BadInput for anything else."""
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise output.BadInput(f"{text!r} is not a day; write it as 2026-03-31") from None


def celsius_of(text: str | None) -> float | None:
    """A shop temperature in C. Raises BadInput for what no shop has."""
    if text is None:
        return None
    from .bench import number

    value = number(text, "--celsius", "degrees Celsius")
    if not -30.0 <= value <= 60.0:
        raise output.BadInput(f"--celsius {value:g} is no temperature of a workshop; give degrees Celsius, such as 18")
    return value


def _judged(
    answers: str | None, shelf: Shelf, model: Model, rules: ProductRules, bench: Any
) -> dict[str, Verdict] | None:
    if answers is None:
        return None
    from whichresin.repair.fit import judge
    from whichresin.session.answers import BadAnswers, read_answers
    from whichresin.session.interview import Interview

    try:
        state = read_answers(model, answers).state
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None
    chances = Interview(model, state).compound_chances()
    return {one.id: judge(one, chances, bench, rules) for one in shelf.products.values()}


def _document(shelf: Shelf, verdicts: dict[str, Verdict] | None, bench: Any) -> dict[str, Any]:
    rows = [
        verdicts[one.id].as_json()
        if verdicts is not None
        else {"id": one.id, "name": one.name, "kind": one.kind, "expires": str(one.expires) if one.expires else None,
              "expired": bool(one.expires and one.expires < bench.today), "invented": one.invented}
        for one in shelf.products.values()
    ]  # fmt: skip
    return {
        "schema": 1,
        "today": bench.today.isoformat(),
        "celsius": bench.celsius,
        "products": rows,
        "problems": [str(problem) for problem in shelf.problems],
    }


def _show(shelf: Shelf, verdicts: dict[str, Verdict] | None, bench: Any) -> None:
    from whichresin.terminal.lines import Line, wants_attributes, wrap, write

    from .bench_text import columns

    width = columns()
    lines: list[Line] = []
    for one in shelf.products.values():
        invented = ", invented example" if one.invented else ""
        until = f", good until {one.expires.isoformat()}" if one.expires else ""
        expired = bool(one.expires and one.expires < bench.today)
        verdict = verdicts[one.id] if verdicts is not None else None
        said = verdict.verdict if verdict else "run out" if expired else "in date" if one.expires else "no date"
        lines += wrap(f"{said}: {one.name} ({one.kind}{until}{invented})", width, "strong")
        for sentence in verdict.sentences if verdict else ():
            lines += wrap(f"{sentence}.", width, first="  ", rest="  ")
    for problem in shelf.problems:
        lines += wrap(str(problem), width)
    if not shelf.products:
        lines.append(Line("No product can be used."))
    write(lines, sys.stdout, wants_attributes(sys.stdout))
