"""`decode --batch`: order, bad lines, constant memory, progress only for people, stop and resume, a closed pipe."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import pytest

from whichresin.command import batch
from whichresin.marking import align, near, search
from whichresin.marking.decoder import decode
from whichresin.marking.load import load

RUN = [sys.executable, "-m", "whichresin.command.decode", "--top", "1", "--batch"]
pty = pytest.importorskip("pty")


def _run(file: Path, *more: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([*RUN, str(file), *more], capture_output=True, check=False, timeout=200)


@pytest.fixture(scope="module")
def bad_lines(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """181 lines; line 91 is no UTF-8 and line 120 is far too long."""
    rows = [text.encode() for text in ("PP", ">PA66-GF3O<", "205/55R16")] * 61
    rows[90], rows[119] = b"\xff\xfe", b"P" * 50_000
    file = tmp_path_factory.mktemp("batch") / "marks.txt"
    file.write_bytes(b"\n".join(rows[:181]) + b"\n")
    return file


def test_order_and_bad_lines_with_two_processes(bad_lines: Path) -> None:
    """One row a line in the order of the file, whoever decoded it; bad lines by number, and none of them stops it."""
    one, two = _run(bad_lines), _run(bad_lines, "--jobs", "2")
    assert one.stdout == two.stdout
    rows = [json.loads(row) for row in one.stdout.splitlines()]
    assert [row["line"] for row in rows] == list(range(1, 182))
    assert [row["line"] for row in rows if "error" in row] == [91, 120]
    for done in (one, two):
        assert done.returncode == 2
        assert b"line 91: byte 1 is not UTF-8" in done.stderr
        assert b"line 120: longer than 4096 bytes" in done.stderr
    resumed = _run(bad_lines, "--from", "101")
    assert resumed.stdout.splitlines() == one.stdout.splitlines()[100:]


def test_stopped_and_resumed(tmp_path: Path) -> None:
    """Ctrl-C ends with whole rows and says how to go on; both parts together are the whole."""
    texts = [f">PP-TD{20 + i % 3}<" for i in range(60)]
    writer = subprocess.Popen(
        [*RUN, "-"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    )
    assert writer.stdin and writer.stdout and writer.stderr
    writer.stdin.write("".join(f"{text}\n" for text in texts[:40]).encode())
    writer.stdin.flush()
    _wait_until_it_reads(writer)
    writer.send_signal(signal.SIGINT)
    out, said = writer.communicate(timeout=60)
    rows = out.splitlines()
    assert writer.returncode == 130
    assert f"stopped after line {len(rows)}; to go on" in said.decode()
    assert f"--from {len(rows) + 1}" in said.decode()
    file = tmp_path / "marks.txt"
    file.write_text("\n".join(texts), encoding="utf-8")
    rest = _run(file, "--from", str(len(rows) + 1)).stdout.splitlines()
    assert [json.loads(row)["text"] for row in rows + rest] == texts
    assert [json.loads(row)["line"] for row in rows + rest] == list(range(1, 61))


def _wait_until_it_reads(writer: subprocess.Popen[bytes]) -> None:
    """Until the tables are loaded and the first lines are taken, as far as that can be seen from outside."""
    import time

    for _ in range(400):
        state = Path(f"/proc/{writer.pid}/wchan")
        if state.exists() and "pipe" in state.read_text():
            return
        time.sleep(0.1)


def test_progress_only_on_a_terminal(tmp_path: Path) -> None:
    """A bar on a terminal, taken away at the end; not a byte of it in a pipe or among the rows."""
    file = tmp_path / "marks.txt"
    file.write_text("PP\n" * 450, encoding="utf-8")
    piped = _run(file)
    assert piped.stderr == b""
    ours, theirs = pty.openpty()
    shown = subprocess.Popen([*RUN, str(file)], stdout=subprocess.PIPE, stderr=theirs)
    os.close(theirs)
    rows = shown.communicate(timeout=100)[0]
    bar = b"".join(_read_all(ours))
    assert rows == piped.stdout
    assert b"line 200" in bar and b"line 400" in bar and b"%" in bar
    assert bar.rstrip(b" ").endswith(b"\r") or bar.endswith(b"\r")


def _read_all(descriptor: int) -> Iterator[bytes]:
    try:
        while data := os.read(descriptor, 4096):
            yield data
    except OSError:  # the other side is closed
        pass
    finally:
        os.close(descriptor)


def test_a_closed_pipe_ends_it_quietly(tmp_path: Path) -> None:
    """A reader that goes away ends the batch without a word."""
    file = tmp_path / "marks.txt"
    file.write_text("PP\n" * 3000, encoding="utf-8")
    writer = subprocess.Popen([*RUN, str(file)], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert writer.stdout is not None and writer.stderr is not None
    writer.stdout.readline()
    writer.stdout.close()
    said = writer.stderr.read()
    writer.stderr.close()
    writer.wait(timeout=60)
    assert said == b""


def test_constant_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """What is remembered between lines is bounded: with small bounds, three times the lines need no more memory."""
    monkeypatch.setattr(near, "MOST_KEPT", 60)
    monkeypatch.setattr(align, "MOST_KEPT", 60)
    monkeypatch.setattr(search, "MOST_KNOWN", 20)
    tables = load()
    decode(">PX?-GF3O.<", tables)  # the tables of the search are made when they are first asked
    monkeypatch.setattr(batch, "load_tables", lambda folder: tables)
    rng = random.Random(4)
    texts = [f">{rng.choice(('PP', 'ABS', 'PA66', 'PBT'))}-GF{rng.randrange(1, 99):02d}<" for _ in range(60)]
    file = tmp_path / "marks.txt"
    held = []
    tracemalloc.start()
    try:
        for count in (20, 60):
            file.write_text("\n".join(texts[:count]), encoding="utf-8")
            batch.run_batch(str(file), 1, 1, 1, None)
            capsys.readouterr()
            held.append(tracemalloc.get_traced_memory()[0])
    finally:
        tracemalloc.stop()
    assert held[1] < held[0] + 1_000_000
