"""`whichresin plan`: what the answers mean for the repair, with the reasons and the steps."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.model import Model
    from whichresin.session.answers import AnswersFile

    from .options import Options

_LONGEST = 500


def parser() -> Options:
    """The options of the command."""
    from .options import Options
    from .shop_options import add_options

    parser = Options(
        prog="whichresin plan",
        description="Repair, replace, refer or test more: the decision with its reasons, and the steps of the work.",
        epilog="The answers come from a file (part, damage, context, shop and answers) or from an interview that was "
        "held. Words given as options take the place of those in the file.",
    )
    source = parser.add_mutually_exclusive_group(required=True)
    source.add_argument("--answers", metavar="FILE", help="read the answers from a file; - is standard input")
    source.add_argument(
        "--interview",
        metavar="NUMBER",
        type=int,
        help="take the answers of an interview, finished or not: 1 is the newest",
    )
    parser.add_argument("--part", metavar="WORDS", help="what the part is, in free words")
    parser.add_argument("--damage", metavar="WORDS", help="what is broken, such as 'crack 40 mm to the edge'")
    parser.add_argument("--context", metavar="WORDS", help="where it sits, such as 'cold shop, no spare'")
    parser.add_argument("--shop", metavar="LIST", help="what is at hand, separated by commas, such as 'welder, PP rod'")
    parser.add_argument("--json", action="store_true", help="print the plan as one JSON document")
    parser.add_argument(
        "--knowledge",
        metavar="DIR",
        action="append",
        default=[],
        help="a folder of rule files laid over the shipped ones; may be given more than once",
    )
    add_options(parser)
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    from whichresin.session.load import NoModel, load_model

    from .shop_options import provide_plan

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    found = provide_plan(model, told_of(model, options), options)
    if options.json:
        output.say_json(found.plan.as_json())
        return output.DONE
    from whichresin.terminal.lines import wants_attributes, write

    from .bench_text import columns
    from .plan_text import plan_lines
    from .quantities_text import provision_lines

    lines = plan_lines(found.plan, columns(), provision_lines(found.provision, columns()))
    write(lines, sys.stdout, wants_attributes(sys.stdout))
    return output.DONE


def told_of(model: Model, options: argparse.Namespace) -> AnswersFile:
    """Answers and words, from the file or the interview, with the options laid over them."""
    from whichresin.session.answers import shop_word
    from whichresin.session.events import Answered

    told = _from_interview(model, options.interview) if options.interview is not None else _from_file(model, options)
    state = told.state
    if options.part:
        state = state.with_answer(Answered("part", _words(options.part, "--part")))
    typed = options.shop.split(",") if options.shop else [] if state.shop else options.settings.shop
    if typed:
        items = [shop_word(item) for item in typed if item.strip()]
        state = replace(state, shop=tuple(dict.fromkeys((*state.shop, *items))))
    return replace(
        told,
        state=state,
        damage=_words(options.damage, "--damage") if options.damage else told.damage,
        context=_words(options.context, "--context") if options.context else told.context,
    )


def _words(text: str, name: str) -> str:
    said = " ".join(text.split())
    if len(said) > _LONGEST:
        raise output.BadInput(f"{name} is longer than {_LONGEST} characters; give the words that matter")
    return said


def _from_file(model: Model, options: argparse.Namespace) -> AnswersFile:
    from whichresin.session.answers import BadAnswers, answers_from_bytes, read_answers

    try:
        if options.answers == "-":
            return answers_from_bytes(model, sys.stdin.buffer.read((1 << 20) + 1), "standard input")
        return read_answers(model, options.answers)
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None


def _from_interview(model: Model, number: int) -> AnswersFile:
    from whichresin.session.answers import AnswersFile
    from whichresin.session.journal import folder, recorded_in
    from whichresin.session.state import State, fold, still_fits

    found = recorded_in(folder())
    if not found:
        raise output.BadInput("no interview has been held yet; hold one with 'whichresin interview'")
    if not 1 <= number <= len(found):
        raise output.BadInput(f"there is no interview {number}; {len(found)} were held, 1 is the newest")
    recorded = found[number - 1]
    known = [event for event in recorded.events if still_fits(model, event)]
    if len(known) < len(recorded.events):
        output.say_error("some answers belong to questions that the knowledge no longer has; they are left out")
    return AnswersFile(fold(known, State(shop=recorded.shop, target=recorded.target)))
