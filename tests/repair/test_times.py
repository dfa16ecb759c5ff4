"""Times moved from sheet to shop: against hand arithmetic, NIOSH's vapour pressure, and the rule's own limits."""

from __future__ import annotations

from math import exp, inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.physics.vapour import Antoine, vapour_of, vapour_pressure_mmhg
from whichresin.repair.figures import Figures, load_figures
from whichresin.repair.times import TIMES, OutsideRule, at_temperature, flash_off_at, timed

FIGURES = load_figures()


@pytest.fixture(scope="module")
def figures() -> Figures:
    return FIGURES


def test_ten_degrees_colder_takes_twice_as_long(figures: Figures) -> None:
    """The suppliers' rule (CURE10): twice for 10 K less, 1.7 to 2.6 as its band."""
    found = at_temperature(30.0, 25.0, 15.0, figures)
    assert (found.low, found.usual, found.high) == (pytest.approx(51.0), pytest.approx(60.0), pytest.approx(78.0))


def test_between_the_tens_it_follows_the_power(figures: Figures) -> None:
    """6 minutes at 23 C, shop at 18 C: 6 x 2 ** 0.5 = 8.49, by hand with a square root."""
    found = at_temperature(6.0, 23.0, 18.0, figures)
    assert found.usual == pytest.approx(6 * 2**0.5)
    assert (found.low, found.high) == (pytest.approx(6 * 1.7**0.5), pytest.approx(6 * 2.6**0.5))


def test_the_factor_is_that_of_common_activation_energies(figures: Figures) -> None:
    """Arrhenius with 40 and 70 kJ/mol from 20 to 30 C, R = 8.314: 1.72 and 2.58 - the band of the rule."""
    low, high = (exp(e / 8.314 * (1 / 293.15 - 1 / 303.15)) for e in (40e3, 70e3))
    band = figures.band("factor_per_10_k")
    assert band.low == pytest.approx(low, abs=0.03) and band.high == pytest.approx(high, abs=0.03)


@pytest.mark.parametrize("shop", [14.9, 35.1, -5.0, 60.0])
def test_outside_its_limits_no_time_is_given(figures: Figures, shop: float) -> None:
    """Below 15 C many systems stop and never recover; above 35 C the rule is wrong the other way."""
    with pytest.raises(OutsideRule, match=r"outside 15 to 35 C: no time can be reckoned; (warm|cool)"):
        at_temperature(30.0, 23.0, shop, figures)


def test_a_sheet_for_a_hot_oven_is_not_carried_to_the_bench(figures: Figures) -> None:
    """A cure at 60 C says nothing of room temperature."""
    with pytest.raises(OutsideRule, match="ask the supplier"):
        at_temperature(30.0, 60.0, 23.0, figures)


def test_isopropanol_has_the_published_vapour_pressure(figures: Figures) -> None:
    """NIOSH Pocket Guide npgd0359: 33 mmHg at 20 C (68 F), boiling at 181 F (82.8 C) at 760 mmHg."""
    antoine = Antoine(*(figures.band(f"antoine_{letter}").usual for letter in "abc"))
    assert vapour_pressure_mmhg(20.0, antoine) == pytest.approx(33.0, abs=1.0)
    assert vapour_pressure_mmhg(82.8, antoine) == pytest.approx(760.0, rel=0.03)


@pytest.mark.parametrize(("shop", "rate"), [(10, 0.52), (15, 0.72), (25, 1.36), (30, 1.84)])
def test_flash_off_follows_the_vapour_pressure(figures: Figures, shop: float, rate: float) -> None:
    """Rates against 20 C worked out by hand; 10 C takes about twice as long. No upper end is claimed."""
    found = flash_off_at(10.0, 20.0, shop, figures)
    assert found.low == pytest.approx(10.0 / rate, rel=0.02)
    assert found.high == inf and found.usual >= 10.0


@settings(max_examples=80)
@given(
    st.sampled_from(sorted(TIMES)),
    st.floats(0.5, 2000),
    st.floats(15, 35),
    st.floats(15, 35),
)
def test_a_timer_never_hurries_a_wait_nor_stretches_a_limit(
    what: str, minutes: float, sheet: float, shop: float
) -> None:
    """A wait is never set shorter than the sheet; a limit never longer than its own band's short end."""
    found = timed(what, minutes, sheet, shop, FIGURES)
    if found.kind == "wait":
        assert found.timer_minutes >= minutes * (1 - 1e-9)
    else:
        assert found.timer_minutes == found.band.low
        if shop >= sheet:
            assert found.timer_minutes <= minutes * (1 + 1e-9)
    assert found.leaves_out and found.band.low <= found.band.usual <= found.band.high


@settings(max_examples=60)
@given(st.floats(1, 500), st.floats(15, 34), st.floats(15, 34))
def test_colder_is_never_quicker(minutes: float, sheet: float, shop: float) -> None:
    """The whole band rises when the shop cools down."""
    figures = FIGURES
    warm, cold = at_temperature(minutes, sheet, shop + 1, figures), at_temperature(minutes, sheet, shop, figures)
    assert cold.low >= warm.low and cold.usual >= warm.usual and cold.high >= warm.high


def test_vapour_of_nothing_is_refused() -> None:
    """An amount of zero or less is a slip, and would hide a danger."""
    with pytest.raises(ValueError, match="above zero"):
        vapour_of(0.0, 0.785, 60.1, 2.0, 20.0)
