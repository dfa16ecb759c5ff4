"""Liquids between plastics: the best one between two, and the fewest for a list."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_ladder import fewest_by_trying, parts

from whichresin.physics.ladder import Material, below, best_between, ladder, split_at

materials = st.lists(st.tuples(st.floats(0.88, 1.5), st.floats(0.002, 0.02)), min_size=2, max_size=6).map(
    lambda rows: [Material(f"m{k}", d, sd) for k, (d, sd) in enumerate(rows)]
)
MARGIN = 0.008


REACHES = st.sampled_from([((0.0, 9.0),), ((0.998, 1.195), (0.82, 0.998), (1.0, 1.23)), ((1.0, 1.1), (1.2, 1.25))])


@settings(max_examples=150)
@given(materials, REACHES)
def test_every_pair_that_can_be_parted_is_parted_by_the_fewest_liquids(
    found: list[Material], reachable: tuple[tuple[float, float], ...]
) -> None:
    """As few as trying every set of liquids gives; each can be made; every pair is parted or named with the reason."""
    made = ladder(found, MARGIN, (0.9975,), reachable)
    assert len(made.rungs) == fewest_by_trying(found, MARGIN, reachable)
    for rung in made.rungs:
        assert any(low - 1e-9 <= rung.density_g_cm3 <= high + 1e-9 for low, high in reachable)
        assert rung.low_g_cm3 - 1e-9 <= rung.density_g_cm3 <= rung.high_g_cm3 + 1e-9
    left_out = {frozenset(pair) for pair in (*made.not_separated, *made.out_of_reach)}
    for a, b in combinations(found, 2):
        told = any(parts(density, a, b, MARGIN) for density in made.densities_g_cm3)
        assert told != (frozenset((a.name, b.name)) in left_out)


@given(materials)
def test_a_recipe_off_by_its_margin_still_parts(found: list[Material]) -> None:
    """Any density within a rung's room, up to the margin beyond it, lies between the ranges of the pairs it is for."""
    made = ladder(found, MARGIN)
    for a, b in combinations(found, 2):
        for rung in made.rungs:
            if not parts(rung.density_g_cm3, a, b, MARGIN):
                continue
            for density in (rung.density_g_cm3 - MARGIN, rung.density_g_cm3 + MARGIN):
                assert parts(density, a, b, 0.0)


def test_water_and_reach_are_preferred_inside_the_room() -> None:
    """Plain water where it parts as well; else what the shelf reaches of the room."""
    light, heavy = Material("a", 0.905, 0.005), Material("b", 1.05, 0.01)
    assert ladder([light, heavy], MARGIN, (0.9975,)).densities_g_cm3 == (0.9975,)
    wide = ladder([light, heavy], MARGIN, (), ((0.998, 1.2), (0.82, 0.998)))
    assert wide.densities_g_cm3[0] > 0.998, "the first range that will do: nobody needs alcohol here"
    assert ladder([Material("e", 1.3, 0.001), Material("f", 1.4, 0.001)], MARGIN, (), ((1.0, 1.25),)).out_of_reach
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
