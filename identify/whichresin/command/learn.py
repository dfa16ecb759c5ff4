"""`whichresin learn`: propose expectations from answers that were counted on known plaques."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.model import Model
    from whichresin.training.counts import Counts
    from whichresin.training.learn import Learned
    from whichresin.training.proposal import Change

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin learn",
        description="Hold answers counted on plaques of known material against the tables, and propose a change where "
        "a figure lies outside what the counts allow. Nothing is changed: a trainer reads the difference and decides.",
        epilog="The counts come from 'whichresin drill --tray FILE --hands-on --counts FILE', and from jobs whose "
        "material became known: 'whichresin jobs export --json'.",
    )
    parser.add_argument("counts", nargs="*", metavar="FILE", help="files of counts, added up")
    parser.add_argument("--jobs", metavar="FILE", action="append", default=[], help="exported jobs, counted as well")
    parser.add_argument("--weight", type=float, default=10.0, metavar="N", help="answers a shipped figure is worth")
    parser.add_argument("--least", type=int, default=10, metavar="N", help="looks below which nothing is proposed")
    parser.add_argument("--write", metavar="DIR", help="write the proposal as a new pack, to check and to lay over")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    if not 0.0 < options.weight <= 100_000.0:
        raise output.BadInput(f"--weight must be above 0 and at most 100000, not {options.weight:g}")
    if options.least < 1:
        raise output.BadInput(f"--least must be at least 1, not {options.least}")
    if not options.counts and not options.jobs:
        raise output.BadInput("name a file of counts, or exported jobs with --jobs FILE")
    from whichresin.session.load import NoModel, load_model
    from whichresin.training.counts import BadCounts, Counts, read_counts
    from whichresin.training.learn import learn
    from whichresin.training.proposal import changes

    try:
        model = load_model(options.knowledge)
        counts = Counts()
        for name in options.counts:
            counts.join(read_counts(Path(name)))
        for name in options.jobs:
            counts.join(_jobs(model, Path(name)))
        learned = learn(model, counts, options.weight, options.least)
        proposed = changes(model, learned, options.knowledge)
        if options.write and proposed:
            _write(Path(options.write), proposed, learned)
    except (NoModel, BadCounts) as error:
        raise output.BadInput(str(error)) from None
    except KeyError as error:
        raise output.BadInput(
            f"the counts hold {error.args[0]!r}, which this knowledge does not know; lay the pack over that does, "
            "with --knowledge DIR"
        ) from None
    except OSError as error:
        raise output.BadInput(f"{error.filename}: {error.strerror}; name another file") from None
    if options.json:
        diff = [{"file": change.inside, "diff": change.diff()} for change in proposed]
        output.say_json({"schema": 1, "learned": [one.as_json() for one in learned], "changes": diff})
    else:
        _tell(learned, proposed, options.least)
        if options.write and proposed:
            sys.stdout.write(f"\nWritten to {options.write}; next: whichresin check {options.write}\n")
    return output.DONE


def _jobs(model: Model, path: Path) -> Counts:
    """Counts from exported jobs; says on standard error how many could be used. Raises BadInput, OSError."""
    import json

    from whichresin.training.outcomes import BadJobs, counts_of_jobs

    try:
        taken = counts_of_jobs(model, json.loads(path.read_text(encoding="utf-8")))
    except BadJobs as error:
        raise output.BadInput(f"{path} {error}") from None
    except ValueError:
        raise output.BadInput(f"{path} is not JSON; name a file that 'whichresin jobs export --json' wrote") from None
    sys.stderr.write(f"{path}: {taken.jobs} jobs counted, {taken.left_out} without a known material or answers\n")
    return taken.counts


def _tell(learned: Sequence[Learned], proposed: Sequence[Change], least: int) -> None:
    if not learned:
        sys.stdout.write(f"No test was looked at {least} times or more on one plaque material; count more answers.\n")
        return
    wanted = [one for one in learned if one.proposed]
    fits = len(learned) - len(wanted)
    sys.stdout.write(f"{len(learned)} rows with {least} looks or more; {fits} fit the tables.\n")
    for one in wanted:
        sys.stdout.write(f"\n{one.cue} on {one.compound}, {one.looks} looks (percent: now; given; likely range)\n")
        for chance in one.chances:
            mark = "  does not fit" if chance.off else ""
            sys.stdout.write(
                f"  {chance.value:<20} {chance.now * 100:5.1f}; {chance.given:>4} x; "
                f"{chance.low * 100:.1f} to {chance.high * 100:.1f}{mark}\n"
            )
    for change in proposed:
        sys.stdout.write("\n" + change.diff())


def _write(folder: Path, proposed: Sequence[Change], learned: Sequence[Learned]) -> None:
    """A pack with the changed cue files. Raises BadInput when something is there already, OSError."""
    from whichresin.training.blank import manifest_text
    from whichresin.training.proposal import sources_text

    if folder.exists() and any(folder.iterdir()):
        raise output.BadInput(f"{folder} is not empty; name a new folder")
    for change in proposed:
        path = folder / change.inside
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(change.after, encoding="utf-8", newline="")
    (folder / "pack.yaml").write_text(manifest_text(folder.name), encoding="utf-8")
    (folder / "sources.yaml").write_text(sources_text(folder.name, learned), encoding="utf-8")
