"""What `jobs`, `run` and `sheet` share: the store, the times of a run, and files that are never written over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.records.rows import Kept
    from whichresin.records.store import Store


def opened() -> Store:
    """The store in the data folder. Raises RecordError."""
    from whichresin.records.store import FILE, Store
    from whichresin.session.journal import folder

    return Store(folder() / FILE)


def kept_job(number: int) -> Kept:
    """One kept job. Raises BadInput when there is none."""
    from whichresin.records.store import RecordError

    try:
        with opened() as store:
            return store.get(number)
    except RecordError as error:
        raise output.BadInput(str(error)) from None


def keep_times(store: Store, number: int, sheet: str) -> None:
    """Take clock times and notes of a sheet's run into its job: each once, oldest first."""
    from datetime import UTC, datetime

    from whichresin.records.rows import Noted
    from whichresin.session.run_file import RunError, read_run

    from .run import run_path

    try:
        events = read_run(run_path(sheet), sheet)
    except RunError as error:
        output.say_error(str(error))
        return
    steps = {step["number"]: step["id"] for step in store.get(number).job.sheet.get("steps", [])}
    known = {(note.what, note.text, note.at) for note in store.get(number).notes}
    for event in events:
        if event.kind == "opened":
            continue
        at = datetime.fromtimestamp(event.at.wall, UTC).isoformat(timespec="seconds")
        said = ": ".join(filter(None, (event.name, event.text)))
        text = f"{event.kind} {said}".strip()
        if (steps.get(event.step, "run"), text, at) not in known:
            store.add_note(number, Noted(steps.get(event.step, "run"), text, at))


def write_new(name: str, text: str) -> None:
    """Write a file that must not exist yet. Raises BadInput."""
    try:
        with Path(name).open("x", encoding="utf-8", newline="") as stream:
            stream.write(text)
    except FileExistsError:
        raise output.BadInput(f"{name} is there already; choose another name, nothing is written over") from None
    except OSError as error:
        raise output.BadInput(f"{name} cannot be written: {error.strerror or error}") from None
