"""`whichresin liquid` as scripts meet it: recipes, splits, ladders, and the liquid for an interview."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest


def run(*args: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "whichresin", "liquid", *args]
    return subprocess.run(command, capture_output=True, check=False, timeout=120, text=True)


def document(*args: str) -> dict[str, Any]:
    done = run(*args, "--json")
    assert done.returncode == 0 and done.stderr == "", done.stderr
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_the_json_holds_what_scripts_rely_on() -> None:
    """Design contract, schema 1; the recipe is that of the handbook row: 14 % by mass, 16.3 g in 100 g, 1.1009."""
    found = document("--density", "1.1009", "--temperature", "20")
    assert found["schema"] == 1 and found["solute"] == "salt"
    assert found["grams_per_100_g_water"] == pytest.approx(16.28, abs=0.1)
    assert found["density_g_cm3"] == pytest.approx(1.1009, abs=1e-4)
    assert 0.001 < found["uncertainty_g_cm3"] < 0.005
    low, high = found["range_g_cm3"]
    assert low == pytest.approx(0.998, abs=0.001) and high == pytest.approx(1.197, abs=0.001)
    assert {"PP", "ABS"} <= set(found["separates"]["floats"]) and {"PC", "POM"} <= set(found["separates"]["sinks"])
    assert {"id", "text"} <= set(found["cautions"][0])
    assert any("washing-up" in text for text in found["how"]) and any("110.1 g" in text for text in found["how"])


def test_alcohol_carries_the_caution_of_fire_first() -> None:
    """Diluted alcohol can still be lit; the text says so before the recipe, and a low flash point is the danger."""
    found = document("--density", "0.93", "--with", "ethanol")
    ids = [caution["id"] for caution in found["cautions"]]
    assert ids[0] == "solvent-flash" and "float-liquids" in ids and "solvent-part-crazing" in ids
    assert found["cautions"][0]["level"] == "danger"
    text = run("--density", "0.93", "--with", "ethanol").stdout
    assert text.index("DANGER") < text.index("in 100 g of water")
    assert "easier to light, not safer" in " ".join(text.split())


def test_the_strength_of_the_product_changes_the_recipe() -> None:
    """Rubbing alcohol of 63 % by mass takes more grams than pure, for the same liquid."""
    pure = document("--density", "0.93", "--with", "isopropanol", "--strength", "100")
    weak = document("--density", "0.93", "--with", "isopropanol", "--strength", "63")
    assert pure["mass_percent"] == pytest.approx(weak["mass_percent"], abs=0.01)
    share = weak["mass_percent"] / 100
    assert weak["grams_per_100_g_water"] == pytest.approx(100 * share / (0.63 - share), rel=1e-3)
    assert weak["grams_per_100_g_water"] > pure["grams_per_100_g_water"]


def test_a_split_takes_the_safest_liquid_that_does() -> None:
    """Plain water parts polypropylene from ABS: nobody needs alcohol for it. PP from PE-HD does need alcohol."""
    assert document("--split", "PP", "ABS")["solute"] == "water"
    found = document("--split", "PE-HD", "PP")
    assert found["solute"] == "ethanol" and 0.915 < found["density_g_cm3"] < 0.94
    assert found["separates"]["floats"] == ["PP"] and found["separates"]["sinks"] == ["PE-HD"]
    assert found["separates"]["right"] > 0.95 and found["separates"]["clear"]
    near = document("--split", "PA6", "PA66")
    assert not near["separates"]["clear"] and "alike" in near["separates"]["note"]
    salt = document("--split", "PA66", "PC", "--with", "salt")
    assert salt["solute"] == "salt" and salt["separates"]["floats"] == ["PA66"]


def test_a_ladder_parts_the_list_with_few_liquids() -> None:
    """Six plastics, five steps at most; what weighs alike is named instead of promised."""
    found = document("--ladder", "PP", "PE-HD", "ABS", "PA66", "PC", "POM", "PP-TD20")
    assert [one["density_g_cm3"] for one in found["liquids"]] == sorted(
        one["density_g_cm3"] for one in found["liquids"]
    )
    assert len(found["liquids"]) == 5 and ["PP-TD20", "ABS"] in found["not_separated"]
    assert any(one["solute"] == "water" for one in found["liquids"])
    # Every pair that is not named as alike is parted by one of the liquids.
    names = {"PP", "PE-HD", "ABS", "PA66", "PC", "POM", "PP-TD20"}
    alike = {frozenset(pair) for pair in found["not_separated"]}
    for a in names:
        for b in names - {a}:
            parted = any((a in one["floats"]) != (b in one["floats"]) for one in found["liquids"])
            assert parted or frozenset((a, b)) in alike, (a, b)


def test_the_liquid_for_an_interview_saves_what_it_says(tmp_path: Path) -> None:
    """From answers: a density off the one already tried, chances that add up, and a worth that is savings less cost."""
    path = tmp_path / "answers.yaml"
    path.write_text("answers: {float_in_water: sinks, grind: powder_and_smear, hot_needle: melts_strings}\n")
    found = document("--answers", str(path))
    told = found["separates"]
    assert abs(found["density_g_cm3"] - 0.9975) > 0.004
    assert sum(answer["probability"] for answer in told["answers"]) == pytest.approx(1, abs=1e-5)
    assert told["saves_minutes"] == pytest.approx(told["loss_now_minutes"] - told["loss_after_minutes"], abs=1e-3)
    assert told["worth_minutes"] == pytest.approx(told["saves_minutes"] - told["costs_minutes"], abs=1e-3)
    low, high = told["as_good_g_cm3"]
    assert low <= found["density_g_cm3"] + 1e-6 and found["density_g_cm3"] <= high + 1e-6
    assert document("--answers", str(path), "--with", "sugar")["solute"] == "sugar"


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--density", "1.9"), "weigh the piece instead"),
        (("--density", "1.10", "--with", "ethanol"), "out of reach"),
        (("--density", "110"), "g/cm3"),
        (("--density", "abc"), "not a number"),
        (("--density", "1,10"), "decimal point"),
        (("--density", "1.10", "--with", "suger"), "did you mean sugar"),
        (("--density", "1.10", "--temperature", "0"), "room temperature"),
        (("--density", "1.10", "--temperature", "2"), "20 C"),
        (("--density", "1.10", "--temperature", "90"), "room temperature"),
        (("--split", "PP", "PP"), "two different"),
        (("--split", "PP", "XYZZY9"), "not a plastic known here"),
        (("--ladder", "PP"), "at least two"),
        (("--density", "0.9", "--with", "isopropanol", "--strength", "40"), "stronger"),
        (("--density", "1.10", "--strength", "0"), "between 1 and 100"),
        (("--answers", "no-such-file.yaml"), "no such file"),
    ],
)
def test_bad_input_is_one_sentence_and_exit_code_2(args: tuple[str, ...], words: str) -> None:
    """What is wrong and what to do instead; no traceback, nothing on standard output."""
    done = run(*args, "--json")
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert len(done.stderr.splitlines()) == 1 and words in done.stderr, done.stderr


def test_pictures_are_drawn_in_text_and_as_svg(tmp_path: Path) -> None:
    """A ladder shows its axis; --picture writes an SVG; a lone density has nothing to draw."""
    path = tmp_path / "ladder.svg"
    done = run("--ladder", "PP", "PE-HD", "ABS", "--picture", str(path))
    assert done.returncode == 0 and "g/cm3; = nearly all pieces of a material" in done.stdout
    assert path.read_text(encoding="utf-8").startswith("<svg")
    done = run("--density", "1.1", "--picture", str(path))
    assert done.returncode == 2 and "--split, --ladder or --answers" in done.stderr
    done = run("--split", "PP", "ABS", "--picture", str(tmp_path / "no" / "a.svg"))
    assert done.returncode == 2 and "cannot be written" in done.stderr
