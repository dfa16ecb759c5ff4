"""`whichresin coverage [PATH...]`: what no example exercises, what no transcript shows, what cannot be told apart."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from .options import Options

_DRAWS, _INTERVIEWS, _MOST = 4, 20, 100_000


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin coverage",
        description="Show which parts of rules no example exercises, which rules fire in no transcript, what is taken "
        "for what and why, which cues are never asked, and what one more cue would have to tell. A PATH is laid over "
        "the shipped knowledge.",
    )
    parser.add_argument("paths", nargs="*", metavar="PATH")
    parser.add_argument("--transcripts", metavar="DIR", action="append", default=[], help="answers files to look at")
    parser.add_argument(
        "--without",
        choices=["burn", "solvent"],
        action="append",
        default=[],
        help="leave out tests that need this leave",
    )
    parser.add_argument(
        "--draws",
        type=int,
        default=_DRAWS,
        metavar="N",
        help=f"parts drawn of each material for the confusion matrix (default {_DRAWS}; 0 leaves it out)",
    )
    parser.add_argument(
        "--interviews",
        type=int,
        default=_INTERVIEWS,
        metavar="N",
        help=f"simulated interviews, to see what is asked (default {_INTERVIEWS}; 0 leaves them out)",
    )
    parser.add_argument("--seed", type=int, default=1, metavar="S", help="seed of draws and interviews (default 1)")
    parser.add_argument("--picture", metavar="FILE.svg", help="also draw the confusion matrix as a heat map")
    parser.add_argument("--all", action="store_true", help="list everything instead of the first ten of each")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)

    from whichresin.session.answers import BadAnswers
    from whichresin.session.replay import interviews_in
    from whichresin.training.check import check
    from whichresin.training.coverage import Extent, coverage

    if not (0 <= options.draws <= _MOST and 0 <= options.interviews <= _MOST):
        raise output.BadInput(f"--draws and --interviews take whole numbers from 0 to {_MOST}")
    if options.picture and not options.draws:
        raise output.BadInput("--picture needs the confusion matrix; leave --draws 0 out")
    checked = check(options.paths)
    compiled = checked.compiled
    if compiled is None or compiled.model is None:
        first = next(problem for problem in checked.problems if problem.level == "error")
        raise output.BadInput(f"{first}; `whichresin check` shows all")
    transcripts = [path for start in options.transcripts for path in interviews_in(Path(start))]
    extent = Extent(options.draws, options.interviews, options.seed, tuple(options.without))
    try:
        found = coverage(compiled, compiled.model, transcripts, extent)
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None
    if options.picture and found.confusion is not None:
        from whichresin.training.heat_map import svg_heat_map

        left = f", without leave to {' or '.join(options.without)}" if options.without else ""
        caption = f"Taken for what, when all is answered{left}"
        try:
            Path(options.picture).write_text(svg_heat_map(found.confusion, caption), encoding="utf-8")
        except OSError as error:
            raise output.BadInput(f"{options.picture} cannot be written: {error.strerror}") from None
    if options.json:
        output.say_json({"schema": 1, **found.as_json()})
    else:
        from .coverage_text import coverage_lines

        output.say_lines(coverage_lines(found, options.all))
    return output.DONE
