"""The file of the jobs: two at once, a crash and a full disk lose nothing that was acknowledged."""

from __future__ import annotations

import csv
import io
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.records.export import COLUMNS, write_csv
from whichresin.records.rows import Job, Noted, Outcome, Photo
from whichresin.records.store import FORMAT, NoSuchJob, RecordError, Store

JOB = Job("engine cover", "repair", "two_part_adhesive", "polar", "PA66", 0.87, "key", {"schema": 1, "products": []})
# Adds jobs without end (or `count` of them) and says each number as soon as it is acknowledged.
TEXT = st.characters(exclude_categories=["Cs"])
ADDER = """
import sys
from pathlib import Path
from whichresin.records.rows import Job
from whichresin.records.store import RecordError, Store
limit = int(sys.argv[3])
if limit:
    import resource, signal
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
with Store(Path(sys.argv[1])) as store:
    for number in range(int(sys.argv[2])):
        job = Job(f"part {number}", "repair", "laminate", "laminate", "UP-GF", 0.9, "key", {"filling": "x" * 2000})
        try:
            print(store.add(job), flush=True)
        except RecordError as error:
            print("refused:", error, flush=True)
            sys.exit(3)
"""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "jobs.sqlite") as opened:
        yield opened


def adder(path: Path, count: int, limit: int = 0) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", ADDER, str(path), str(count), str(limit)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def test_what_goes_in_comes_out(store: Store) -> None:
    """A job with its photographs, clock times and two outcomes; nothing is overwritten, the latest counts."""
    number = store.add(JOB)
    store.add_photo(number, Photo("found", "photos/one.jpg", "ab" * 32))
    store.add_note(number, Noted("promoter", "coat on", "2026-06-01T09:00:00+00:00"))
    store.add_outcome(number, Outcome("not_known", "held", days=30))
    store.add_outcome(number, Outcome("wrong", "failed", really="PP", pattern="bare_face", days=90, by="A."))
    kept = store.get(number)
    assert kept.job == JOB
    assert kept.photos[0].path == "photos/one.jpg" and kept.notes[0].at == "2026-06-01T09:00:00+00:00"
    assert [one.repair for one in kept.outcomes] == ["held", "failed"]
    assert kept.outcome is not None and kept.outcome.days == 90
    assert kept.as_json()["outcomes"][1]["pattern"] == "bare_face"


@pytest.fixture(scope="module")
def lasting(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with Store(tmp_path_factory.mktemp("any") / "jobs.sqlite") as opened:
        yield opened


@settings(max_examples=30)
@given(st.text(TEXT, max_size=80), st.dictionaries(st.text(TEXT, max_size=8), st.text(TEXT, max_size=8), max_size=3))
def test_any_text_survives(lasting: Store, text: str, sheet: dict[str, str]) -> None:
    """Quotes, line feeds and foreign letters are data and nothing else."""
    kept = lasting.get(lasting.add(Job(text, "repair", "none", "", "", 0.5, "", sheet, owner=text)))
    assert (kept.job.part, kept.job.owner, kept.job.sheet) == (text, text, sheet)


def test_bytes_that_are_no_text_are_said(lasting: Store) -> None:
    """A file name in a foreign encoding is refused in a sentence, not with a traceback."""
    with pytest.raises(RecordError, match="no sound text"):
        lasting.add(Job("\udce9", "repair", "none", "", "", 0.5, "", {}))


def test_a_job_that_is_not_there_is_said(store: Store) -> None:
    """Nothing is added to a job that does not exist."""
    with pytest.raises(NoSuchJob, match="there is no job 7; 'whichresin jobs list' shows them"):
        store.get(7)
    with pytest.raises(NoSuchJob):
        store.add_outcome(7, Outcome("held", "held"))


def test_two_at_once_lose_nothing(tmp_path: Path) -> None:
    """Two people who add jobs at the same moment get numbers of their own, and every job is there."""
    path = tmp_path / "jobs.sqlite"
    running = [adder(path, 40), adder(path, 40)]
    told = [int(line) for one in running for line in one.communicate(timeout=60)[0].split()]
    assert len(told) == len(set(told)) == 80
    with Store(path) as opened:
        assert sorted(one.id for one in opened.all()) == sorted(told)


def test_a_crash_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    """Killed in the middle of writing: all numbers that were told are there, and the file is whole."""
    path = tmp_path / "jobs.sqlite"
    running = adder(path, 100_000)
    assert running.stdout is not None
    told = [int(running.stdout.readline()) for _ in range(15)]
    time.sleep(0.02)
    os.kill(running.pid, signal.SIGKILL)
    rest = running.communicate(timeout=60)[0]
    told += [int(line) for line in rest.splitlines(keepends=True) if line.endswith("\n")]
    with Store(path) as opened:
        numbers = [one.id for one in opened.all()]
        assert set(told) <= set(numbers) and len(numbers) <= len(told) + 1
        again = opened.add(JOB)
        assert again > max(told)
    with sqlite3.connect(path) as base:
        assert base.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files there")
def test_a_full_disk_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    """When the file may grow no more the write is refused in a sentence, and what was told before stays."""
    path = tmp_path / "jobs.sqlite"
    running = adder(path, 500, limit=150_000)
    lines = running.communicate(timeout=60)[0].splitlines()
    assert running.returncode == 3 and "the disk takes no more; nothing was changed" in lines[-1], lines[-1]
    told = [int(line) for line in lines[:-1]]
    assert told
    with Store(path) as opened:
        assert [one.id for one in opened.all()] == told
        assert opened.add(JOB) == told[-1] + 1


def test_a_waiting_lock_is_waited_for_and_then_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that never lets go is told as such, without a traceback."""
    monkeypatch.setattr("whichresin.records.store._WAIT_SECONDS", 0.05)
    path = tmp_path / "jobs.sqlite"
    with Store(path) as first, Store(path) as second:
        first._base.execute("BEGIN IMMEDIATE")
        with pytest.raises(RecordError, match="somebody else is writing; do it again"):
            second.add(JOB)
        first._base.execute("ROLLBACK")
        assert second.add(JOB) == 1


def test_a_file_that_is_none_is_said(tmp_path: Path) -> None:
    """A damaged file is never written over."""
    path = tmp_path / "jobs.sqlite"
    path.write_bytes(b"this is no database, but it is long enough to look like one" * 20)
    with pytest.raises(RecordError, match="damaged or no file of jobs"):
        Store(path)
    assert path.read_bytes().startswith(b"this is no database")


def test_a_later_format_is_not_touched(tmp_path: Path) -> None:
    """An older program must not write into what a newer one keeps."""
    path = tmp_path / "jobs.sqlite"
    with sqlite3.connect(path) as base:
        base.execute(f"PRAGMA user_version = {FORMAT + 1}")
    with pytest.raises(RecordError, match=f"is of format {FORMAT + 1}; this version reads format {FORMAT}"):
        Store(path)


def test_a_table_for_spreadsheets_holds_no_formula(store: Store) -> None:
    """Words that begin like a formula would be run by a spreadsheet; quotes and line feeds stay in their cell."""
    sheet = {"products": [{"name": "a glue", "lot": "7"}, {"name": "mesh"}]}
    store.add_outcome(
        store.add(Job('=1+1, "x"\ny', "repair", "laminate", "laminate", "UP-GF", 0.9, "k", sheet)),
        Outcome("held", "held", days=3),
    )
    store.add(JOB)
    stream = io.StringIO(newline="")
    assert write_csv(store.all(), stream) == 2
    rows = list(csv.reader(io.StringIO(stream.getvalue(), newline="")))
    assert tuple(rows[0]) == COLUMNS and all(len(row) == len(COLUMNS) for row in rows)
    first = dict(zip(rows[0], rows[1], strict=True))
    assert first["part"] == '\'=1+1, "x"\ny' and first["products"] == "a glue 7; mesh" and first["days"] == "3"
