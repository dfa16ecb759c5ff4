"""`whichresin sheet` and what the shelf brings to `whichresin plan`, as a person and a script meet them."""

from __future__ import annotations

import io
import json
import re
import shutil
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from whichresin.command.main import run

ROOT = Path(__file__).parents[2]
SHELF, JOBS = ROOT / "tests" / "demo" / "shelf", ROOT / "tests" / "demo" / "jobs"
DAY = ("--today", "2026-06-01")


def told(*args: str) -> subprocess.CompletedProcess[str]:
    """The command in this process."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            code = run(list(args))
        except SystemExit as stop:
            code = int(str(stop.code))
    return subprocess.CompletedProcess(args, code, out.getvalue(), err.getvalue())


def document(*args: str) -> dict[str, Any]:
    done = told(*args, "--json")
    assert done.returncode == 0 and done.stderr == "", done.stderr
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_the_plan_carries_quantities_times_and_products() -> None:
    """Design contract: `quantities` of the plan, and the time of each step from the product's own sheet.

    By hand: 150 mm crack in 3 mm: groove 3.6 mL, patch 22.7 mL, with waste, purge and hold-up of the file about 40 mL:
    one cartridge of 50. Work 6 min at 23 C is 7.8 to 9.7 at 18 C.
    """
    found = document("plan", "--answers", str(JOBS / "engine-cover.yaml"), "--shelf", str(SHELF), *DAY)
    assert found["decision"] == "repair" and found["process"] == "two_part_adhesive"
    amounts = found["quantities"]
    assert amounts["groove"]["usual"] == pytest.approx(3.6, abs=0.05) and amounts["groove"]["unit"] == "mL"
    assert amounts["patch"]["usual"] == pytest.approx(22.68, abs=0.01)
    assert 38 < amounts["adhesive"]["usual"] < 42 and amounts["cartridges"]["usual"] == 1
    assert {one["kind"] for one in amounts["products"]} == {"cleaner", "promoter", "adhesive", "mesh"}
    assert amounts["times"]["adhesive"]["work"]["low_minutes"] == pytest.approx(6 * 1.7**0.5, abs=0.01)
    assert all(amounts[name]["leaves_out"] for name in ("groove", "patch", "adhesive", "mesh", "tape", "film"))
    work = next(step for step in found["steps"] if step["time"]["timer"] == "work")
    assert work["time"]["minutes"][0] == 7.8
    assert "cannot be" in amounts["not_reckoned"]


def test_a_part_before_a_sensor_gets_a_refer_sheet(tmp_path: Path) -> None:
    """Never a plan for a part that must be referred: no step, no amount, no product, on any of the three papers."""
    names = [str(tmp_path / f"refer.{ending}") for ending in ("html", "json", "txt")]
    outs = [item for name in names for item in ("--out", name)]
    done = told("sheet", "--answers", str(JOBS / "front-cover.yaml"), "--shelf", str(SHELF), *DAY, *outs)
    assert done.returncode == 0, done.stderr
    sheet = json.loads(Path(names[1]).read_text())
    assert sheet["decision"] == "refer" and sheet["steps"] == sheet["quantities"] == sheet["products"] == []
    for name in (names[0], names[2]):
        text = Path(name).read_text()
        assert "do not repair this part here" in text and "licensed practice" in text and "Decided by" in text
        assert "P80" not in text and "cartridge" not in text.lower()


def test_a_sheet_can_be_run_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From answers to sheet, to its clocks, to the record: the whole way as a person goes it."""
    monkeypatch.setenv("WHICHRESIN_DATA", str(tmp_path / "data"))
    name = str(tmp_path / "job.json")
    made = told("sheet", "--answers", str(JOBS / "engine-cover.yaml"), "--shelf", str(SHELF), *DAY, "--owner", "a farm",
                "--out", name)  # fmt: skip
    assert made.returncode == 0 and made.stdout == f"written: {name}\n"
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n\n\n\n\nq\n"))
    assert "1. Find out why it broke" in told("run", name).stdout
    assert document("run", name, "--status")["sheet"] == json.loads(Path(name).read_text())["id"]
    assert document("jobs", "add", name)["job"] == 1
    kept = document("jobs", "show", "1")
    assert kept["owner"] == "a farm" and kept["sheet"]["interview"]["answers"]["grind"] == "smears"


def test_a_cold_shop_is_told_what_to_do() -> None:
    """At 12 C no product of the shelf may be used; the sheet says why and gives no times for it."""
    name = str(JOBS / "engine-cover.yaml")
    found = document("sheet", "--answers", name, "--shelf", str(SHELF), *DAY, "--celsius", "12")
    assert any("warm part, product and room" in remark for remark in found["remarks"])
    assert [one["kind"] for one in found["products"]] == ["cleaner", "mesh"]
    assert all(
        timer["minutes"] is None for step in found["steps"] for timer in step["timers"] if timer["clock"] == "work"
    )


def test_a_size_on_the_command_line_takes_the_place_of_the_words() -> None:
    """Twice the crack takes twice the groove."""
    name = str(JOBS / "engine-cover.yaml")
    usual, longer = (
        document("plan", "--answers", name, "--shelf", str(SHELF), *DAY, *size)["quantities"]["groove"]["usual"]
        for size in ([], ["--size", "length=300"])
    )
    assert longer == pytest.approx(2 * usual, rel=1e-3)


def test_without_a_size_no_amount_is_made_up(tmp_path: Path) -> None:
    """The missing figure is named, and nothing is guessed."""
    answers = tmp_path / "a.yaml"
    text = (JOBS / "engine-cover.yaml").read_text()
    lines = [line for line in text.splitlines() if not line.startswith(("size:", "damage:"))]
    answers.write_text("\n".join([*lines, "damage: crack"]) + "\n")
    found = document("sheet", "--answers", str(answers), "--shelf", str(SHELF), *DAY)
    assert found["quantities"] == [] and any("No quantities: the size has no length" in one for one in found["remarks"])


def test_every_demo_job_gives_a_sheet_with_cautions_first() -> None:
    """The shipped examples work, and in none of them a step comes before the text of its caution."""
    for path in sorted(JOBS.glob("*.yaml")):
        found = document("sheet", "--answers", str(path), "--shelf", str(SHELF), *DAY)
        read = {one["id"] for one in found["cautions"]}
        for step in found["steps"]:
            read |= {one["id"] for one in step["cautions"] if one["full"]}
            assert {one["id"] for one in step["cautions"]} <= read, (path.name, step["id"])
        assert bool(found["steps"]) == (found["decision"] == "repair")


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--size", "length=long"], "--size length 'long' is not a number in mm"),
        (["--size", "150"], "has no figure; write length=150,thickness=3"),
        (["--size", "lenght=5"], "'lenght' is not a size; did you mean 'length'?"),
        (["--size", "thickness=900"], "thickness is 900 mm; expected 0.3 to 60 mm"),
        (["--celsius", "warm"], "--celsius 'warm' is not a number"),
        (["--shelf", "nowhere"], "nowhere: there is no such file"),
        (["--shelf", str(JOBS)], "a product without contents; expected an id"),
        (["--out", "sheet.pdf"], "ends in none of .html, .txt, .json"),
        (["--owner", "x" * 300], "--owner is longer than 200 characters"),
        (["--today", "soon"], "'soon' is not a day"),
    ],
)
def test_bad_input_is_one_sentence(args: list[str], words: str) -> None:
    """No traceback; what is wrong and what to write instead."""
    done = told("sheet", "--answers", str(JOBS / "engine-cover.yaml"), *args)
    assert done.returncode == 2 and words in done.stderr and done.stderr.count("\n") == 1, done.stderr


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("size: 150", "size must be a mapping in mm"),
        ("size: {lenght: 150}", "'lenght' is not a size; did you mean 'length'?"),
        ("size: {length: 15 cm}", "'15 cm' is not a number; length wants a figure"),
        ("size: {length: -5, thickness: 3}", "length is -5 mm; expected 1 to 3000 mm"),
        ("size: {length: 50, thickness: 3, sides: 4}", "sides is 4; expected 1 to 2"),
    ],
)
def test_bad_sizes_in_the_answers_are_one_sentence(tmp_path: Path, line: str, words: str) -> None:
    """The place where that is known, what is wrong, and what to write instead."""
    answers = tmp_path / "a.yaml"
    answers.write_text(f"damage: crack\n{line}\nanswers: {{float_in_water: floats}}\n")
    done = told("sheet", "--answers", str(answers))
    assert done.returncode == 2 and words in done.stderr and done.stderr.count("\n") == 1, done.stderr


CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None)


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine: the sheet is not printed")
def test_a_bonded_job_prints_on_five_pages(tmp_path: Path) -> None:
    """A sheet that lies at the bench: the longest demo job, 33 steps with every caution in full, on A4."""
    page, paper = tmp_path / "sheet.html", tmp_path / "sheet.pdf"
    told("sheet", "--answers", str(JOBS / "engine-cover.yaml"), "--shelf", str(SHELF), *DAY, "--out", str(page))
    command = [
        str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-component-update",
        "--disable-background-networking", "--disable-sync", f"--user-data-dir={tmp_path / 'profile'}",
        "--no-pdf-header-footer", f"--print-to-pdf={paper}", page.as_uri(),
    ]  # fmt: skip
    done = subprocess.run(command, capture_output=True, check=False, timeout=90)
    assert paper.exists(), done.stderr.decode()[-500:]
    pages = len(re.findall(rb"/Type\s*/Page\b", paper.read_bytes()))
    assert 1 < pages <= 5


def test_on_the_page_every_caution_stands_before_its_order(tmp_path: Path) -> None:
    """Order and check are one block that no column parts; nothing that warns stands inside or behind it."""
    page = tmp_path / "sheet.html"
    told("sheet", "--answers", str(JOBS / "engine-cover.yaml"), "--shelf", str(SHELF), *DAY, "--out", str(page))
    sections = re.findall(r'<section class="step">.*?</section>', page.read_text(encoding="utf-8"), re.S)
    orders = [one for one in sections if 'class="act"' in one]
    assert len(orders) > 20 and sum('class="caution' in one for one in orders) > 10
    for section in orders:
        before, _, act = section.partition('<div class="act">')
        assert "caution" not in act and 'class="do"' not in before and act.count('class="do"') == 1
