"""Shipped densities against libraries, general tables and published grades (facts and sources: the YAML)."""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import mean
from typing import Any

import pytest
import xraydb
import xraylib

from whichresin.physics.mixtures import filler_fraction, mixture_density
from whichresin.physics.water import water_density

Facts = Callable[[str], Any]

# A table prints one value for a family of grades, often rounded to 0.01.
TABLE_TOLERANCE_G_CM3 = 0.02
# A single grade against a compound: rounding, other stabilisers, and the share is nominal (+-2 %).
GRADE_TOLERANCE_G_CM3 = 0.05
# Single grades far from the rule. PBT with 30 % glass at 1.45: 470 grades average 1.55 (MWO). PPS with 50 %
# glass at 1.71: the 40 % grade weighs 1.66 (SUP) and 10 % more glass adds 0.1.
OFF_GRADES = {("PBT-GF30", 1.45), ("PPS-GF50", 1.71)}


def range_of(shipped: Any, name: str) -> tuple[float, float]:
    """Lightest and heaviest density, g/cm3, that the knowledge gives to a material, filler or compound."""
    found = shipped.materials.get(name) or shipped.fillers.get(name)
    if found is not None:
        return found.density_g_cm3.low, found.density_g_cm3.high
    compound = shipped.compounds[name]
    spread = 2.0 * compound.density_sd_g_cm3
    return compound.density_g_cm3 - spread, compound.density_g_cm3 + spread


def misses(shipped: Any, row: dict[str, Any], g_cm3: float) -> list[str]:
    """The named materials whose range, widened by the tolerance, does not hold the value."""
    names = row["for"] if isinstance(row["for"], list) else [row["for"]]
    off = []
    for name in names:
        low, high = range_of(shipped, name)
        if not low - TABLE_TOLERANCE_G_CM3 - 1e-9 <= g_cm3 <= high + TABLE_TOLERANCE_G_CM3 + 1e-9:
            off.append(f"{name} {low:g} to {high:g}, table {g_cm3:g} ({row['source']})")
    return off


def asked(row: dict[str, Any]) -> float | None:
    """The density, g/cm3, as the installed library gives it today."""
    if "index" in row:
        return float(xraylib.GetCompoundDataNISTByIndex(row["index"])["density"])
    if "key" in row:
        return float(xraydb.materials.get_materials()[row["key"]].density)
    return None


def test_every_range_holds_the_values_of_general_tables(shipped: Any, facts: Facts) -> None:
    """A published range holds the value of every table, within 0.02 g/cm3, but for rows named wrong."""
    rows = [row for row in facts("open_data.yaml")["rows"] if "wrong" not in row]
    assert len(rows) > 50
    assert [miss for row in rows for miss in misses(shipped, row, row["g_cm3"])] == []


def test_every_range_holds_what_the_libraries_answer_today(shipped: Any, facts: Facts) -> None:
    """The same against xraylib and xraydb themselves, not against the copy."""
    rows = [row for row in facts("open_data.yaml")["rows"] if "wrong" not in row and asked(row) is not None]
    assert len(rows) > 15
    assert [miss for row in rows for miss in misses(shipped, row, asked(row) or 0.0)] == []


def test_rows_named_wrong_are_still_wrong(shipped: Any, facts: Facts) -> None:
    """An excuse dies when the table is mended: then the row must be checked like the others."""
    rows = [row for row in facts("open_data.yaml")["rows"] if "wrong" in row]
    assert len(rows) == 7
    mended = [row for row in rows if not misses(shipped, row, asked(row) or row["g_cm3"])]
    assert mended == []


def test_the_copied_library_values_are_those_of_the_library(facts: Facts) -> None:
    """A copy that differs from what the library answers is a slip, or a new version worth reading."""
    for row in facts("open_data.yaml")["rows"]:
        if asked(row) is not None:
            assert asked(row) == pytest.approx(row["g_cm3"], abs=0.0051), row


def predicted(inputs: dict[str, dict[str, float]], row: dict[str, Any]) -> float:
    """The rule of mixtures on nominal densities, g/cm3."""
    polymer = inputs["polymer_g_cm3"][row["polymer"]]
    return mixture_density(polymer, inputs["filler_g_cm3"][row["filler"]], row["percent"] / 100.0)


def test_the_rule_of_mixtures_fits_published_grades(facts: Facts) -> None:
    """63 published grades without flame retardant: off by at most 0.015 g/cm3 on average, 56 within 0.025."""
    data = facts("filled_densities.yaml")
    off = [abs(predicted(data["inputs"], row) - row["g_cm3"]) for row in data["grades"]]
    assert len(off) == 63
    assert mean(off) <= 0.015
    assert sum(one <= 0.025 for one in off) >= 56
    assert max(off) <= 0.09


def test_flame_retardant_breaks_the_rule_of_mixtures(facts: Facts) -> None:
    """Nobody counts the retardant: each grade is heavier than its filler explains, by 0.155 on average."""
    data = facts("filled_densities.yaml")
    extra = [row["g_cm3"] - predicted(data["inputs"], row) for row in data["retarded_grades"]]
    assert len(extra) == 9
    assert min(extra) > 0.0
    assert mean(extra) == pytest.approx(0.155, abs=0.005)
    assert sum(one > 0.05 for one in extra) == 8


def test_compounds_weigh_what_published_grades_weigh(shipped: Any, facts: Facts) -> None:
    """Each compound with a published grade is within 0.05 g/cm3 of it, and within 0.015 on average."""
    rows = [row for row in facts("filled_densities.yaml")["grades"] if "compound" in row]
    assert len(rows) > 45
    off = []
    for row in rows:
        difference = row["g_cm3"] - shipped.compounds[row["compound"]].density_g_cm3
        off.append(abs(difference))
        if (row["compound"], row["g_cm3"]) in OFF_GRADES:
            assert abs(difference) > GRADE_TOLERANCE_G_CM3, "mended: drop it from OFF_GRADES"
        else:
            assert abs(difference) <= GRADE_TOLERANCE_G_CM3, row
    assert mean(off) <= 0.015


def test_retarded_compounds_hold_published_retarded_grades(shipped: Any, facts: Facts) -> None:
    """A flame-retarded compound is broad enough for the grades found: within two standard deviations."""
    rows = [row for row in facts("filled_densities.yaml")["retarded_grades"] if "compound" in row]
    assert rows
    for row in rows:
        compound = shipped.compounds[row["compound"]]
        assert abs(row["g_cm3"] - compound.density_g_cm3) <= 2.0 * compound.density_sd_g_cm3, row


def float_word(low_g_cm3: float, high_g_cm3: float) -> str:
    """Floats, sinks or either in water at 23 C, with the margin a shop can tell (0.0075 g/cm3)."""
    water = water_density(23.0)
    if high_g_cm3 < water - 0.0075:
        return "floats"
    if low_g_cm3 > water + 0.0075:
        return "sinks"
    return "either"


def test_the_float_answer_follows_from_the_density(shipped: Any, facts: Facts) -> None:
    """All 58 published materials and compounds: floats, sinks or either as their published density says."""
    rows = facts("float_answers.yaml")["rows"]
    assert len(rows) == 58
    wrong = []
    for row in rows:
        found = shipped.materials.get(row["id"])
        if found is not None:
            low, high = found.density_g_cm3.low, found.density_g_cm3.high
        else:
            spans = [range_of(shipped, one.id) for one in shipped.of(row["id"]) if not one.retarded]
            low, high = min(span[0] for span in spans), max(span[1] for span in spans)
        if float_word(low, high) != row["water_23_c"]:
            wrong.append(f"{row['id']}: {low:.3f} to {high:.3f}, not {row['water_23_c']}")
    assert wrong == []


def test_published_ranges_and_ours_overlap(shipped: Any, facts: Facts) -> None:
    """No compound strays from the published range: its mean lies inside, widened by 0.01 g/cm3."""
    for row in facts("float_answers.yaml")["rows"]:
        if row["id"] in shipped.compounds and row["id"] not in ("PF", "PVC-U", "PVC-P"):
            middle = shipped.compounds[row["id"]].density_g_cm3
            assert row["low_g_cm3"] - 0.01 <= middle <= row["high_g_cm3"] + 0.01, row["id"]


def chance_of_floating(shipped: Any, name: str) -> float:
    """Chance that a piece of the compound floats in water at 23 C, from its density as a normal."""
    compound = shipped.compounds[name]
    z = (water_density(23.0) - compound.density_g_cm3) / compound.density_sd_g_cm3
    return 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))


@pytest.mark.parametrize("name", ["PP", "PE-HD", "PE-LD", "PP+EPDM", "PP-TD10", "PE-X"])
def test_polyolefins_float(shipped: Any, name: str) -> None:
    """VM1, VM3, KATZ: polypropylene and polyethylene float; 10 % talc does not change that (MW)."""
    assert chance_of_floating(shipped, name) > 0.99


SINKERS = ["PP-TD20", "PP-TD40", "PP-GF20", "PP-KD20", "ABS", "PA6", "PC", "PS", "UP-GF SMC"]


@pytest.mark.parametrize("name", SINKERS)
def test_filled_polyolefins_and_the_rest_sink(shipped: Any, name: str) -> None:
    """20 % talc, chalk or glass sinks polypropylene (MW, PPN); styrenics and polyamide sink too (KATZ)."""
    assert chance_of_floating(shipped, name) < 0.01


def test_talc_share_at_which_polypropylene_sinks(shipped: Any) -> None:
    """About 14 % talc makes polypropylene as heavy as water, 16 % a blend with rubber of 0.89 (ROM)."""
    talc = shipped.fillers["TD"].density_g_cm3
    middle = (talc.low + talc.high) / 2.0
    assert filler_fraction(water_density(23.0), 0.905, middle) == pytest.approx(0.138, abs=0.002)
    assert filler_fraction(water_density(23.0), 0.89, middle) == pytest.approx(0.159, abs=0.002)
