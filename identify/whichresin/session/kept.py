"""Finished interviews: a transcript beside each journal in the user's data folder, and how one is found again."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from whichresin.knowledge.model import Model
from whichresin.vocabulary.words import nearest

from .course import new_desk
from .journal import JournalError, Recorded, read, recorded_in
from .record import recorded, transcript_from
from .state import still_fits
from .transcript import Transcript


def finished(folder: Path) -> list[Recorded]:
    """The finished interviews of a data folder, newest first."""
    return [one for one in recorded_in(folder) if one.finished]


def transcript_path(one: Recorded) -> Path:
    """Where the transcript of an interview stands: beside its journal."""
    return one.path.with_suffix(".yaml")


def transcript_of_journal(model: Model, one: Recorded) -> Transcript:
    """The interview as a transcript that waits to be recorded; what the model no longer knows is left out."""
    known = [event for event in one.events if still_fits(model, event)]
    return transcript_from(known, one.shop, one.target, one.started)


def save_transcript(model: Model, journal: Path) -> Path:
    """Write the transcript of a finished interview; returns its path. Raises JournalError when it cannot be written."""
    one = read(journal)
    text = recorded(new_desk(model), transcript_of_journal(model, one))
    path = transcript_path(one)
    write_whole(path, text)
    return path


def write_whole(path: Path, text: str) -> None:
    """Write a file whole or not at all, its folder first. Raises JournalError with one sentence."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8", newline="\n")
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise JournalError(f"{path} cannot be written: {error.strerror or error}") from None


def find(folder: Path, name: str) -> Recorded:
    """A finished interview by its number in the list, or by its name. Raises LookupError with one sentence."""
    found = finished(folder)
    if name.isdigit() and 1 <= int(name) <= len(found):
        return found[int(name) - 1]
    by_name = {one.path.stem: one for one in found}
    if name in by_name:
        return by_name[name]
    if not found:
        raise LookupError("no interview has been finished yet")
    near = nearest(name, by_name)
    hint = f"did you mean '{near}'?" if near else f"'whichresin interviews' lists {len(found)}"
    raise LookupError(f"there is no finished interview '{name}'; {hint}")
