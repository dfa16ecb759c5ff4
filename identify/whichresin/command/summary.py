"""`whichresin summary NAME`: one page of a finished interview, as text or as an HTML page that stands alone."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.model import Model
    from whichresin.session.state import State
    from whichresin.session.transcript import Transcript
    from whichresin.summary.made import Made

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin summary",
        description="One page of an interview: what the part is, how sure that is, every step, reasons with their "
        "sources, cautions, what is open, what would change it.",
    )
    parser.add_argument(
        "interview",
        metavar="INTERVIEW",
        help="number or name of a finished interview, or a transcript or answers file",
    )
    parser.add_argument("--page", metavar="NEW", help="write it as an HTML page; an earlier page there is replaced")
    parser.add_argument("--json", action="store_true", help="print the result as one JSON document")
    parser.add_argument(
        "--knowledge", metavar="DIR", action="append", default=[], help="a folder laid over the shipped rules"
    )
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)
    from whichresin.session.load import NoModel, load_model
    from whichresin.summary.made import made

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    found = made(model, _transcript(model, options.interview), [options.settings.shop_name])
    if options.page:
        write_page(found, options.page)
    if options.json:
        output.say_json(found.result.as_json())
    elif not options.page:
        show(found)
    return output.DONE


def _transcript(model: Model, name: str) -> Transcript:
    from whichresin.session.answers import BadAnswers, read_answers
    from whichresin.session.journal import folder
    from whichresin.session.kept import find, transcript_of_journal
    from whichresin.session.transcript import is_transcript, read_transcript

    path = Path(name)
    try:
        if path.suffix in (".yaml", ".yml") or path.is_file():
            return read_transcript(model, path) if is_transcript(path) else of_state(read_answers(model, path).state)
        return transcript_of_journal(model, find(folder(), name))
    except (BadAnswers, LookupError) as error:
        raise output.BadInput(str(error)) from None


def of_state(state: State) -> Transcript:
    """The answers of a file as an interview: leave first, then every answer in the order of the file."""
    from whichresin.session.record import events_of, transcript_from

    return transcript_from(events_of(state), state.shop, state.target)


def show(found: Made) -> None:
    """Print the page as text."""
    import shutil

    from whichresin.summary.lines import sheet_lines
    from whichresin.terminal.lines import wants_attributes, write

    width = max(20, min(100, shutil.get_terminal_size((80, 24)).columns - 1))
    write(sheet_lines(found.sheet, width), sys.stdout, wants_attributes(sys.stdout))


def write_page(found: Made, name: str) -> None:
    """Write the page as an HTML file, whole or not at all."""
    from whichresin.session.journal import JournalError
    from whichresin.session.kept import write_whole
    from whichresin.summary.page import page

    try:
        write_whole(Path(name), page(found.sheet))
    except JournalError as error:
        raise output.BadInput(str(error)) from None
    sys.stderr.write(f"Written: {name}\n")
