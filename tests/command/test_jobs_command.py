"""`whichresin run` and `whichresin jobs` as a person and a script meet them, on a sheet made by hand."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "repair"))
from sample_plan import bonded, referred

from whichresin.command.main import run
from whichresin.knowledge.model import Model
from whichresin.repair.product_rules import load_product_rules
from whichresin.repair.provide import Provision
from whichresin.repair.sheet import make_sheet


class Shop:
    """A data folder of its own and a sheet in it."""

    def __init__(self, folder: Path, model: Model) -> None:
        self.folder = folder
        self.sheet, self.refer = folder / "sheet.json", folder / "refer.json"
        for path, plan in ((self.sheet, bonded(model)), (self.refer, referred(model))):
            made = make_sheet(plan, Provision(), load_product_rules(), model.cautions, "2026-06-01T09:00:00", "a farm")
            path.write_text(json.dumps(made.as_json()))

    def __call__(self, *args: str, typed: str = "") -> subprocess.CompletedProcess[str]:
        """The command in this process: many short calls, each without the cost of a start."""
        out, err = io.StringIO(newline=""), io.StringIO()
        with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
            patch.setenv("WHICHRESIN_DATA", str(self.folder / "data"))
            patch.setattr(sys, "stdin", io.StringIO(typed))
            try:
                code = run(list(args))
            except SystemExit as stop:
                code = int(str(stop.code))
        return subprocess.CompletedProcess(args, code, out.getvalue(), err.getvalue())

    def outside(self, *args: str) -> subprocess.CompletedProcess[str]:
        """The command as a person starts it."""
        command = [sys.executable, "-m", "whichresin", *args]
        environment = {**os.environ, "WHICHRESIN_DATA": str(self.folder / "data")}
        return subprocess.run(
            command, capture_output=True, check=False, timeout=120, text=True, env=environment, stdin=subprocess.DEVNULL
        )

    def json(self, *args: str) -> dict[str, object]:
        done = self(*args, "--json")
        assert done.returncode == 0 and done.stderr == "", done.stderr
        found: dict[str, object] = json.loads(done.stdout)
        assert found["schema"] == 1
        return found


@pytest.fixture
def shop(tmp_path: Path, shipped: Model) -> Shop:
    return Shop(tmp_path, shipped)


def test_a_job_from_sheet_to_report(shop: Shop) -> None:
    """Run a part of it, restart, keep it, say what became of it, export it, report on it."""
    first = shop("run", str(shop.sheet), typed="\n\n\nq\n")
    assert first.returncode == 0 and "Kept. Go on with it" in first.stdout
    again = shop("run", str(shop.sheet), typed="\nq\n")
    assert "1 of 7 steps done; now step 2." in again.stdout
    assert shop.json("run", str(shop.sheet), "--status")["current"] == 2

    assert shop.json("jobs", "add", str(shop.sheet))["job"] == 1
    picture = shop.folder / "found.jpg"
    picture.write_bytes(b"not really a picture")
    assert shop.json("jobs", "photo", "1", str(picture), "--stage", "found")["job"] == 1
    assert shop.json("jobs", "note", "1", "the bracket was missing")["job"] == 1
    ended = ("--identification", "wrong", "--really", "polyethylene", "--repair", "failed", "--pattern", "bare_face")
    assert shop.json("jobs", "outcome", "1", *ended, "--days", "40")["job"] == 1

    shown = shop.json("jobs", "show", "1")
    assert shown["part"] == "engine cover <left>" and shown["polymer"] == "PP"
    assert [one["what"] for one in shown["notes"]][:2] == ["wash", "wash"], "clock times of the run are in the record"
    assert shown["photos"][0]["path"] == str(picture) and len(shown["photos"][0]["sha256"]) == 64
    assert shown["sheet"]["plan"]["decision"] == "repair", "the plan is kept whole"
    report = shop.json("jobs", "report")
    assert report["identification"]["held"] == 0 and report["identification"]["known"] == 1
    assert report["failure_patterns"] == [{"pattern": "bare_face", "count": 1}]
    assert "0 of 1 held, so between 0 and 79 %" in shop("jobs", "report").stdout

    rows = list(csv.DictReader(io.StringIO(shop("jobs", "export", "--csv").stdout)))
    assert rows[0]["repair"] == "failed" and rows[0]["days"] == "40" and rows[0]["owner"] == "a farm"
    assert len(shop.json("jobs", "export")["jobs"]) == 1
    assert "1. " in shop("jobs", "list").stdout


def test_a_kept_job_is_run_by_its_number_and_its_times_are_taken_in(shop: Shop) -> None:
    """The record holds what was done after it was kept, too; each entry once."""
    shop("jobs", "add", str(shop.sheet))
    assert "engine cover" in shop("run", "1", typed="\n\n\nq\n").stdout
    shop("run", "1", typed="\nq\n")
    notes = shop.json("jobs", "show", "1")["notes"]
    assert [(one["what"], one["text"]) for one in notes] == [("wash", "begun"), ("wash", "done"), ("coat", "begun")]


def test_the_same_sheet_is_kept_once(shop: Shop) -> None:
    """Two numbers for one job would count it twice."""
    shop("jobs", "add", str(shop.sheet))
    done = shop("jobs", "add", str(shop.sheet))
    assert done.returncode == 2 and "this sheet is job 1 already" in done.stderr


def test_a_refer_sheet_cannot_be_run_and_can_be_kept(shop: Shop) -> None:
    """That somebody was sent away is worth keeping; there is nothing to run."""
    done = shop.outside("run", str(shop.refer))
    assert done.returncode == 1 and "a sheet without steps (refer); there is nothing to run" in done.stderr
    assert shop.json("jobs", "add", str(shop.refer))["job"] == 1


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["run", "nowhere.json"], "nowhere.json cannot be read"),
        (["run", "7"], "there is no job 7"),
        (["run", "BAD"], "is no JSON; make a sheet with"),
        (["run", "LIST"], "it is no job sheet; make one with"),
        (["run", "SHEET", "--json"], "--json needs --status"),
        (["jobs", "show", "one"], "'one' is not the number of a job"),
        (["jobs", "show", "3"], "there is no job 3"),
        (["jobs", "note", "3", "x"], "there is no job 3"),
        (["jobs", "note", "3", " "], "the note is empty"),
        (["jobs", "add", "3"], "3 is a number; add wants a job sheet"),
        (["jobs", "photo", "1", "no.jpg", "--stage", "found"], "no.jpg cannot be read"),
        (["jobs", "export"], "say --csv or --json"),
        (["jobs", "outcome", "1", "--identification", "held", "--repair", "held", "--days", "-3"], "--days"),
        (
            ["jobs", "outcome", "1", "--identification", "held", "--repair", "held", "--really", "cheese"],
            "no material is like 'cheese'",
        ),
        (
            ["jobs", "outcome", "1", "--identification", "held", "--repair", "failed", "--pattern", "odd"],
            "is not one failure pattern; name one of bare_face",
        ),
    ],
)
def test_bad_input_is_one_sentence(shop: Shop, args: list[str], words: str) -> None:
    """No traceback; what is wrong and what to do instead."""
    (shop.folder / "bad.json").write_text("{")
    (shop.folder / "list.json").write_text("[]")
    places = {"SHEET": str(shop.sheet), "BAD": str(shop.folder / "bad.json"), "LIST": str(shop.folder / "list.json")}
    done = shop(*(places.get(arg, arg) for arg in args))
    assert done.returncode == 2 and words in done.stderr, done.stderr
    assert "Traceback" not in done.stderr and len(done.stderr.strip().splitlines()) <= 3


def test_an_export_never_writes_over_a_file(shop: Shop) -> None:
    """The only copy of last year's table stays."""
    path = shop.folder / "jobs.csv"
    assert shop("jobs", "export", "--csv", "--out", str(path)).returncode == 0
    before = path.read_bytes()
    done = shop("jobs", "export", "--csv", "--out", str(path))
    assert done.returncode == 2 and "nothing is written over" in done.stderr and path.read_bytes() == before


def test_a_damaged_record_is_said_and_left_alone(shop: Shop) -> None:
    """A file that is no database is neither written over nor hidden."""
    (shop.folder / "data").mkdir()
    (shop.folder / "data" / "jobs.sqlite").write_bytes(b"no database at all, but long enough for one" * 30)
    done = shop.outside("jobs", "list")
    assert done.returncode == 2 and "set it aside" in done.stderr
