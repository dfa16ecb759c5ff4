"""`whichresin failure` as a person and a script meet it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest


def run(*args: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "whichresin", "failure", *args]
    return subprocess.run(command, capture_output=True, check=False, timeout=120, text=True)


def test_a_pattern_against_an_identification(tmp_path: Path) -> None:
    """Cause, step and how the belief moves, in one document."""
    answers = tmp_path / "a.yaml"
    answers.write_text("float_in_water: sinks\ngrind: clumps\n")
    done = run("came", "off", "whole", "--answers", str(answers), "--json")
    assert done.returncode == 0 and done.stderr == "", done.stderr
    document = json.loads(done.stdout)
    assert document["schema"] == 1 and document["patterns"][0]["id"] == "bare_face"
    cells = {one["id"]: one for one in document["identification"]["cells"]}
    assert cells["polyolefin"]["after"] > cells["polyolefin"]["before"]


def test_shares_lead_with_the_larger() -> None:
    """A mixed pattern is told by its shares of the area, the main one first."""
    document = json.loads(run("torn_repair=30", "bare_face=70", "--json").stdout)
    assert [(one["id"], one["share_percent"]) for one in document["patterns"]] == [
        ("bare_face", 70.0),
        ("torn_repair", 30.0),
    ]


def test_without_a_pattern_it_lists_them() -> None:
    """Whoever holds a broken part in the hand does not know the words yet."""
    done = run()
    assert done.returncode == 0 and "bare_face" in done.stdout and "lamp held low" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["banana"], "no failure pattern is like 'banana'; known are bare_face"),
        (["bare"], "'bare' could be bare_face, promoter_film"),
        (["bare_face=70", "torn_repair=50"], "the shares come to 120 percent"),
        (["bare_face=0"], "expected above 0 and at most 100"),
        (["bare_face=lots"], "is not a number in percent"),
        (["bare_face", "--answers", "nowhere.yaml"], "there is no such file"),
    ],
)
def test_bad_input_is_one_sentence(args: list[str], words: str) -> None:
    """No traceback; what is wrong and what to write instead."""
    done = run(*args)
    assert done.returncode == 2 and words in done.stderr and done.stderr.count("\n") == 1, done.stderr
