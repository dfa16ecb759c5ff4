"""Density by weighing, displacement and floating: arithmetic, uncertainty, and what is refused."""

from __future__ import annotations

import random
from math import sqrt
from pathlib import Path
from statistics import fmean, stdev

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from whichresin.physics.displacement import displaced_density, jar_mark_cm3, scale_reading
from whichresin.physics.floating import Float, density_between
from whichresin.physics.propagation import Measured
from whichresin.physics.shares import filler_share, with_voids, with_water
from whichresin.physics.weighing import AIR_G_CM3, Doubts, ImpossibleWeighing, immersed_density, smallest_mass, weigh

ORACLE = yaml.safe_load((Path(__file__).parents[1] / "data" / "uncertainties.yaml").read_text(encoding="utf-8"))
WATER = Measured(0.99754, 0.0004)


@given(st.floats(0.7, 2.5), st.floats(0.05, 100.0), st.floats(0.8, 1.3))
def test_readings_of_a_known_piece_give_its_density(density: float, volume_cm3: float, liquid: float) -> None:
    """Readings made from Archimedes' law in air and liquid, by their forces, give the density back exactly."""
    assume(abs(density - liquid) > 1e-3)
    dry, wet = volume_cm3 * (density - AIR_G_CM3), volume_cm3 * (density - liquid)
    assert immersed_density(dry, wet, liquid) == pytest.approx(density, rel=1e-9)


@given(st.floats(0.85, 0.99), st.floats(1.0, 20.0), st.floats(20.0, 80.0))
def test_a_sinker_takes_nothing_from_the_density(density: float, volume_cm3: float, sinker_g: float) -> None:
    """Piece and sinker together less the sinker alone is the piece alone under the liquid."""
    dry = volume_cm3 * (density - AIR_G_CM3)
    both = sinker_g + volume_cm3 * (density - WATER.value)
    assert weigh([dry], [both], WATER, 0.001, [sinker_g]).density_g_cm3 == pytest.approx(density, rel=1e-9)


@pytest.mark.parametrize("row", ORACLE["weighings"])
def test_weighings_agree_with_the_uncertainties_library(row: dict) -> None:  # type: ignore[type-arg]
    """Value and standard uncertainty as that library computes them from the same formula."""
    liquid = Measured(row["liquid_g_cm3"], row["liquid_uncertainty_g_cm3"])
    sinker = [row["sinker_g"]] if row["sinker_g"] else None
    found = weigh([row["dry_g"]], [row["wet_g"]], liquid, row["step_g"], sinker)
    assert found.density_g_cm3 == pytest.approx(row["density_g_cm3"], abs=2e-7)
    # Without a sinker the library was given its rounding all the same for exactly known zero: none.
    assert found.uncertainty_g_cm3 == pytest.approx(row["uncertainty_g_cm3"], rel=1e-4)


@pytest.mark.parametrize("row", ORACLE["shares"])
def test_filler_shares_agree_with_the_uncertainties_library(row: dict) -> None:  # type: ignore[type-arg]
    """Percent of filler and its standard uncertainty."""
    found = filler_share(*(Measured(*row[name]) for name in ("density", "polymer", "filler")))
    assert found is not None
    assert found.percent == pytest.approx(row["percent"], abs=1e-4)
    assert found.uncertainty_percent == pytest.approx(row["uncertainty_percent"], rel=1e-4)


@pytest.mark.parametrize(("mass", "density", "step"), [(5.0, 1.14, 0.01), (0.4, 1.41, 0.001), (12.0, 1.05, 0.1)])
def test_uncertainty_agrees_with_a_monte_carlo(mass: float, density: float, step: float) -> None:
    """20,000 drawn weighings, rounding and all: their spread is the stated one within 5 in 100."""
    draw, doubts = random.Random(1), Doubts()
    volume = mass / density
    wet = volume * (density - WATER.value)
    found = []
    for _ in range(20_000):
        # Zero and reading are both rounded: each is off by an even chance within half a step.
        off = [sum(draw.uniform(-step / 2, step / 2) for _ in range(2)) for _ in range(2)]
        liquid = draw.gauss(WATER.value, WATER.uncertainty)
        bubble, pull = draw.gauss(0, doubts.bubble_mm3 / 1000), draw.gauss(0, doubts.thread_g)
        air = draw.gauss(AIR_G_CM3, 0.00006)
        found.append(immersed_density(mass + off[0], wet + off[1], liquid, air, bubble, pull))
    stated = weigh([mass], [wet], WATER, step)
    assert stdev(found) == pytest.approx(stated.uncertainty_g_cm3, rel=0.05)
    assert fmean(found) == pytest.approx(stated.density_g_cm3, abs=4 * stated.uncertainty_g_cm3 / sqrt(20_000) + 2e-4)


@pytest.mark.parametrize(("a", "w", "b"), [(5.02, 0.0, 0.62), (1.20, 20.30, 20.17), (12.4, 35.0, 36.7)])
def test_the_arithmetic_is_that_published_for_the_standard(a: float, w: float, b: float) -> None:
    """ASTM D792 method A as test houses publish it (rqmplus.com, plastics.ulprospector.com): sp gr = a / (a + w - b) at
    23 C, density = sp gr x 0.9975; ours differs by the buoyancy of air, at most 0.0012 (sp gr - 1)."""
    gravity = a / (a + w - b)
    found = immersed_density(a, b - w, 0.9975)
    assert found == pytest.approx(0.9975 * gravity, abs=0.0012 * abs(gravity - 1.0) + 1e-9)


@pytest.mark.parametrize(("wa", "ww", "liquid"), [(24.90, 14.95, 0.99821), (3.0, -0.2, 0.99754), (10.0, 0.9, 1.1)])
def test_air_buoyancy_is_that_of_a_university_sheet(wa: float, ww: float, liquid: float) -> None:
    """The balance exercise of Missouri S&T (web.mst.edu/~gbert/balance): V = (W_A - W_W) / (D_W - D_A) and
    D = W_A / V + D_A; a balance maker's manual (YDK03MS) writes the same as one formula."""
    volume = (wa - ww) / (liquid - AIR_G_CM3)
    assert immersed_density(wa, ww, liquid) == pytest.approx(wa / volume + AIR_G_CM3, rel=1e-12)


def test_the_density_of_air_is_that_of_a_makers_worked_example() -> None:
    """2 g of aluminium (2.7) read on a scale adjusted with steel (8.0): the manual's correction is +0.589 mg."""
    mass = 2.0 * (1.0 - AIR_G_CM3 / 8.0) / (1.0 - AIR_G_CM3 / 2.7)
    assert 1000.0 * (mass - 2.0) == pytest.approx(0.589, abs=0.0005)


def test_repeats_show_their_scatter() -> None:
    """Readings that scatter are not better than their scatter; repeats that agree are no better than the scale."""
    one = weigh([5.02], [0.62], WATER, 0.01)
    same = weigh([5.02] * 5, [0.62] * 5, WATER, 0.01)
    scattered = weigh([5.02] * 3, [0.50, 0.62, 0.74], WATER, 0.01)
    assert same.uncertainty_g_cm3 == pytest.approx(one.uncertainty_g_cm3)
    assert scattered.uncertainty_g_cm3 > 5 * one.uncertainty_g_cm3


def test_a_bubble_lifts_as_reckoned() -> None:
    """A bubble of 2 mm3 on a chip of 100 mm3 takes off 0.02 g/cm3 (test_procedure_facts, computed)."""
    wet = 0.1 * (1.14 - 1.0) - 0.002 * 1.0
    found = immersed_density(0.1 * (1.14 - AIR_G_CM3), wet, 1.0)
    assert found - 1.14 == pytest.approx(-0.022, abs=0.002)
    assert immersed_density(0.1 * (1.14 - AIR_G_CM3), wet, 1.0, bubble_cm3=0.002) == pytest.approx(1.14, rel=1e-9)


@given(st.floats(0.9, 1.8), st.sampled_from([0.001, 0.01, 0.1, 1.0]))
def test_the_smallest_mass_is_just_enough(density: float, step: float) -> None:
    """At the mass it names the doubt is what was asked for; at half of it more."""
    mass = smallest_mass(density, WATER, step, 0.02)
    assert mass is not None
    for share, wanted in ((1.0, pytest.approx(0.02, rel=1e-3)), (0.5, None)):
        dry = mass * share
        wet = dry * (1.0 - (WATER.value - AIR_G_CM3) / (density - AIR_G_CM3))
        sinker = None if wet > 0 else [1.0 - wet]
        doubt = weigh([dry], [wet if wet > 0 else 1.0], WATER, step, sinker).uncertainty_g_cm3
        assert doubt == wanted if wanted is not None else doubt > 0.02


def test_a_liquid_known_too_roughly_cannot_be_outweighed() -> None:
    """No piece is heavy enough when the liquid itself is only known to 0.05."""
    assert smallest_mass(1.2, Measured(1.0, 0.05), 0.01, 0.02) is None


@pytest.mark.parametrize(
    ("dry", "wet", "sinker", "words"),
    [
        (0.0, 0.0, None, "not above zero"),
        (-3.0, 0.0, None, "not above zero"),
        (5.0, -0.2, None, "sinker"),
        (0.6, 5.0, None, "mixed up"),
        (5.0, 5.0, None, "equals"),
        (5.0, 10.0, -1.0, "sinker's weight"),
        (5.0, -1.0, 10.0, "heavier sinker"),
        (5.0, 30.0, 10.0, "under the liquid too"),
    ],
)
def test_impossible_weights_are_told_apart(dry: float, wet: float, sinker: float | None, words: str) -> None:
    """Each mistake gets its own sentence: which weight, and what to do."""
    with pytest.raises(ImpossibleWeighing, match=words):
        weigh([dry], [wet], WATER, 0.01, None if sinker is None else [sinker])


def test_displacement_and_its_doubt() -> None:
    """5 g that move 4 cm3, read to half a mark of 0.1 cm3: u = rho * sqrt(2) * 0.05 / sqrt(3) / 4."""
    found = displaced_density(scale_reading(5.0, 0.001), 50.0, 54.0, 0.1)
    assert found.value == pytest.approx(1.25 + AIR_G_CM3)
    assert found.uncertainty == pytest.approx(1.25 * sqrt(2) * 0.05 / sqrt(3) / 4, rel=1e-3)
    assert jar_mark_cm3(4.0) == pytest.approx(1.2566, abs=1e-4)


@pytest.mark.parametrize(
    ("before", "after", "mark", "words"),
    [(54, 50, 0.1, "mixed up"), (50, 50, 0.1, "not above"), (50, 50.5, 1, "narrower"), (50, 54, 0, "marks")],
)
def test_impossible_levels_are_refused(before: float, after: float, mark: float, words: str) -> None:
    """Levels the wrong way round, or a piece too small for the jar."""
    with pytest.raises(ImpossibleWeighing, match=words):
        displaced_density(Measured(5.0, 0.01), before, after, mark)


def test_float_results_close_in_on_the_density() -> None:
    """Floats gives a ceiling, sinks a floor; hanging gives both within the stated tolerance."""
    low, high = Measured(1.00, 0.001), Measured(1.10, 0.002)
    both = density_between([Float(low, "sinks"), Float(high, "floats")], 0.004)
    assert both.density is not None and both.density.value == pytest.approx(1.05)
    assert both.density.uncertainty == pytest.approx(0.1 / sqrt(12), rel=0.01)
    hangs = density_between([Float(high, "hangs")], 0.004)
    assert hangs.density is not None and hangs.density.value == pytest.approx(1.10)
    assert hangs.low == pytest.approx(1.094) and hangs.high == pytest.approx(1.106)
    open_side = density_between([Float(low, "floats")], 0.004)
    assert open_side.low is None and open_side.density is None and open_side.high == pytest.approx(1.001)
    with pytest.raises(ValueError, match="repeat both"):
        density_between([Float(high, "sinks"), Float(low, "floats")], 0.004)


def test_shares_stay_within_nothing_and_everything() -> None:
    """A density no filler explains gives no share; one at the edge gives an interval that starts at 0."""
    polymer, filler = Measured(0.905, 0.005), Measured(2.75, 0.025)
    assert filler_share(Measured(0.80, 0.005), polymer, filler) is None
    edge = filler_share(Measured(0.905, 0.004), polymer, filler)
    assert edge is not None and edge.low_percent == 0.0 and edge.percent == pytest.approx(0.0, abs=1e-9)


def test_voids_and_water() -> None:
    """One per cent of voids takes off one per cent; water taken up as its own volume pulls towards water."""
    assert with_voids(1.4, 0.01) == pytest.approx(1.386)
    assert with_water(1.14, 0.08, 0.0) == pytest.approx(1.14 / 0.92)
    assert 0.998 < with_water(1.14, 0.08, 1.0) < 1.14
    with pytest.raises(ValueError, match="void fraction"):
        with_voids(1.4, 1.0)
