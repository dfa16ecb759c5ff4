"""Liquids between plastics: the best one between two, and the fewest for a list."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.physics.ladder import Material, below, best_between, ladder, split_at

materials = st.lists(st.tuples(st.floats(0.88, 1.5), st.floats(0.002, 0.02)), min_size=2, max_size=6).map(
    lambda rows: [Material(f"m{k}", d, sd) for k, (d, sd) in enumerate(rows)]
)
MARGIN = 0.008


def _gaps(found: list[Material]) -> list[tuple[float, float]]:
    pairs = combinations(sorted(found, key=lambda m: (m.density_g_cm3, m.name)), 2)
    ends = [(a.density_g_cm3 + 2 * a.sd_g_cm3 + MARGIN, b.density_g_cm3 - 2 * b.sd_g_cm3 - MARGIN) for a, b in pairs]
    return [(low, high) for low, high in ends if low <= high]


@given(materials)
def test_every_pair_that_can_be_parted_is_parted_by_the_fewest_liquids(found: list[Material]) -> None:
    """No smaller set of liquids hits every gap: tried out over all gap ends, where a smallest set can always stand."""
    made = ladder(found, MARGIN)
    gaps = _gaps(found)
    assert all(any(low - 1e-12 <= d <= high + 1e-12 for d in made.densities_g_cm3) for low, high in gaps)
    count = len(made.densities_g_cm3)
    assert len(made.not_separated) + len(gaps) == len(found) * (len(found) - 1) // 2
    ends = sorted({high for _, high in gaps})
    if count:
        fewer = combinations(ends, count - 1)
        assert not any(all(any(low <= d <= high for d in chosen) for low, high in gaps) for chosen in fewer)


def test_water_and_reach_are_preferred_inside_the_room() -> None:
    """Plain water where it parts as well; else what the shelf reaches of the room."""
    light, heavy = Material("a", 0.905, 0.005), Material("b", 1.05, 0.01)
    assert ladder([light, heavy], MARGIN, (0.9975,)).densities_g_cm3 == (0.9975,)
    heavy_pair = [Material("c", 1.2, 0.005), Material("d", 1.41, 0.005)]
    (density,) = ladder(heavy_pair, MARGIN, (0.9975,), ((1.0, 1.194), (1.0, 1.247))).densities_g_cm3
    assert 1.218 < density < 1.247


@given(st.floats(0.9, 1.1), st.floats(0.01, 0.2), st.floats(0.003, 0.02), st.floats(0.003, 0.02))
def test_the_best_liquid_between_two_betrays_neither(mean: float, gap: float, one: float, other: float) -> None:
    """Both answer right equally often, and no other liquid makes the worse of the two better."""
    a, b = Material("a", mean, one), Material("b", mean + gap, other)
    best = best_between(b, a, 0.004)
    assert best.lighter == "a" and best.lighter_floats == pytest.approx(best.heavier_sinks, abs=1e-6)
    for k in range(41):
        tried = split_at(mean + gap * k / 40, a, b, 0.004)
        assert min(tried.lighter_floats, tried.heavier_sinks) <= best.lighter_floats + 1e-6


def test_below_is_a_normal_with_both_doubts() -> None:
    """The spread of the material and the doubt of the liquid add in squares."""
    assert below(1.05, Material("a", 1.0, 0.03), 0.04) == pytest.approx(0.8413, abs=1e-4)
