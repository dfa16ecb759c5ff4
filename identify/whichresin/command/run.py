"""`whichresin run SHEET`: work through a job sheet with its clocks; what was done survives a restart."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.repair.sheet import Sheet

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin run",
        description="Work through a job sheet: each step with its cautions, clocks for flash-off, window, work and "
        "cure, hold points, and what to write down. Stop and go on any time: the clocks go on.",
        epilog="SHEET is a file made with 'whichresin sheet --out NAME.json', or the number of a kept job.",
    )
    parser.add_argument("sheet", metavar="SHEET", help="a job sheet (.json), or the number of a kept job")
    parser.add_argument("--status", action="store_true", help="say what is due and what lapses when, and end")
    parser.add_argument("--json", action="store_true", help="with --status: one JSON document")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 1 when the sheet has no steps to run."""
    options = parser().parse_args(args)
    if options.json and not options.status:
        raise output.BadInput("--json needs --status: working through a sheet is for people")
    sheet = read_sheet(options.sheet)
    if not sheet.steps:
        output.say_error(f"this is a sheet without steps ({sheet.decision.replace('_', ' ')}); there is nothing to run")
        return output.NEGATIVE
    if options.status:
        return _status(sheet, options.json)
    return _work(sheet)


def read_sheet(name: str) -> Sheet:
    """The sheet of a file, or of a kept job. Raises BadInput."""
    import json

    from whichresin.repair.sheet_file import NoSheet, sheet_from

    try:
        if name.isdigit() and not Path(name).exists():
            from .job_files import kept_job

            return sheet_from(dict(kept_job(int(name)).job.sheet))
        data = Path(name).read_bytes()
        return sheet_from(json.loads(data))
    except NoSheet as error:
        raise output.BadInput(f"{name}: {error}") from None
    except OSError as error:
        raise output.BadInput(f"{name} cannot be read: {error.strerror or error}") from None
    except (ValueError, RecursionError):
        raise output.BadInput(f"{name} is no JSON; make a sheet with 'whichresin sheet --out NAME.json'") from None


def run_path(sheet: str) -> Path:
    """Where the record of a sheet is kept."""
    from whichresin.session.journal import folder

    return folder() / "runs" / f"{sheet}.run"


def _status(sheet: Sheet, as_json: bool) -> int:
    from whichresin.session.bench_run import standing
    from whichresin.session.run_file import RunError, new_session, read_run, tick
    from whichresin.terminal.bench_lines import standing_json, standing_lines
    from whichresin.terminal.lines import wants_attributes, write

    from .bench_text import columns

    now = tick(new_session())
    try:
        stand = standing(sheet, read_run(run_path(sheet.id), sheet.id), now)
    except RunError as error:
        raise output.BadInput(str(error)) from None
    if as_json:
        output.say_json(standing_json(sheet, stand))
    else:
        write(standing_lines(sheet, stand, now, columns()), sys.stdout, wants_attributes(sys.stdout))
    return output.DONE


def _work(sheet: Sheet) -> int:
    from whichresin.session.run_file import RunError, RunFile, new_session, tick
    from whichresin.terminal.bench import Bench
    from whichresin.terminal.lines import wants_attributes
    from whichresin.terminal.watchful import WatchfulAsks

    from .bench_text import columns

    session = new_session()
    try:
        record = RunFile(run_path(sheet.id), sheet.id)
        asks = WatchfulAsks(sys.stdin, sys.stdout)
        bench = Bench(
            sheet,
            record.events,
            asks,
            sys.stdout,
            record.write,
            lambda: tick(session),
            time.sleep,
            wants_attributes(sys.stdout),
            columns(),
        )
        asks.watch = bench.watch
        finished = bench.run()
        record.close()
    except RunError as error:
        raise output.BadInput(str(error)) from None
    kept = _keep_times(sheet)
    if finished and not kept:
        sys.stdout.write("Keep it, so that its outcome can be added: whichresin jobs add SHEET\n")
    return output.DONE


def _keep_times(sheet: Sheet) -> bool:
    """Take what was done into the record, when the sheet is a kept job."""
    from whichresin.records.store import FILE, RecordError
    from whichresin.session.journal import folder

    from .job_files import keep_times, opened

    if not (folder() / FILE).exists():
        return False
    try:
        with opened() as store:
            for one in store.all():
                if one.job.sheet.get("id") == sheet.id:
                    keep_times(store, one.id, sheet.id)
                    return True
    except RecordError as error:
        output.say_error(f"{error}; the run itself is kept, 'whichresin jobs add' takes it in later")
    return False
