"""The rule of mixtures: limits, inverse, and what it refuses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.physics.mixtures import filler_fraction, mixture_density

polymers = st.floats(0.85, 1.5)
fillers = st.floats(1.7, 4.6)
shares = st.floats(0.0, 1.0)


@given(polymers, fillers, shares)
def test_a_mixture_lies_between_its_parts(polymer: float, filler: float, share: float) -> None:
    """No share of filler makes the piece lighter than the polymer or heavier than the filler."""
    density = mixture_density(polymer, filler, share)
    assert polymer - 1e-12 <= density <= filler + 1e-12


@given(polymers, fillers, st.floats(0.0, 0.89), st.floats(0.01, 0.1))
def test_more_heavy_filler_is_heavier(polymer: float, filler: float, share: float, more: float) -> None:
    """Density rises with the share of a filler that is heavier than the polymer."""
    assert mixture_density(polymer, filler, share + more) > mixture_density(polymer, filler, share)


@given(polymers, fillers, shares)
def test_the_share_comes_back_from_the_density(polymer: float, filler: float, share: float) -> None:
    """`filler_fraction` undoes `mixture_density`."""
    density = min(max(mixture_density(polymer, filler, share), polymer), filler)
    assert filler_fraction(density, polymer, filler) == pytest.approx(share, abs=1e-9)


@given(polymers, fillers, shares)
def test_volumes_add(polymer: float, filler: float, share: float) -> None:
    """The volume of one gram is the sum of the volumes of its parts: the formula said another way."""
    volume_cm3 = share / filler + (1.0 - share) / polymer
    assert mixture_density(polymer, filler, share) * volume_cm3 == pytest.approx(1.0, rel=1e-12)


def test_talc_share_at_which_polypropylene_starts_to_sink() -> None:
    """13.8 % talc brings polypropylene (0.905) to the weight of water at 23 C (ROM)."""
    assert filler_fraction(0.9975, 0.905, 2.75) == pytest.approx(0.138, abs=0.001)


@pytest.mark.parametrize("share", [-0.01, 1.01, float("nan")])
def test_an_impossible_share_is_refused(share: float) -> None:
    """A fraction is between 0 and 1; 20 for 20 % is a slip that must not pass."""
    with pytest.raises(ValueError, match="mass fraction"):
        mixture_density(0.9, 2.7, share)


@pytest.mark.parametrize("density", [0.0, -1.0, float("nan"), float("inf")])
def test_an_impossible_density_is_refused(density: float) -> None:
    """A density is a number above zero, whichever argument it stands in."""
    with pytest.raises(ValueError, match="above zero"):
        mixture_density(density, 2.7, 0.2)
    with pytest.raises(ValueError, match="above zero"):
        mixture_density(0.9, density, 0.2)
    with pytest.raises(ValueError, match="above zero"):
        filler_fraction(density, 0.9, 2.7)


def test_a_density_that_no_share_explains_is_refused() -> None:
    """Lighter than the polymer means foam or another polymer, never a negative share of filler."""
    with pytest.raises(ValueError, match="does not lie between"):
        filler_fraction(0.85, 0.905, 2.75)
    with pytest.raises(ValueError, match="same density"):
        filler_fraction(1.2, 1.2, 1.2)
