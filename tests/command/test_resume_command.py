"""Nothing is lost: an interview killed at any moment is gone on with, and odd folders never stop the work."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

from whichresin.session.events import Answered
from whichresin.session.journal import recorded_in

COMMAND = [sys.executable, "-m", "whichresin"]


def env(folder: Path) -> dict[str, str]:
    return {**os.environ, "WHICHRESIN_DATA": str(folder)}


def run(folder: Path, *args: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *args], input=typed, capture_output=True, text=True, check=False, timeout=120, env=env(folder)
    )


def answer_the_gate(process: subprocess.Popen[bytes], folder: Path) -> None:
    """Name the part, no marking, nothing guarded; wait until all three are in the journal."""
    assert process.stdin
    process.stdin.write(b"grille\n\n1\n")
    process.stdin.flush()
    end = time.monotonic() + 60
    while not any(len(one.events) == 3 for one in recorded_in(folder)):
        assert time.monotonic() < end
        time.sleep(0.05)


def test_kill_9_loses_at_most_the_answer_being_typed(tmp_path: Path) -> None:
    """The process is killed while it waits; all answers given are there, and the interview goes on."""
    with subprocess.Popen(
        [*COMMAND, "interview"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=env(tmp_path)
    ) as p:
        answer_the_gate(p, tmp_path)
        p.send_signal(signal.SIGKILL)
    (recorded,) = recorded_in(tmp_path)
    assert recorded.events[0] == Answered("part", "grille")
    done = run(tmp_path, "resume", typed="1\nq\n")
    assert done.returncode == 0
    assert "What does this part keep safe" not in done.stdout
    assert recorded_in(tmp_path)[0].finished


def test_an_interview_that_is_open_elsewhere_is_not_gone_on_with(tmp_path: Path) -> None:
    """Answers of two windows in one journal would mix; the second is told where it is open, the first loses nothing."""
    with subprocess.Popen(
        [*COMMAND, "interview"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=env(tmp_path)
    ) as p:
        answer_the_gate(p, tmp_path)
        refused = run(tmp_path, "resume", typed="5\n")
        assert refused.returncode == 2 and "open in another window" in refused.stderr
        assert refused.stderr.count("\n") == 1
        p.communicate(b"q\n\n", timeout=60)
    (recorded,) = recorded_in(tmp_path)
    assert recorded.finished and len(recorded.events) == 3


def test_two_open_interviews_are_listed(tmp_path: Path) -> None:
    """With more than one open, the person chooses by number; a number that is not there is said."""
    for part in ("grille", "hood"):
        run(tmp_path, "interview", typed=f"{part}\n")
    done = run(tmp_path, "resume")
    assert "grille, 1 answer" in done.stdout and "hood, 1 answer" in done.stdout
    assert run(tmp_path, "resume", "9").returncode == 2
    assert run(tmp_path, "resume", "2", typed="\n").returncode == 0


def test_nothing_open_is_said(tmp_path: Path) -> None:
    """No interview to go on with is a plain sentence and exit code 1."""
    done = run(tmp_path, "resume")
    assert (done.returncode, done.stdout) == (1, "There is no interview to go on with.\n")


def test_a_folder_that_cannot_be_made_is_said_and_the_interview_goes_on(tmp_path: Path) -> None:
    """No place for the journal: one sentence, and the result is still reached."""
    (tmp_path / "file").write_text("")
    done = run(tmp_path / "file", "interview", typed="grille\n\nq\n")
    assert done.returncode == 0
    assert "cannot be resumed" in done.stderr
    assert "Where this ends" in done.stdout


def test_finished_interviews_are_listed(tmp_path: Path) -> None:
    """What was finished stays, with its notes, as text and as JSON."""
    assert run(tmp_path, "interviews").returncode == 1
    run(tmp_path, "interview", typed="grille\n\nn\nhairline\nq\n")
    assert "grille" in run(tmp_path, "interviews").stdout
    document = json.loads(run(tmp_path, "interviews", "--json").stdout)
    assert {"event": "noted", "text": "hairline"} in document["interviews"][0]["events"]
