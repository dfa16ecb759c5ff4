"""Made liquids against libraries and published tables; and that nothing is extrapolated."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from whichresin.knowledge.liquids import BadLiquids, load_liquids
from whichresin.physics.liquids import (
    Bench,
    fraction_for,
    fraction_made,
    grams_per_100_g_water,
    reach,
    recipe_for,
    recipe_made,
    solution_density,
)
from whichresin.physics.solutions import linear, monotone_cubic
from whichresin.physics.water import water_density

SHELF = load_liquids()
LIQUIDS = SHELF.liquids
PUBLISHED = yaml.safe_load((Path(__file__).parents[1] / "data" / "liquid_densities.yaml").read_text(encoding="utf-8"))
TABLES = [(liquid, table) for liquid, tables in PUBLISHED.items() for table in tables]


@pytest.mark.parametrize(("liquid", "table"), TABLES, ids=[f"{name}-{t['source'][:12]}" for name, t in TABLES])
def test_densities_agree_with_libraries_and_handbooks(liquid: str, table: dict) -> None:  # type: ignore[type-arg]
    """Every row within the tolerance written beside its source (kg/m3)."""
    for percent, celsius, kg_m3 in table["rows"]:
        found = 1000.0 * solution_density(LIQUIDS[liquid], percent / 100.0, celsius)
        assert found == pytest.approx(kg_m3, abs=table["within"]), (percent, celsius)


@pytest.mark.parametrize("liquid", sorted(LIQUIDS))
def test_the_table_covers_every_liquid(liquid: str) -> None:
    """A liquid without an outside check must not be offered."""
    assert liquid in PUBLISHED


@pytest.mark.parametrize("liquid", sorted(LIQUIDS))
def test_nothing_dissolved_is_water(liquid: str) -> None:
    """At 0 % every formula is water at that temperature, within 0.02 kg/m3 (the ethanol formula has its own water)."""
    one = LIQUIDS[liquid]
    for celsius in (one.celsius_low, 20.0, 23.0, one.celsius_high):
        assert solution_density(one, 0.0, celsius) == pytest.approx(water_density(celsius), abs=2e-5)


@pytest.mark.parametrize("liquid", sorted(LIQUIDS))
def test_density_goes_one_way_with_the_amount(liquid: str) -> None:
    """More solute is always heavier (or, for alcohols, lighter): only then has a density one recipe."""
    one = LIQUIDS[liquid]
    for celsius in (one.celsius_low, 23.0, one.celsius_high):
        steps = [solution_density(one, one.fraction_high * k / 200, celsius) for k in range(201)]
        signs = {a < b for a, b in pairwise(steps)}
        assert len(signs) == 1


@pytest.mark.parametrize("liquid", sorted(LIQUIDS))
def test_the_doubt_of_a_formula_covers_what_the_sources_differ(liquid: str) -> None:
    """The stated standard uncertainty of each formula: no source is further off than three of it plus its rounding."""
    for table in PUBLISHED[liquid]:
        for percent, celsius, kg_m3 in table["rows"]:
            off = abs(1000.0 * solution_density(LIQUIDS[liquid], percent / 100.0, celsius) - kg_m3)
            assert off <= 3000.0 * LIQUIDS[liquid].model_g_cm3 + 0.5, (table["source"], percent)


@given(st.sampled_from(sorted(LIQUIDS)), st.floats(0.001, 0.999), st.floats(0.0, 1.0))
def test_a_recipe_comes_back_from_its_density(liquid: str, share: float, warm: float) -> None:
    """`fraction_for` undoes `solution_density`, at any temperature of the range."""
    one = LIQUIDS[liquid]
    celsius = one.celsius_low + warm * (one.celsius_high - one.celsius_low)
    low, high = reach(one, celsius)
    density = low + share * (high - low)
    fraction = fraction_for(one, density, celsius)
    assert solution_density(one, fraction, celsius) == pytest.approx(density, abs=1e-9)


@given(st.floats(0.0, 0.9), st.floats(0.91, 1.0))
def test_grams_and_fraction_undo_each_other(fraction: float, strength: float) -> None:
    """Grams of a product for 100 g of water, and the mass fraction that they make."""
    assert fraction_made(grams_per_100_g_water(fraction, strength), strength) == pytest.approx(fraction, abs=1e-9)


def test_a_product_too_weak_is_refused() -> None:
    """Rubbing alcohol of 63 % makes no liquid of 80 %."""
    with pytest.raises(ValueError, match="stronger"):
        grams_per_100_g_water(0.8, 0.63)


@pytest.mark.parametrize(
    ("liquid", "density"), [("salt", 1.25), ("salt", 0.95), ("ethanol", 1.01), ("sugar", 1.3), ("glycerol", 1.26)]
)
def test_out_of_reach_is_an_error_not_an_extrapolation(liquid: str, density: float) -> None:
    """A density beyond the formula is refused with what the liquid does reach."""
    with pytest.raises(ValueError, match="out of reach"):
        recipe_for(LIQUIDS[liquid], density, Bench())


@pytest.mark.parametrize("liquid", sorted(LIQUIDS))
@pytest.mark.parametrize("celsius", [-1.0, 0.0, 45.0, 100.0, float("nan")])
def test_ice_and_hot_liquids_are_refused(liquid: str, celsius: float) -> None:
    """Outside the temperatures of the formula: one sentence."""
    with pytest.raises(ValueError, match="room temperature"):
        solution_density(LIQUIDS[liquid], 0.1, celsius)


@pytest.mark.parametrize("fraction", [-0.01, 0.97, float("nan")])
def test_fractions_outside_the_formula_are_refused(fraction: float) -> None:
    """More than dissolves, or less than nothing."""
    for one in LIQUIDS.values():
        with pytest.raises(ValueError, match="outside"):
            solution_density(one, fraction, 20.0)


def test_a_recipe_states_what_a_careful_bench_reaches() -> None:
    """Made with a kitchen scale, a liquid is known to 3 to 5 kg/m3 (common practice): not better than 2, and a scale
    of 10 g steps or a spoiled temperature makes it worse."""
    usual = recipe_for(LIQUIDS["salt"], 1.1, Bench())
    assert 0.002 <= usual.uncertainty_g_cm3 <= 0.005
    assert recipe_for(LIQUIDS["salt"], 1.1, Bench(scale_step_g=10.0)).uncertainty_g_cm3 > 2 * usual.uncertainty_g_cm3
    warm = recipe_for(LIQUIDS["ethanol"], 0.93, Bench(celsius_uncertainty=5.0))
    assert warm.parts_g_cm3["celsius"] == pytest.approx(5 * 0.00073, rel=0.15)


def test_the_table_from_memory_is_the_most_doubtful() -> None:
    """A model whose table is coarse and whose slope is from memory carries the widest uncertainty, wider when warm."""
    doubts = {name: one.model_g_cm3 for name, one in LIQUIDS.items()}
    assert max(doubts, key=lambda name: doubts[name]) == "isopropanol"
    made = LIQUIDS["isopropanol"]
    at_20, at_30 = (recipe_made(made, 60.0, Bench(celsius=c)).parts_g_cm3["formula"] for c in (20.0, 30.0))
    assert at_30 == pytest.approx((at_20**2 + 0.0015**2) ** 0.5, rel=1e-6)


def test_known_recipe_salt_for_1_10() -> None:
    """162 g of salt in a litre of water makes 14 % and 1.10 at 20 C (handbook row of 14 %: 1.1009)."""
    recipe = recipe_for(LIQUIDS["salt"], 1.1009, Bench(celsius=20.0))
    assert 100 * recipe.mass_fraction == pytest.approx(14.0, abs=0.1)
    assert recipe.grams_per_100_g_water == pytest.approx(16.28, abs=0.1)


increasing = st.lists(st.floats(0.01, 1.0), min_size=2, max_size=8).map(
    lambda steps: [sum(steps[: k + 1]) for k in range(len(steps))]
)


@given(increasing, st.data())
def test_the_curve_goes_through_the_points_and_never_swings(xs: list[float], data: st.DataObject) -> None:
    """Between two points of the table the curve stays between their values."""
    ys = data.draw(st.lists(st.floats(-5, 5), min_size=len(xs), max_size=len(xs)))
    points = list(zip(xs, ys, strict=True))
    for x, y in points:
        assert monotone_cubic(points, x) == pytest.approx(y, abs=1e-9)
        assert linear(points, x) == pytest.approx(y, abs=1e-9)
    for (x0, y0), (x1, y1) in pairwise(points):
        for part in (0.1, 0.5, 0.9):
            found = monotone_cubic(points, x0 + part * (x1 - x0))
            assert min(y0, y1) - 1e-9 <= found <= max(y0, y1) + 1e-9


def test_no_value_outside_a_table() -> None:
    """A table ends where it ends."""
    with pytest.raises(ValueError, match="outside the table"):
        monotone_cubic([(0.0, 1.0), (1.0, 2.0)], 1.01)


def test_cautions_of_the_liquids_exist_and_alcohol_has_that_of_fire(shipped: object) -> None:
    """Every caution named is a caution of the knowledge; what burns carries the one on vapour."""
    known = shipped.cautions  # type: ignore[attr-defined]
    for one in LIQUIDS.values():
        assert one.cautions and set(one.cautions) <= set(known)
        assert ("solvent-flash" in one.cautions) == (one.hazard != "none")


def test_faults_in_a_folder_of_liquids_are_told_with_their_place(tmp_path: Path) -> None:
    """A misspelt key, a missing coefficient and a falling table each give file, line and column."""
    source = Path(__file__).parents[2] / "knowledge" / "liquids"
    for path in source.glob("*.yaml"):
        (tmp_path / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    assert set(load_liquids(str(tmp_path)).liquids) == set(LIQUIDS)
    salt = (tmp_path / "salt.yaml").read_text(encoding="utf-8")
    for fault, words in (
        (salt.replace("percent_high", "percent_hi"), "percent_hi"),
        (salt.replace("1.01371399467365, ", ""), "wants 5 numbers"),
        (salt.replace("0.0145951015210159", "abc"), "abc"),
    ):
        (tmp_path / "salt.yaml").write_text(fault, encoding="utf-8")
        with pytest.raises(BadLiquids) as error:
            load_liquids(str(tmp_path))
        assert any(words in str(problem) and problem.line for problem in error.value.problems)
    (tmp_path / "salt.yaml").write_text(salt, encoding="utf-8")
    table = (tmp_path / "isopropanol.yaml").read_text(encoding="utf-8")
    (tmp_path / "isopropanol.yaml").write_text(table.replace("- [2, 0.9939]", "- [0.5, 0.9939]"), encoding="utf-8")
    with pytest.raises(BadLiquids, match="rising"):
        load_liquids(str(tmp_path))
