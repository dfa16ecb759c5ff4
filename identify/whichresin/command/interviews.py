"""`whichresin interviews`: list the interviews that were finished."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from whichresin.session.journal import as_data, folder, recorded_in

from . import output
from .resume import line_of

if TYPE_CHECKING:
    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin interviews",
        description="List finished interviews, newest first.",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document, answers and notes included")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when none was finished."""
    options = parser().parse_args(args)
    found = [one for one in recorded_in(folder()) if one.finished]
    if options.json:
        rows = [
            {
                "name": one.path.stem,
                "started": one.started,
                "knowledge": one.knowledge,
                "events": [as_data(event) for event in one.events],
            }
            for one in found
        ]
        output.say_json({"schema": 1, "interviews": rows})
    elif found:
        sys.stdout.writelines(f"{number:>3}  {line_of(one)}\n" for number, one in enumerate(found, 1))
    else:
        sys.stdout.write("No interview has been finished yet.\n")
    return output.DONE if found else output.NEGATIVE
