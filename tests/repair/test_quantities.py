"""Quantities of a repair against hand arithmetic in decimals, worked examples of the trade, and their own limits."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import ceil, isclose

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.repair.bands import Band, Quantity, exactly
from whichresin.repair.figures import BadFigures, Figures, load_figures
from whichresin.repair.quantities import (
    Supply,
    adhesive,
    adhesive_quantities,
    cleaner_vapour,
    groove_ml,
    laminate_quantities,
    patch_ml,
    rod_length_mm,
    scarf_mm,
    scarf_size_mm,
)
from whichresin.repair.size import BadSize, Size, size_of

LENGTHS = st.floats(5, 1500, allow_nan=False)
WALLS = st.floats(1, 12, allow_nan=False)

FIGURES = load_figures()


@pytest.fixture(scope="module")
def figures() -> Figures:
    return FIGURES


def sized(figures: Figures, **given: float) -> Size:
    return size_of({"length": 150.0, "thickness": 3.0, **given}, figures)


@pytest.mark.parametrize(
    ("length", "width", "depth", "published"),
    [(150, 12, 2, Decimal("2.4")), (150, 25, 3, Decimal("7.5"))],
)
def test_a_dished_groove_holds_two_thirds_of_its_box(
    figures: Figures, length: int, width: int, depth: int, published: Decimal
) -> None:
    """Worked examples of the trade: 150 x 12 x 2 mm takes 2.4 mL, 150 x 25 x 3 mm takes 7.5 mL; a parabola by geometry.

    The groove is laid out so that width and depth come to the example's; a V of the same size holds half.
    """
    wall = depth / figures.band("groove_depth_share").usual
    size = Size(length, 0.0, wall, 2, 30.0, width, 3.0, 20.0, 4.0, 10.0)
    found = groove_ml(size, figures)
    by_hand = Fraction(2, 3) * length * width * depth / 1000
    assert isclose(found.usual, float(by_hand), rel_tol=1e-3)
    assert isclose(float(by_hand), float(published), rel_tol=1e-2)
    assert isclose(found.low, length * width * depth / 2000, rel_tol=1e-9)


def test_a_feathered_patch_has_six_tenths_of_its_middle(figures: Figures) -> None:
    """Worked example of the trade: an area of 200 x 80 mm, 3 mm thick in the middle, takes 29 mL."""
    size = Size(140.0, 20.0, 3.0, 2, 30.0, 20.0, 3.0, 20.0, 4.0, 10.0)
    assert size.prepared_cm2() == pytest.approx(200 * 80 / 100)
    found = patch_ml(size, figures)
    assert Decimal(str(round(found.usual, 6))) == Decimal("16000") * 3 * Decimal("0.6") / 1000  # 28.8
    assert (found.low, found.high) == (pytest.approx(24.0), pytest.approx(33.6))


def test_the_sum_of_a_usual_crack_is_what_a_person_gets_with_pencil_and_paper(figures: Figures) -> None:
    """150 mm crack, wall 3 mm, both sides, 50 mL cartridge: each step of the sum in decimals."""
    need = adhesive(sized(figures), figures, Supply(cartridge_ml=50.0))
    groove = Decimal(2) / 3 * 150 * 20 * Decimal("1.8") / 1000
    patch = Decimal(210) * 60 * 3 * Decimal("0.6") / 1000
    total = (groove + patch) * Decimal("1.15") + 2 * (Decimal(2) + 3)
    assert need.total_ml.usual == pytest.approx(float(total), rel=1e-3) == pytest.approx(40.2, abs=0.1)
    least = (Decimal("0.5") * 150 * 20 * Decimal("1.8") + 210 * 60 * 3 * Decimal("0.5")) / 1000 * Decimal("1.1") + 2 * 3
    assert need.total_ml.low == pytest.approx(float(least), rel=1e-6)
    assert need.cartridges == Band(1, 1, 2)


def test_without_a_product_a_common_cartridge_is_reckoned_and_said(figures: Figures) -> None:
    """Somebody without product files still learns how many to buy, and that the size was not theirs."""
    found = {one.id: one for one in adhesive_quantities(sized(figures), figures, Supply())}
    assert found["cartridges"].name == "cartridges of 50 mL" and found["cartridges"].band.usual == 1
    assert "only a common size" in found["cartridges"].leaves_out
    own = {one.id: one for one in adhesive_quantities(sized(figures), figures, Supply(cartridge_ml=25.0))}
    assert own["cartridges"].name == "cartridges of 25 mL" and own["cartridges"].band.usual == 2


def test_waste_and_what_stays_in_the_mixer_rule_a_small_job(figures: Figures) -> None:
    """A tab of 20 mm takes more for purge and mixer than for the repair: the reason small jobs empty cartridges."""
    small = size_of({"length": 20, "thickness": 2, "margin": 25, "overlap": 20}, figures)
    need = adhesive(small, figures)
    assert need.total_ml.usual - 1.15 * (need.groove_ml.usual + need.patch_ml.usual) == pytest.approx(10.0)
    assert need.groove_ml.usual < 1.0


def test_a_hole_takes_its_body_as_well(figures: Figures) -> None:
    """A hole of 40 x 30 mm in a 3 mm wall is 3.6 mL square, pi/4 of that when round, besides the dish at its rim."""
    crack, hole = sized(figures, length=40.0), sized(figures, length=40.0, width=30.0)
    rim = groove_ml(hole, figures).usual - 3.6
    assert rim == pytest.approx(groove_ml(crack, figures).usual * 70 / 40, rel=1e-9)
    assert groove_ml(hole, figures).low < rim + 3.6


def test_a_stage_too_large_for_one_mix_takes_more_tips(figures: Figures) -> None:
    """Six minutes at 20 to 40 cm2 a minute and 0.7 of it planned: 84 to 168 cm2; an area of 240 needs two or three."""
    size = sized(figures, length=340.0)
    assert size.prepared_cm2() == pytest.approx(240.0)
    need = adhesive(size, figures, Supply(work_minutes=exactly(6.0)))
    assert need.per_mix_cm2 is not None
    assert (need.per_mix_cm2.low, need.per_mix_cm2.high) == (pytest.approx(84.0), pytest.approx(168.0))
    show = 1  # 360 x 20 mm = 72 cm2
    assert need.mixers == Band(ceil(240 / 168) + show, ceil(240 / 126) + show, ceil(240 / 84) + show)


def test_one_side_out_of_reach_is_one_stage(figures: Figures) -> None:
    """Nobody buys a mixer for a side that no hand can reach."""
    assert adhesive(sized(figures, sides=1.0), figures).mixers == exactly(1)


@pytest.mark.parametrize(("ratio", "each_way"), [(12, 36), (20, 60), (50, 150)])
def test_scarf_of_three_millimetres(ratio: int, each_way: int) -> None:
    """Worked examples of the trade: 3 mm at 12:1 is 36 mm, at 20:1 60 mm, at 50:1 150 mm, each way."""
    assert scarf_mm(3.0, ratio) == each_way
    assert scarf_size_mm(50.0, 30.0, 3.0, ratio) == (50 + 2 * each_way, 30 + 2 * each_way)


def test_plies_are_the_old_ones_and_one_more_at_most(figures: Figures) -> None:
    """AC 43.13-1B: the patch is as thick as the laminate, one ply more at the most."""
    found = {one.id: one for one in laminate_quantities(sized(figures), 12.0, 4, ("MARINE12",))}
    assert found["plies"].band == Band(4, 4, 5) and found["scarf"].band.usual == 36


def test_rod_fills_the_v(figures: Figures) -> None:
    """A V of 60 degrees through 4 mm is 16 x tan 30 = 9.24 mm2; 100 mm against a 4 mm rod (12.57 mm2), waste."""
    found = rod_length_mm(sized(figures, length=100.0, thickness=4.0), figures)
    assert found.usual == pytest.approx(9.2376 * 100 / 12.566 * 1.2, rel=1e-3)


def test_ten_millilitres_make_a_room_corner_burn(figures: Figures) -> None:
    """NIOSH figures of isopropanol: 10 mL make about 3.2 L of vapour, which bring about 160 L of air to 2 %."""
    made = cleaner_vapour(sized(figures), figures, 22.0)
    moles = Decimal("7.85") / Decimal("60.1")
    assert made.vapour_l == pytest.approx(float(moles * Decimal("24.22")), rel=1e-3)
    assert made.air_made_flammable_l == pytest.approx(160, rel=0.02)


@settings(max_examples=60)
@given(LENGTHS, WALLS, st.floats(0, 200), st.sampled_from([1.0, 2.0]))
def test_more_damage_never_takes_less(length: float, wall: float, width: float, sides: float) -> None:
    """A figure that shrank as the damage grew would send someone to the bench short of material."""
    figures = FIGURES
    given_ = {"length": length, "thickness": wall, "width": width, "sides": sides}
    small, large = size_of(given_, figures), size_of({**given_, "length": length * 1.5}, figures)
    supply = Supply(cartridge_ml=50.0, work_minutes=exactly(8.0))
    for one, other in zip(
        adhesive_quantities(small, figures, supply), adhesive_quantities(large, figures, supply), strict=True
    ):
        assert one.id == other.id and one.band.low <= one.band.usual <= one.band.high
        assert one.band.high <= other.band.high * (1 + 1e-9)


def test_every_quantity_says_what_it_leaves_out_and_where_it_comes_from(figures: Figures) -> None:
    """A figure without its doubt is believed too much."""
    for one in adhesive_quantities(sized(figures), figures, Supply(50.0, work_minutes=exactly(8.0))):
        assert one.leaves_out and one.source, one.id


def test_no_strength_is_reckoned(figures: Figures) -> None:
    """What no shop can reckon is said in words and never as a figure."""
    names = " ".join(one.name for one in adhesive_quantities(sized(figures), figures, Supply()))
    assert "strength" not in names and "newton" not in names
    assert "cannot be" in figures.not_reckoned and "Strength" in figures.not_reckoned


@pytest.mark.parametrize(
    ("given_", "sentence"),
    [
        ({"thickness": 3.0}, "the size has no length; give it in mm, such as length: 120"),
        ({"length": 100.0}, "the size has no thickness; give it in mm, such as thickness: 3"),
        ({"length": -4.0, "thickness": 3.0}, "length is -4 mm; expected 1 to 3000 mm"),
        ({"length": float("nan"), "thickness": 3.0}, "length is nan mm; expected 1 to 3000 mm"),
        ({"lenght": 100.0, "thickness": 3.0}, "'lenght' is not a size; did you mean 'length'?"),
        ({"length": 100.0, "thickness": 3.0, "sides": 3.0}, "sides is 3; expected 1 to 2"),
        ({"length": 100.0, "thickness": 3.0, "sides": 1.5}, "sides is 1.5; say 1 or 2, as many as a hand can reach"),
        (
            {"length": 100.0, "thickness": 3.0, "margin": 25.0, "overlap": 25.0},
            "mesh that overlaps by 25 mm does not stay 3 mm inside a margin of 25 mm; widen the margin or cut the mesh "
            "smaller",
        ),
    ],
)
def test_a_size_that_cannot_be_is_one_sentence(figures: Figures, given_: dict[str, float], sentence: str) -> None:
    """Bad input says what is wrong and what to do instead."""
    with pytest.raises(BadSize) as caught:
        size_of(given_, figures)
    assert str(caught.value) == sentence


def test_figures_are_shown_with_two_digits() -> None:
    """A third digit would promise what nobody can keep."""
    assert Quantity("a", "a", Band(31.62, 40.22, 53.9), "mL", "", ()).text() == "40 mL (32 to 54)"
    assert Quantity("a", "a", Band(912.3, 1482.0, 2263.0), "cm2", "", ()).text() == "1500 cm2 (910 to 2300)"
    assert Quantity("a", "a", Band(15.6, 15.6, float("inf")), "min", "", ()).text() == "at least 16 min"


def test_a_band_runs_upwards() -> None:
    """A band upside down would print a least figure above the most."""
    with pytest.raises(ValueError, match="upwards"):
        Band(2.0, 1.0, 3.0)


def test_faults_in_the_figures_are_told_with_their_place(tmp_path: object) -> None:
    """A trainer who turns two figures round is told where."""
    path = tmp_path / "figures.yaml"  # type: ignore[operator]
    path.write_text(
        "figures:\n  - {id: a, kind: spread, low: 3, usual: 2, high: 4, means: x, source: common practice}\n"
        "not_reckoned: x\nnot_reckoned_source: common practice\n"
    )
    with pytest.raises(BadFigures, match=r"figures.yaml:2:.*a runs 3, 2, 4; it must rise"):
        load_figures(str(path))
