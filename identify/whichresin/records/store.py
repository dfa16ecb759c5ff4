"""The SQLite file of the jobs: every write is one transaction, on the disk when the call returns, or not at all.

Write-ahead log and a lock that waits, so that two people at once lose nothing; full synchronisation, so that a power
cut loses at most what was being written; a full disk undoes the write and says so.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import astuple
from datetime import UTC, datetime
from pathlib import Path

from .rows import Job, Kept, Noted, Outcome, Photo

FORMAT = 1
FILE = "jobs.sqlite"
_WAIT_SECONDS = 20.0
_SCHEMA = """
CREATE TABLE jobs (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, part TEXT NOT NULL, decision TEXT NOT NULL,
    process TEXT NOT NULL, cell TEXT NOT NULL, polymer TEXT NOT NULL, probability REAL NOT NULL,
    knowledge TEXT NOT NULL, sheet TEXT NOT NULL, owner TEXT NOT NULL, by TEXT NOT NULL);
CREATE TABLE photos (job INTEGER NOT NULL REFERENCES jobs(id), stage TEXT NOT NULL, path TEXT NOT NULL,
    sha256 TEXT NOT NULL, at TEXT NOT NULL);
CREATE TABLE notes (job INTEGER NOT NULL REFERENCES jobs(id), what TEXT NOT NULL, text TEXT NOT NULL, at TEXT NOT NULL);
CREATE TABLE outcomes (job INTEGER NOT NULL REFERENCES jobs(id), identification TEXT NOT NULL, repair TEXT NOT NULL,
    really TEXT NOT NULL, pattern TEXT NOT NULL, days INTEGER, note TEXT NOT NULL, by TEXT NOT NULL, at TEXT NOT NULL);
"""
_JOB = "id, at, part, decision, process, cell, polymer, probability, knowledge, sheet, owner, by"


class RecordError(Exception):
    """The records cannot be read or written; the message is one sentence."""


class NoSuchJob(RecordError):
    """No job has that number."""


def now() -> str:
    """The time of a record: UTC to the second, ISO 8601."""
    return datetime.now(UTC).isoformat(timespec="seconds")


class Store:
    """An open file of jobs. Close it, or use it in a `with` block."""

    def __init__(self, path: Path, clock: Callable[[], str] = now) -> None:
        """Open or make the file. Raises RecordError when it cannot be used, or is of a later format."""
        self.path = path
        self._clock = clock
        with self._said("opened"):
            path.parent.mkdir(parents=True, exist_ok=True)
            self._base = sqlite3.connect(path, timeout=_WAIT_SECONDS, isolation_level=None)
            try:
                self._prepare()
            except BaseException:
                self._base.close()
                raise

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._base.close()

    def _prepare(self) -> None:
        self._base.execute(f"PRAGMA busy_timeout = {int(_WAIT_SECONDS * 1000)}")
        self._base.execute("PRAGMA foreign_keys = ON")
        self._base.execute("PRAGMA journal_mode = WAL")  # stays with the old journal where the file system has no WAL
        self._base.execute("PRAGMA synchronous = FULL")
        if self._format() == 0:
            with self._write() as base:
                if self._format() == 0:  # nobody else made it meanwhile
                    for statement in filter(str.strip, _SCHEMA.split(";")):
                        base.execute(statement)
                    base.execute(f"PRAGMA user_version = {FORMAT}")
        if self._format() != FORMAT:
            raise RecordError(f"{self.path} is of format {self._format()}; this version reads format {FORMAT}")

    def _format(self) -> int:
        return int(self._base.execute("PRAGMA user_version").fetchone()[0])

    def add(self, job: Job) -> int:
        """Keep a job; returns its number."""
        sheet = json.dumps(job.sheet, ensure_ascii=True, separators=(",", ":"))
        values = (
            self._clock(), job.part, job.decision, job.process, job.cell, job.polymer, job.probability, job.knowledge,
            sheet, job.owner, job.by,
        )  # fmt: skip
        with self._said("written"), self._write() as base:
            marks = ", ".join("?" * len(values))
            return int(base.execute(f"INSERT INTO jobs ({_JOB[4:]}) VALUES ({marks})", values).lastrowid or 0)

    def add_photo(self, job: int, photo: Photo) -> None:
        """Add a photograph to a job. Raises NoSuchJob."""
        self._append("photos", job, (photo.stage, photo.path, photo.sha256, photo.at or self._clock()))

    def add_note(self, job: int, note: Noted) -> None:
        """Add a note or a clock time to a job. Raises NoSuchJob."""
        self._append("notes", job, (note.what, note.text, note.at or self._clock()))

    def add_outcome(self, job: int, outcome: Outcome) -> None:
        """Add what became of a job; earlier words stay. Raises NoSuchJob."""
        self._append("outcomes", job, (*astuple(outcome)[:-1], outcome.at or self._clock()))

    def get(self, number: int) -> Kept:
        """One job with all that was added to it. Raises NoSuchJob."""
        with self._said("read"):
            row = self._base.execute(f"SELECT {_JOB} FROM jobs WHERE id = ?", (number,)).fetchone()
            if row is None:
                raise NoSuchJob(f"there is no job {number}; 'whichresin jobs list' shows them")
            return self._kept(row)

    def all(self) -> Iterator[Kept]:
        """Every job, oldest first."""
        with self._said("read"):
            for row in self._base.execute(f"SELECT {_JOB} FROM jobs ORDER BY id").fetchall():
                yield self._kept(row)

    def _kept(self, row: tuple[object, ...]) -> Kept:
        number, at, part, decision, process, cell, polymer, chance, knowledge, sheet, owner, by = row
        job = Job(
            str(part), str(decision), str(process), str(cell), str(polymer), float(str(chance)), str(knowledge),
            json.loads(str(sheet)), str(owner), str(by),
        )  # fmt: skip

        def rows(table: str) -> list[tuple[object, ...]]:
            found = self._base.execute(f"SELECT * FROM {table} WHERE job = ? ORDER BY rowid", (number,)).fetchall()
            return [one[1:] for one in found]

        return Kept(
            int(str(number)),
            str(at),
            job,
            tuple(Photo(*map(str, one)) for one in rows("photos")),
            tuple(Noted(*map(str, one)) for one in rows("notes")),
            tuple(Outcome(*one) for one in rows("outcomes")),  # type: ignore[arg-type]
        )

    def _append(self, table: str, job: int, values: tuple[object, ...]) -> None:
        with self._said("written"), self._write() as base:
            if base.execute("SELECT 1 FROM jobs WHERE id = ?", (job,)).fetchone() is None:
                raise NoSuchJob(f"there is no job {job}; 'whichresin jobs list' shows them")
            marks = ", ".join("?" * (len(values) + 1))
            base.execute(f"INSERT INTO {table} VALUES ({marks})", (job, *values))

    @contextmanager
    def _write(self) -> Iterator[sqlite3.Connection]:
        """One transaction that holds the write lock from its start."""
        self._base.execute("BEGIN IMMEDIATE")
        try:
            yield self._base
            self._base.execute("COMMIT")
        except BaseException:
            if self._base.in_transaction:
                self._base.execute("ROLLBACK")
            raise

    @contextmanager
    def _said(self, what: str) -> Iterator[None]:
        """Turns what SQLite and the disk say into one sentence."""
        try:
            yield
        except sqlite3.DatabaseError as error:
            text = str(error).lower()
            if "full" in text or "disk i/o" in text:
                text = "the disk takes no more; nothing was changed, make room and do it again"
            elif "locked" in text or "busy" in text:
                text = "somebody else is writing; do it again"
            elif "not a database" in text or "malformed" in text:
                text = "it is damaged or no file of jobs; set it aside, a new one is made"
            raise RecordError(f"{self.path} cannot be {what}: {text}") from None
        except UnicodeError:
            raise RecordError("a text holds bytes that are no sound text; write it in UTF-8") from None
        except OSError as error:
            raise RecordError(f"{self.path} cannot be {what}: {error.strerror or error}") from None
