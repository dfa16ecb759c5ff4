"""Water density against the international formulation and published values."""

from __future__ import annotations

import pytest
from iapws import IAPWS95

from whichresin.physics.water import HIGHEST_CELSIUS, LOWEST_CELSIUS, water_density

# kg/m3 at 1 atm from four libraries that agree to 0.0002: iapws 1.5.5 (IAPWS95), CoolProp 8.0.0 (PropsSI), chemicals
# 1.5.2 (iapws95_rho) and gsw 3.6.23 (rho_t_exact).
LIBRARY_KG_M3 = {
    0.1: 999.8498,
    4.0: 999.9749,
    5.0: 999.9666,
    10.0: 999.7025,
    15.0: 999.1026,
    18.0: 998.5986,
    20.0: 998.2072,
    22.0: 997.7735,
    23.0: 997.5414,
    25.0: 997.0476,
    30.0: 995.6495,
    35.0: 994.0333,
    40.0: 992.2164,
}
TOLERANCE_KG_M3 = 0.02


def test_water_agrees_with_iapws95() -> None:
    """Within 0.02 kg/m3 of IAPWS-95, computed here by the iapws library at 1 atm, over the whole range."""
    for celsius in [0.1, *range(2, 41, 2)]:
        oracle = IAPWS95(T=273.15 + celsius, P=0.101325).rho
        assert 1000.0 * water_density(celsius) == pytest.approx(oracle, abs=TOLERANCE_KG_M3)


@pytest.mark.parametrize("celsius", sorted(LIBRARY_KG_M3))
def test_water_agrees_with_recorded_values(celsius: float) -> None:
    """The same check against recorded values, so that it holds without the library."""
    assert 1000.0 * water_density(celsius) == pytest.approx(LIBRARY_KG_M3[celsius], abs=TOLERANCE_KG_M3)


def test_water_is_heaviest_near_four_degrees() -> None:
    """Water has its greatest density near 4 C and gets lighter on both sides."""
    heaviest = max((n / 10 for n in range(1, 400)), key=water_density)
    assert 3.8 <= heaviest <= 4.2


OUTSIDE = [LOWEST_CELSIUS - 0.05, HIGHEST_CELSIUS + 0.05, -5.0, 100.0, float("nan")]


@pytest.mark.parametrize("celsius", OUTSIDE)
def test_water_outside_the_bench_range_is_refused(celsius: float) -> None:
    """Ice and hot water are refused with a sentence that says what to do."""
    with pytest.raises(ValueError, match="room temperature"):
        water_density(celsius)
