"""`whichresin simulate`: hold many interviews with drawn parts and people, and say how well they ended."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.training.tally import Report

    from .options import Options

_MOST = 10_000_000


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin simulate",
        description="Draw parts and people from the knowledge, hold whole interviews with the tool's own rules and "
        "questions, and report what was right, what it cost and whether stated confidence was met.",
        epilog="Misfits (joined by commas, or several --misfit): errs=1.5 bursts=0.1 jitter=0.2 missing=5 "
        "strangers=0.3 painted=0.2 regrind=0.1 outside=0.1. The questions of the gate and the free words of part "
        "and marking are left out, and so are float liquids made for the part. Few interviews come to one; where one "
        "does, the simulated interview stops an answer early and costs a little more than it would at the bench.",
    )
    parser.add_argument("--interviews", type=int, default=1000, metavar="N", help="how many (usual: 1000)")
    parser.add_argument("--seed", type=int, default=1, metavar="S", help="the same seed gives the same result")
    parser.add_argument("--misfit", nargs="+", action="extend", default=[], metavar="NAME=NUMBER")
    parser.add_argument("--part", default="", metavar="KIND", help="every part is of this kind (an id)")
    parser.add_argument("--target", choices=("decision", "polymer"), default="decision")
    parser.add_argument("--shop", default="", metavar="LIST", help="what the shop has, separated by commas")
    parser.add_argument("--allow-burn", action="store_true", help="burn tests and solvent may be proposed")
    parser.add_argument("--policy", choices=("own", "chart", "gain", "random"), default="own", help="who asks")
    parser.add_argument("--stop-below", type=float, metavar="MINUTES", help="stop of the other policies")
    parser.add_argument("--jobs", type=int, default=1, metavar="J", help="processes; changes no result")
    parser.add_argument("--resume", metavar="FILE", help="keep finished interviews here, and go on from them")
    parser.add_argument("--picture", metavar="FILE.svg", help="draw the reliability of stated confidence")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[])
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    if not 1 <= options.interviews <= _MOST:
        raise output.BadInput(f"--interviews must be 1 to {_MOST}, not {options.interviews}")
    if not 1 <= options.jobs <= 64:
        raise output.BadInput(f"--jobs must be 1 to 64, not {options.jobs}")
    from whichresin.session.load import NoModel, load_model
    from whichresin.training.misfit import read_misfit
    from whichresin.training.simulate import Order, simulate
    from whichresin.training.tally import report

    try:
        model = load_model(options.knowledge)
        order = Order(
            options.interviews,
            options.seed,
            read_misfit(",".join(options.misfit)),
            options.target,
            tuple(sorted(filter(None, (word.strip() for word in options.shop.split(","))))),
            ("burn", "solvent") if options.allow_burn else (),
            options.part,
            options.policy,
            options.stop_below,
        )
        keep = Path(options.resume) if options.resume else None
        played = simulate(model, order, options.jobs, keep, _bar if sys.stderr.isatty() else None)
        found = report(played, options.seed)
        if options.picture:
            _draw(Path(options.picture), found, options.seed)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    except ValueError as error:
        raise output.BadInput(str(error).rstrip(".")) from None
    except OSError as error:
        raise output.BadInput(f"{error.filename}: {error.strerror}; name another file") from None
    if options.json:
        said = {"seed": options.seed, "misfit": order.misfit.as_json(), "policy": options.policy}
        output.say_json({"schema": 1, **said, **found.as_json()})
    else:
        from whichresin.training.telling import report_lines

        sys.stdout.writelines(f"{line}\n" for line in report_lines(found))
    return output.DONE


def _bar(done: int, of: int) -> None:
    """A bar on standard error; only ever called on a terminal."""
    full = 30 * done // max(of, 1)
    end = "\n" if done >= of else ""
    sys.stderr.write(f"\r[{'#' * full}{'.' * (30 - full)}] {done} of {of} interviews{end}")
    sys.stderr.flush()


def _draw(path: Path, found: Report, seed: int) -> None:
    from whichresin.training.picture import svg_picture

    charts = [("class", found.klass), ("repair cell", found.cell), ("polymer", found.polymer)]
    caption = f"{len(found.played)} simulated interviews, seed {seed}; bars: two standard errors"
    path.write_text(svg_picture(charts, caption), encoding="utf-8")
