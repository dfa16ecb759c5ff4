"""`whichresin sheet`: the job sheet for a part, as text, as a page that prints, or as a file that can be run."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.repair.sheet import Sheet

    from .options import Options

_LONGEST = 200


def parser() -> Options:
    """The options of the command."""
    from . import plan

    parser = plan.parser()
    parser.prog = "whichresin sheet"
    parser.description = (
        "The job sheet for a part: identification, decision and why, cautions before each step, steps to tick, hold "
        "points, what to write down, signatures. A part that is not repaired here gets a refer sheet without steps."
    )
    parser.add_argument("--owner", metavar="WORDS", default="", help="owner and machine, for the head of the sheet")
    parser.add_argument(
        "--out",
        metavar="FILE",
        action="append",
        default=[],
        help="write it to a new file: .html to print, .txt, or .json to run and keep; may be given more than once",
    )
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    endings = (".html", ".txt", ".json")
    for name in options.out:
        if not name.lower().endswith(endings):
            raise output.BadInput(f"{name} ends in none of {', '.join(endings)}; the ending says what is written")
    sheet = made(options)
    for name in options.out:
        _write(sheet, name)
    if options.json:
        output.say_json(sheet.as_json())
    elif not options.out:
        _show(sheet)
    return output.DONE


def made(options: argparse.Namespace) -> Sheet:
    """The sheet that the options ask for. Raises BadInput."""
    from whichresin.repair.sheet import make_sheet
    from whichresin.session.load import NoModel, load_model
    from whichresin.session.provisioned import interview_of

    from .plan import told_of
    from .shelf import product_rules
    from .shop_options import provide_plan

    owner = " ".join(options.owner.split())
    if len(owner) > _LONGEST:
        raise output.BadInput(f"--owner is longer than {_LONGEST} characters; give the words that matter")
    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    told = told_of(model, options)
    found = provide_plan(model, told, options)
    now = datetime.now().astimezone().isoformat(timespec="seconds")
    interview = interview_of(told.state, told.damage, told.context)
    return make_sheet(
        found.plan,
        found.provision,
        product_rules(options.knowledge),
        model.cautions,
        now,
        owner,
        interview,
        found.celsius,
    )


def _write(sheet: Sheet, name: str) -> None:
    import json

    from .job_files import write_new
    from .sheet_page import sheet_page
    from .sheet_text import sheet_lines

    ending = name.lower().rpartition(".")[2]
    if ending == "html":
        text = sheet_page(sheet)
    elif ending == "json":
        text = json.dumps(sheet.as_json(), ensure_ascii=True, indent=1) + "\n"
    else:
        text = "".join(f"{line.text}\n" for line in sheet_lines(sheet, 78))
    write_new(name, text)
    sys.stdout.write(f"written: {name}\n")


def _show(sheet: Sheet) -> None:
    from whichresin.terminal.lines import wants_attributes, write

    from .bench_text import columns
    from .sheet_text import sheet_lines

    write(sheet_lines(sheet, columns()), sys.stdout, wants_attributes(sys.stdout))
