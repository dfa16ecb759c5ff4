"""`whichresin shelf` as a person and a script meet it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

DEMO = Path(__file__).parents[1] / "demo" / "shelf"


def run(*args: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "whichresin", "shelf", *args]
    return subprocess.run(command, capture_output=True, check=False, timeout=120, text=True)


def test_the_shelf_against_a_part(tmp_path: Path) -> None:
    """Each product with its verdict; the sentence says why it is refused."""
    answers = tmp_path / "a.yaml"
    answers.write_text("marking: '>PA66-GF30<'\n")
    done = run(str(DEMO), "--answers", str(answers), "--celsius", "20", "--today", "2026-06-01", "--json")
    assert done.returncode == 0 and done.stderr == ""
    document = json.loads(done.stdout)
    verdicts = {one["id"]: one["verdict"] for one in document["products"]}
    assert document["schema"] == 1
    assert verdicts["rigid-two-part"] == "suits" and verdicts["polyolefin-promoter"] == "refused"
    assert verdicts["pp-rod"] == verdicts["old-filler"] == "refused"


def test_a_faulty_product_is_said_and_counts() -> None:
    """Exit code 1: the files were understood, and something in them is wrong."""
    done = run(str(DEMO / "README.md"))
    assert done.returncode == 1 and "No product can be used." in done.stdout


def test_bad_input_is_one_sentence() -> None:
    """No traceback; what is wrong and what to write instead."""
    for args, words in (
        (["--today", "soon", str(DEMO)], "'soon' is not a day; write it as 2026-03-31"),
        (["--celsius", "warm", str(DEMO)], "--celsius 'warm' is not a number"),
        (["--celsius", "300", str(DEMO)], "no temperature of a workshop"),
        ([], "there is no shelf yet: put product files into"),
    ):
        done = run(*args)
        assert done.returncode == 2 and words in done.stderr and done.stderr.count("\n") == 1, done.stderr
