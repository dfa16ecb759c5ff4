"""`whichresin jobs`: the record of the jobs: list, show, add, note, photo, outcome, export, report."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.records.store import Store
    from whichresin.terminal.lines import Line

    from .options import Options

_LONGEST = 500


def parser() -> Options:
    """The options of the command."""
    from .jobs_options import parser

    return parser()


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    from whichresin.records.store import RecordError

    from .job_files import opened

    options = parser().parse_args(args)
    try:
        with opened() as store:
            result: int = _PARTS[options.part](store, options)
            return result
    except RecordError as error:
        raise output.BadInput(str(error)) from None


def _list(store: Store, options: argparse.Namespace) -> int:
    found = list(store.all())[::-1]
    if options.json:
        rows = [{key: value for key, value in one.as_json().items() if key != "sheet"} for one in found]
        output.say_json({"schema": 1, "jobs": rows})
    else:
        from .jobs_text import list_lines

        _show(list_lines(found, _width()))
    return output.DONE if found else output.NEGATIVE


def _one(store: Store, options: argparse.Namespace) -> int:
    kept = store.get(_number(options.job))
    if options.json:
        output.say_json({"schema": 1, **kept.as_json()})
    else:
        from .jobs_text import job_lines

        _show(job_lines(kept, _width()))
    return output.DONE


def _add(store: Store, options: argparse.Namespace) -> int:
    from whichresin.records.rows import Job

    from .job_files import keep_times
    from .run import read_sheet

    if options.sheet.isdigit() and not Path(options.sheet).exists():
        raise output.BadInput(f"{options.sheet} is a number; add wants a job sheet made with 'whichresin sheet'")
    sheet = read_sheet(options.sheet)
    for one in store.all():
        if one.job.sheet.get("id") == sheet.id:
            keep_times(store, one.id, sheet.id)
            raise output.BadInput(f"this sheet is job {one.id} already; its clock times were taken in")
    best = sheet.cells[0] if sheet.cells else None
    polymer = sheet.polymers[0].name if sheet.polymers else ""
    number = store.add(
        Job(
            sheet.part,
            sheet.decision,
            sheet.process,
            best.name if best else "",
            polymer,
            best.probability if best else 0.0,
            sheet.knowledge,
            sheet.as_json(),
            sheet.owner,
            _short(options.by, "--by"),
        )
    )
    keep_times(store, number, sheet.id)
    return _done(options, number, f"Kept as job {number}.")


def _note(store: Store, options: argparse.Namespace) -> int:
    from whichresin.records.rows import Noted

    number = _number(options.job)
    store.add_note(number, Noted("note", _short(options.text, "the note", needed=True)))
    return _done(options, number, f"Noted at job {number}.")


def _photo(store: Store, options: argparse.Namespace) -> int:
    import hashlib

    from whichresin.records.rows import Photo

    number, path = _number(options.job), Path(options.file)
    try:
        with path.open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise output.BadInput(f"{path} cannot be read: {error.strerror or error}") from None
    store.add_photo(number, Photo(options.stage, str(path.absolute()), digest))
    return _done(options, number, f"Photograph ({options.stage}) kept with job {number}; the file stays where it is.")


def _outcome(store: Store, options: argparse.Namespace) -> int:
    from whichresin.records.rows import Outcome

    number = _number(options.job)
    days = None
    if options.days is not None:
        if not options.days.isdigit() or int(options.days) > 40_000:
            raise output.BadInput(f"--days {options.days!r} is not a number of days; give a whole number, such as 90")
        days = int(options.days)
    if options.identification == "wrong" and not options.really:
        output.say_error("say --really MATERIAL as well, once it is known: it tells what is taken for what")
    store.add_outcome(
        number,
        Outcome(
            options.identification,
            options.repair,
            _material(options.really),
            _pattern(options.pattern),
            days,
            _short(options.note, "--note"),
            _short(options.by, "--by"),
        ),
    )
    return _done(options, number, f"Kept with job {number}; earlier words stay.")


def _export(store: Store, options: argparse.Namespace) -> int:
    import io
    import json

    from whichresin.records.export import write_csv

    from .job_files import write_new

    if options.csv == options.json:
        raise output.BadInput("say --csv or --json, one of them")
    stream = io.StringIO(newline="")
    if options.csv:
        write_csv(store.all(), stream)
    else:
        rows = [one.as_json() for one in store.all()]
        stream.write(json.dumps({"schema": 1, "jobs": rows}, ensure_ascii=True, indent=2) + "\n")
    if options.out:
        write_new(options.out, stream.getvalue())
    else:
        sys.stdout.write(stream.getvalue())
        sys.stdout.flush()
    return output.DONE


def _report(store: Store, options: argparse.Namespace) -> int:
    from whichresin.records.report import report

    found = report(store.all())
    if options.json:
        output.say_json({"schema": 1, **found.as_json()})
    else:
        from .jobs_text import report_lines

        _show(report_lines(found, _width()))
    return output.DONE


_PARTS = {
    "list": _list,
    "show": _one,
    "add": _add,
    "note": _note,
    "photo": _photo,
    "outcome": _outcome,
    "export": _export,
    "report": _report,
}


def _done(options: argparse.Namespace, number: int, sentence: str) -> int:
    if options.json:
        output.say_json({"schema": 1, "job": number})
    else:
        sys.stdout.write(f"{sentence}\n")
    return output.DONE


def _number(text: str) -> int:
    if not text.isdigit() or len(text) > 12:
        raise output.BadInput(f"{text!r} is not the number of a job; 'whichresin jobs list' shows them")
    return int(text)


def _short(text: str, name: str, needed: bool = False) -> str:
    said = " ".join(text.split())
    if needed and not said:
        raise output.BadInput(f"{name} is empty; write what happened")
    if len(said) > _LONGEST:
        raise output.BadInput(f"{name} is longer than {_LONGEST} characters; give the words that matter")
    return said


def _material(words: str) -> str:
    """The id of the material that words mean, so that the report can count; BadInput for none known."""
    if not words.strip():
        return ""
    from whichresin.session.load import NoModel, load_model
    from whichresin.session.supposed import find_material

    try:
        material = find_material(load_model(), words)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    if material is None:
        raise output.BadInput(f"no material is like {words!r}; give its symbol, such as PP or PA66")
    return material.id


def _pattern(words: str) -> str:
    if not words.strip():
        return ""
    from whichresin.repair.failure import find_patterns, load_failures
    from whichresin.vocabulary.words import listed

    failures = load_failures()
    found = find_patterns(failures, words)
    if len(found) != 1:
        known = listed([one.id for one in found] or failures.patterns, 12)
        raise output.BadInput(f"{words!r} is not one failure pattern; name one of {known}")
    return found[0].id


def _show(lines: list[Line]) -> None:
    from whichresin.terminal.lines import wants_attributes, write

    write(lines, sys.stdout, wants_attributes(sys.stdout))


def _width() -> int:
    from .bench_text import columns

    return columns()
