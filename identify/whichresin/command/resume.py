"""`whichresin resume [NUMBER]`: list interviews that were left in the middle, and go on with one."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from whichresin.session.events import Answered
from whichresin.session.journal import Journal, JournalError, Recorded, folder, read, recorded_in
from whichresin.vocabulary.text import escaped

from . import output

if TYPE_CHECKING:
    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin resume",
        description="Without NUMBER: go on with the only open interview, or list the open ones.",
    )
    parser.add_argument("number", nargs="?", type=int, metavar="NUMBER", help="its number in the list")
    parser.add_argument("--plain", action="store_true", help="plain lines, as without a terminal")
    parser.add_argument(
        "--knowledge", metavar="DIR", action="append", default=[], help="a folder laid over the shipped rules"
    )
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when there is nothing to go on with."""
    options = parser().parse_args(args)
    found = [one for one in recorded_in(folder()) if not one.finished]
    if not found:
        sys.stdout.write("There is no interview to go on with.\n")
        return output.NEGATIVE
    if options.number is None and len(found) > 1:
        sys.stdout.writelines(f"{number:>3}  {line_of(one)}\n" for number, one in enumerate(found, 1))
        sys.stdout.write("Go on with one of them: whichresin resume NUMBER\n")
        return output.DONE
    number = options.number or 1
    if not 1 <= number <= len(found):
        raise output.BadInput(f"there is no open interview {number}; 'whichresin resume' lists {len(found)}")
    return _go_on(found[number - 1], options.plain, options.knowledge)


def line_of(one: Recorded) -> str:
    """One interview as one line: when, which part, how many answers."""
    part = next((str(e.value) for e in one.events if isinstance(e, Answered) and e.cue == "part"), "part not named")
    answers = sum(isinstance(event, Answered) for event in one.events)
    return f"{escaped(one.started)}  {escaped(part)}, {answers} answer{'' if answers == 1 else 's'}"


def _go_on(recorded: Recorded, plain: bool, packs: Sequence[str]) -> int:
    from whichresin.session.interview import Interview
    from whichresin.session.load import NoModel, load_model
    from whichresin.session.state import State, still_fits

    from .interview import talk

    try:
        model = load_model(packs)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    try:
        journal = Journal.reopen(recorded)
        recorded = read(recorded.path)  # now that nobody else can write it
    except JournalError as error:
        raise output.BadInput(str(error)) from None
    if recorded.finished:
        raise output.BadInput("this interview has been finished in another window; 'whichresin interviews' lists it")
    known = [event for event in recorded.events if still_fits(model, event)]
    notices = []
    if len(known) < len(recorded.events):
        notices.append("some answers belong to questions that the knowledge no longer has; they are left out")
    if recorded.knowledge != model.key:
        notices.append("the knowledge has changed since this interview began; its answers are weighed anew")
    for notice in notices:
        output.say_error(notice)
    number = 1 + [one.path for one in recorded_in(folder())].index(recorded.path)
    interview = Interview(model, State(shop=recorded.shop, target=recorded.target), known)
    return talk(interview, journal, plain, notice=". ".join(notices), number=number)
