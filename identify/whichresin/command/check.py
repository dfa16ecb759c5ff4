"""`whichresin check [PATH...]`: every problem of the knowledge, and every example that fails."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Sequence
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.problems import Problem

    from .options import Options

_LOOK_EVERY_S = 0.2
_FIELDS = ("file", "line", "column", "level", "code", "sentence", "hint")


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin check",
        description="Check knowledge files and run their examples. Without PATH: the shipped knowledge. A PATH inside "
        "it narrows the report; any other folder or file is laid over it. `whichresin help CODE` explains a finding.",
    )
    parser.add_argument("paths", nargs="*", metavar="PATH")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--fresh", action="store_true", help="check again though nothing changed since the last check")
    parser.add_argument("--watch", action="store_true", help="check again whenever a file is saved, until Ctrl-C")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when there was an error."""
    options = parser().parse_args(args)
    if options.watch and options.json:
        raise output.BadInput("--watch does not go with --json; call check --json whenever you want a document")
    if options.watch:
        return _watch(options.paths)
    from whichresin.training.kept import check_or_kept

    checked = check_or_kept(options.paths, options.fresh)
    if options.json:
        problems = [{name: getattr(problem, name) for name in _FIELDS} for problem in checked.problems]
        output.say_json({"schema": 1, "problems": problems})
    else:
        _say(checked.problems, "")
    return output.NEGATIVE if checked.has_errors else output.DONE


def _watch(paths: Sequence[str]) -> int:
    from whichresin.training.watching import looks

    last = False
    try:
        for checked, seconds in looks(paths, lambda: time.sleep(_LOOK_EVERY_S)):
            last = checked.has_errors
            _say(checked.problems, f" ({seconds * 1000:.0f} ms; save a file to check again, Ctrl-C to stop)")
    except KeyboardInterrupt:
        sys.stdout.write("\n")
    return output.NEGATIVE if last else output.DONE


def _say(problems: Sequence[Problem], after: str) -> None:
    from .check_text import caret_lines, plain_lines

    on_terminal = sys.stdout.isatty()
    width = shutil.get_terminal_size().columns if on_terminal else 0
    lines = caret_lines(problems, width) if on_terminal else plain_lines(problems)
    sys.stdout.writelines(f"{line}\n" for line in lines)
    errors = sum(problem.level == "error" for problem in problems)
    others = len(problems) - errors
    sys.stdout.write(f"{_counted(errors, 'error')}, {_counted(others, 'other remark')}{after}\n")
    sys.stdout.flush()


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
