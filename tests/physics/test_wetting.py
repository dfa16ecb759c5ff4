"""Wetting: water's surface tension against IAPWS, inks, and the textbook cases of adhesive on plastic."""

from __future__ import annotations

import pytest
from iapws._iapws import _Tension

from whichresin.knowledge.model import Model
from whichresin.physics.propagation import Measured
from whichresin.physics.wetting import tension_from_inks, tension_from_water, water_surface_tension, wetting


def test_surface_tension_of_water_agrees_with_iapws() -> None:
    """IAPWS R1-76(2014) as the iapws library codes it, N/m, and the round figure of every handbook: 72.7 at 20 C."""
    for celsius in (0.01, 5, 20, 23, 50, 100):
        assert water_surface_tension(celsius) == pytest.approx(1000 * _Tension(celsius + 273.15), rel=1e-6)
    assert water_surface_tension(20) == pytest.approx(72.75, abs=0.05)
    with pytest.raises(ValueError, match="liquid water"):
        water_surface_tension(-5)


def test_epoxy_wets_polyamide_but_not_polypropylene(shipped: Model) -> None:
    """Uncured epoxy, 42 to 47 mN/m (from memory), on the surface energies of the knowledge; acrylate, 30 to 36, does
    better. It is the reason for flame, primer or promoter."""
    epoxy, acrylate = Measured(44.5, 1.3), Measured(33.0, 1.7)
    surfaces = {}
    for name in ("PP", "PE-HD", "PC", "PA66"):
        found = shipped.materials[name].surface_energy_mn_m
        assert found is not None
        surfaces[name] = Measured(0.5 * (found.low + found.high), 0.25 * (found.high - found.low))
    assert wetting(surfaces["PP"], epoxy).verdict == wetting(surfaces["PE-HD"], epoxy).verdict == "does_not"
    assert wetting(surfaces["PP"], epoxy).margin_mn_m < wetting(surfaces["PA66"], epoxy).margin_mn_m
    assert wetting(surfaces["PA66"], acrylate).verdict in ("barely", "wets")
    assert wetting(Measured(54.0, 1.0), epoxy).verdict == "wets"  # after flame or plasma


def test_inks_bracket_the_surface() -> None:
    """The highest that holds is the floor, the lowest that draws together the ceiling; nonsense is refused."""
    assert tension_from_inks([(32, True), (36, True), (38, False)]) == (36, 38)
    assert tension_from_inks([(30, False)]) == (None, 30)
    with pytest.raises(ValueError, match="lowest ink"):
        tension_from_inks([(36, False), (40, True)])
    with pytest.raises(ValueError, match="above zero"):
        tension_from_inks([(0, True)])


def test_water_break() -> None:
    """An unbroken film means a surface ready to bond; beads only say less than water."""
    assert tension_from_water(True, 20).low_mn_m == pytest.approx(72.7, abs=0.1)
    assert tension_from_water(False, 20).low_mn_m is None
    with pytest.raises(ValueError, match="above zero"):
        wetting(Measured(0, 1), Measured(40, 1))
