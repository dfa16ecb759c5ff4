"""`whichresin weigh` as scripts meet it: the JSON contract, the three ways, one sentence on bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest


def run(*args: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "whichresin", "weigh", *args]
    return subprocess.run(command, capture_output=True, check=False, timeout=120, text=True)


def document(*args: str) -> dict[str, Any]:
    done = run(*args, "--json")
    assert done.returncode == 0 and done.stderr == "", done.stderr
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_the_json_holds_what_scripts_rely_on() -> None:
    """Design contract, schema 1; the arithmetic of immersion, checked by hand: 5.02 x 0.99754 / 4.40 = 1.1381."""
    found = document("--dry", "5.02", "--wet", "0.62", "--temperature", "23", "--resolution", "0.01")
    assert found["schema"] == 1
    assert found["density_g_cm3"] == pytest.approx(1.1381 - 0.00017, abs=1e-4)
    assert 0.0005 < found["uncertainty_g_cm3"] < 0.003
    assert found["liquid_density_g_cm3"] == pytest.approx(0.99754, abs=2e-5)
    assert all(isinstance(text, str) and "{" not in text for text in found["warnings"])
    chances = [polymer["probability"] for polymer in found["polymers"]]
    assert chances == sorted(chances, reverse=True) and {"symbol", "name"} <= set(found["polymers"][0])
    assert found["air_buoyancy"]["air_g_cm3"] == 0.0012 and "ISO 1183-1" in found["method"]
    assert {"PA6", "PP"} <= {polymer["symbol"] for polymer in found["polymers"][:3]}


def test_a_filled_grade_shows_its_share() -> None:
    """1.125 is polypropylene with about 30 % of glass or talc, as the grade PP-GF30 is published."""
    wet = 5.0 * (1 - 0.99754 / 1.125)
    found = document("--dry", "5.000", "--wet", f"{wet:.3f}", "--temperature", "23")
    shares = {one["code"]: one for one in next(p for p in found["polymers"] if p["symbol"] == "PP")["filled_with"]}
    assert shares["GF"]["low_percent"] <= 30 <= shares["GF"]["high_percent"]
    assert any("lame retardant breaks the rule" in text for text in found["warnings"])


def test_a_floating_piece_with_a_sinker_and_repeats() -> None:
    """Both under the liquid less the sinker: 1.20 / (1.20 + 20.30 - 20.17) x 0.9975 = 0.900."""
    args = ("--wet", "20.17", "20.16", "20.18", "--sinker", "20.30", "--temperature", "23")
    found = document("--dry", "1.20", "1.20", "1.20", *args)
    assert found["density_g_cm3"] == pytest.approx(0.900, abs=0.002)
    assert found["polymers"][0]["symbol"] in ("PP", "PP+EPDM", "PE-LD")


def test_too_small_a_piece_is_told_the_mass_that_would_do() -> None:
    """On a kitchen scale of 1 g steps a 5 g piece says little; the warning names the mass, and that mass is enough."""
    found = document("--dry", "5", "--wet", "1", "--temperature", "23", "--resolution", "1")
    assert found["uncertainty_g_cm3"] > 0.02
    assert any("at least" in text and "too small" in text for text in found["warnings"])
    enough = found["smallest_mass_g"]
    wet = enough * (1 - 0.9963 / (found["density_g_cm3"] - 0.0012))
    again = document("--dry", f"{enough}", "--wet", f"{wet}", "--temperature", "23", "--resolution", "1")
    assert again["uncertainty_g_cm3"] == pytest.approx(0.02, abs=0.001)


def test_the_other_two_ways() -> None:
    """Water moved aside, and float results: each with its own doubt, wider than a weighing's."""
    moved = document("--dry", "25.0", "--before", "50", "--after", "72", "--mark", "1")
    assert moved["density_g_cm3"] == pytest.approx(25 / 22, abs=0.002) and moved["uncertainty_g_cm3"] > 0.01
    floats = document("--floats", "1.10", "--sinks", "water")
    assert floats["density_g_cm3"] == pytest.approx(1.049, abs=0.002)
    assert floats["low_g_cm3"] < 1.0 < 1.10 < floats["high_g_cm3"]
    only = document("--floats", "water")
    assert only["density_g_cm3"] is None and only["low_g_cm3"] is None
    assert only["polymers"][0]["symbol"] in ("PP", "PE-HD", "PP+EPDM")


def test_a_made_liquid_counts_with_its_own_doubt() -> None:
    """Weighed in brine the liquid is known worse than water, and says so."""
    args = ("--dry", "5.020", "--wet", "0.20", "--temperature", "23")
    brine = document(*args, "--liquid", "salt", "--recipe", "16.3")
    assert brine["liquid_density_g_cm3"] == pytest.approx(1.100, abs=0.001)
    assert brine["uncertainty_g_cm3"] > document(*args)["uncertainty_g_cm3"]


def test_foam_is_named() -> None:
    """Lighter than anything solid: the reading or the piece is at fault."""
    found = document("--dry", "1.00", "--wet", "19.00", "--sinker", "20.30", "--temperature", "23")
    assert any("foam" in text and "Lighter" in text for text in found["warnings"])


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--dry", "0.62", "--wet", "5.02"), "mixed up"),
        (("--dry", "0", "--wet", "0"), "not above zero"),
        (("--dry", "-5", "--wet", "1"), "not above zero"),
        (("--dry", "5.02", "--wet", "-0.3"), "sinker"),
        (("--dry", "5,02", "--wet", "0.62"), "decimal point"),
        (("--dry", "5.02g", "--wet", "0.62"), "not a number"),
        (("--dry", "0.177oz", "--wet", "0.62"), "in grams it is 5.018"),
        (("--dry", "5020mg", "--wet", "0.62"), "in grams it is 5.02"),
        (("--dry", "nan", "--wet", "0.62"), "not a number"),
        (("--dry", "1e99", "--wet", "0.62"), "grams"),
        (("--dry", "5.02", "--wet", "0.62", "--temperature", "0"), "room temperature"),
        (("--dry", "5.02", "--wet", "0.62", "--temperature", "100"), "room temperature"),
        (("--dry", "5.02", "--wet", "0.62", "--liquid", "slat"), "did you mean salt"),
        (("--dry", "5.02", "--wet", "0.62", "--liquid", "salt"), "--recipe"),
        (("--dry", "5.02", "--wet", "0.62", "--liquid", "998"), "g/cm3"),
        (("--dry", "5.02", "--wet", "0.62", "--resolution", "0"), "step"),
        (("--dry", "5.02"), "--wet is missing"),
        (("--wet", "5.02"), "--dry is missing"),
        (("--dry", "5", "--before", "50"), "belong together"),
        (("--dry", "5", "--wet", "1", "--before", "50", "--after", "54"), "one way at a time"),
        (("--sinks", "1.2", "--floats", "1.0"), "repeat both"),
    ],
)
def test_bad_input_is_one_sentence_and_exit_code_2(args: tuple[str, ...], words: str) -> None:
    """Which figure, and what to do; no traceback, nothing on standard output."""
    done = run(*args, "--json")
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert len(done.stderr.splitlines()) == 1 and words in done.stderr, done.stderr


def test_text_for_people() -> None:
    """The same in lines: the density first, then what to watch for."""
    done = run("--dry", "5.02", "--wet", "0.62")
    assert done.returncode == 0 and "Density 1.138 g/cm3" in done.stdout and "\x1b" not in done.stdout
