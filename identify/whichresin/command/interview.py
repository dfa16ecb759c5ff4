"""`whichresin interview`: the guided interview, or one result from an answers file."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.model import Model
    from whichresin.session.events import Event
    from whichresin.session.interview import Interview
    from whichresin.session.journal import Journal
    from whichresin.session.result import Result
    from whichresin.session.state import State

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    import argparse

    from .options import Options

    parser = Options(
        prog="whichresin interview",
        description="Find out what a part is made of: question by question, or from a file of answers.",
        epilog="An answers file is YAML: 'answers: {float_in_water: sinks, grind: powder}', and optionally part, "
        "marking, sure, shop, allow_burn. FILE - reads standard input.",
    )
    parser.add_argument("--answers", metavar="FILE", help="read the answers from a file and print one result")
    parser.add_argument(
        "--answer", metavar="CUE=VALUE", action="append", default=[], help="one answer; may be given more than once"
    )
    parser.add_argument("--json", action="store_true", help="print the result as one JSON document, without a dialogue")
    parser.add_argument("--target", choices=("decision", "polymer"), help="settle the repair (usual), or the name")
    parser.add_argument("--part", metavar="WORDS", help="what the part is, in free words")
    parser.add_argument("--marking", metavar="TEXT", help="what is left of a moulded marking")
    parser.add_argument("--shop", metavar="LIST", help="what the shop has, separated by commas, such as welder")
    parser.add_argument("--allow-burn", action="store_true", help="burn tests and drops of solvent may be proposed")
    parser.add_argument("--allow-solvent", action="store_true", help="drops of solvent on the part may be proposed")
    parser.add_argument(
        "--tutor",
        action=argparse.BooleanOptionalAction,
        default=None,
        help="a line on why each test works (usual until the first interview is finished)",
    )
    parser.add_argument("--plain", action="store_true", help="plain lines, as without a terminal")
    parser.add_argument("--page", metavar="NEW", help="write one HTML page of the result (with --answers)")
    parser.add_argument("--record", metavar="NEW", help="write the interview as a transcript, which replay can read")
    parser.add_argument(
        "--knowledge",
        metavar="DIR",
        action="append",
        default=[],
        help="a folder of rule files laid over the shipped ones; may be given more than once",
    )
    return parser


def run(args: Sequence[str], greeted: bool = False) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    told = bool(options.answers or options.answer or options.part or options.marking)
    direct = told and (options.answers or options.json or options.page)
    if options.json and not direct:
        raise output.BadInput(
            "--json needs --answers FILE, --answer CUE=VALUE, --part or --marking: a guided interview is for people"
        )
    if options.page and not direct:
        raise output.BadInput("--page needs --answers FILE; of a guided interview, 'whichresin summary' makes the page")
    from whichresin.session.load import NoModel, load_model

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    state = _state(model, options)
    if direct:
        from whichresin.session.interview import Interview

        result = Interview(model, state).closing()
        if options.record:
            _record(model, state, options.record)
        if options.page:
            _page(model, state, options.page, [options.settings.shop_name])
        if options.json:
            output.say_json(result.as_json())
        else:
            _show(result)
        return output.DONE
    return _guided(model, state, options, greeted)


def _state(model: Model, options: argparse.Namespace) -> State:
    from whichresin.session.answers import BadAnswers, allowance, answers_from_bytes, read_answers, shop_word
    from whichresin.session.events import Answered
    from whichresin.session.nothing_said import says_nothing
    from whichresin.session.state import State, step
    from whichresin.session.values import event_of_words

    state = State()
    try:
        if options.answers == "-":
            state = answers_from_bytes(model, sys.stdin.buffer.read((1 << 20) + 1), "standard input").state
        elif options.answers:
            state = read_answers(model, options.answers).state
        for text in options.answer:
            state = step(state, event_of_words(model, text))
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None
    for cue, text in (("part", options.part), ("marking", options.marking)):
        if text and not says_nothing(text):
            state = state.with_answer(Answered(cue, " ".join(text.split())[:200]))
    allowed = {*state.allowed}
    for what in ("burn", "solvent"):
        if getattr(options, f"allow_{what}"):
            allowed.update(allowance(what))
    typed = (options.shop or "").split(",") if options.shop or state.shop else options.settings.shop
    shop = [*state.shop, *(shop_word(item) for item in typed if item.strip())]
    return replace(
        state,
        allowed=tuple(sorted(allowed)),
        shop=tuple(dict.fromkeys(shop)),
        target=options.target or state.target,
    )


def _show(result: Result) -> None:
    from whichresin.terminal.ending import ending_lines
    from whichresin.terminal.lines import wants_attributes, write

    write(ending_lines(result, _columns()), sys.stdout, wants_attributes(sys.stdout))


def _columns() -> int:
    import shutil

    return max(20, min(100, shutil.get_terminal_size((80, 24)).columns - 1))


def _guided(model: Model, state: State, options: argparse.Namespace, greeted: bool) -> int:
    from whichresin.session.interview import Interview
    from whichresin.session.journal import Journal, JournalError, folder, recorded_in

    tutor = options.tutor
    if tutor is None:
        tutor = not any(recorded.finished for recorded in recorded_in(folder()))
    notice = ""
    try:
        journal = Journal.start(folder(), model.key, state)
    except JournalError as error:
        notice = f"{error}; the interview goes on, but cannot be resumed"
        output.say_error(notice)
        journal = None
    return talk(Interview(model, state), journal, options.plain, greeted, tutor, options.record, notice)


def talk(
    interview: Interview,
    journal: Journal | None,
    plain: bool,
    greeted: bool = False,
    tutor: bool = False,
    record: str | None = None,
    notice: str = "",
    number: int = 1,
) -> int:
    """Run a guided interview to its end, every event in the journal before it takes effect.

    `notice` was said already, where a full screen hides it; `number` is the interview's place among all, newest first.
    """
    from whichresin.session.journal import JournalError
    from whichresin.terminal.hold import hold
    from whichresin.terminal.words import PLAN

    def keep(event: Event) -> str:
        nonlocal journal
        if journal is None:
            return ""
        try:
            journal.write(event)
        except JournalError as error:
            journal = None
            return f"{error}; the interview goes on, but what follows is not kept"
        return ""

    hint = PLAN.format(number=number) if journal is not None else ""
    _, left = hold(interview, keep, plain, greeted, tutor, hint, notice)
    if journal is not None:
        if left:
            journal.close()
            sys.stdout.write("\nKept. Go on with it any time: whichresin resume\n")
        else:
            try:
                journal.finish()
            except JournalError as error:
                output.say_error(f"{error}; it stays open: whichresin resume")
                return output.DONE
            _keep(interview.model, journal)
    if record:
        _record(interview.model, interview.start, record, interview.events)
    return output.DONE


def _keep(model: Model, journal: Journal) -> None:
    """Save the finished interview as a transcript; the journal holds all of it, so a failure loses nothing."""
    from whichresin.session.journal import JournalError
    from whichresin.session.kept import save_transcript

    try:
        path = save_transcript(model, journal.path)
    except JournalError as error:
        output.say_error(f"{error}; the answers are in {journal.path}")
        return
    sys.stdout.write(f"\nSaved as {path.stem}.\nOne page of it: whichresin summary 1\n")


def _page(model: Model, state: State, name: str, beside: Sequence[str]) -> None:
    from whichresin.summary.made import made

    from .summary import of_state, write_page

    write_page(made(model, of_state(state), beside), name)


def _record(model: Model, start: State, name: str, events: Sequence[Event] = ()) -> None:
    """Write a transcript where the person wants it; an existing file is left alone."""
    from pathlib import Path

    from whichresin.session.course import new_desk
    from whichresin.session.journal import JournalError
    from whichresin.session.kept import write_whole
    from whichresin.session.record import events_of, recorded, transcript_from

    path = Path(name)
    if path.exists():
        raise output.BadInput(f"{path} exists already; --record wants the name of a new file")
    told = transcript_from([*events_of(start), *events], start.shop, start.target)
    try:
        write_whole(path, recorded(new_desk(model), told))
    except JournalError as error:
        raise output.BadInput(str(error)) from None
