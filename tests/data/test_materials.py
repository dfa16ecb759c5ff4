"""The shipped materials as a whole: how many, how they hang together, and physics that no row may break."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

Facts = Callable[[str], Any]


def test_there_are_enough_materials_and_compounds(shipped: Any) -> None:
    """At least 50 materials and 150 compounds, and none was lost on the way from the files."""
    assert len(shipped.materials) >= 50
    assert len(shipped.compounds) >= 150
    assert {one.material for one in shipped.compounds.values()} - {"none_of_these"} == set(shipped.materials)


def test_every_published_plastic_is_known(shipped: Any, facts: Facts) -> None:
    """All 58 plastics of the published list are a material or a compound here."""
    known = set(shipped.materials) | set(shipped.compounds)
    assert [row["id"] for row in facts("float_answers.yaml")["rows"] if row["id"] not in known] == []


def test_priors_are_a_distribution(shipped: Any) -> None:
    """Prior weights are above zero and sum to one, so that nothing is ruled out before the first answer."""
    priors = [one.prior for one in shipped.compounds.values()]
    assert min(priors) > 0.0
    assert sum(priors) == pytest.approx(1.0, abs=1e-9)


def test_filled_compounds_lie_between_polymer_and_filler(shipped: Any) -> None:
    """A mixture is neither lighter than its lightest part nor heavier than its heaviest (to 0.02 g/cm3)."""
    checked = 0
    for one in shipped.compounds.values():
        base = shipped.compounds.get(one.material)
        if base is None or base.id == one.id or one.filler == "none" or one.retarded:
            continue
        filler = shipped.fillers[one.filler].density_g_cm3
        parts = (base.density_g_cm3, filler.low, filler.high)
        assert min(parts) - 0.02 <= one.density_g_cm3 <= max(parts) + 0.02, one.id
        checked += 1
    assert checked > 80


def test_retarded_compounds_are_heavier_than_plain_ones(shipped: Any) -> None:
    """Flame retardant adds weight (9 published grades of 9)."""
    retarded = [one for one in shipped.compounds.values() if one.retarded]
    assert len(retarded) >= 15
    for one in retarded:
        plain = shipped.compounds[one.id.removesuffix(" FR")]
        assert one.density_g_cm3 > plain.density_g_cm3, one.id


def test_more_of_a_filler_is_heavier(shipped: Any) -> None:
    """Within one polymer and filler, density rises with the level."""
    series: dict[tuple[str, str], list[tuple[int, float]]] = {}
    for one in shipped.compounds.values():
        if not one.retarded and one.percent:
            series.setdefault((one.material, one.filler), []).append((one.percent, one.density_g_cm3))
    assert sum(len(levels) > 1 for levels in series.values()) > 15
    for name, levels in series.items():
        densities = [density for _, density in sorted(levels)]
        assert densities == sorted(densities), name


def test_only_what_melts_is_weldable(shipped: Any) -> None:
    """Thermosets and elastomers never weld: a cross-linked plastic cannot flow (physics)."""
    for one in shipped.materials.values():
        if one.klass != "thermoplastic":
            assert one.weldable == "no", one.id
            assert one.melt_c is None, one.id


def test_glass_transition_lies_under_the_melting_point(shipped: Any) -> None:
    """A polymer stiffens below the temperature at which its crystals melt (physics)."""
    for one in shipped.materials.values():
        if one.melt_c is not None and one.glass_c is not None:
            assert one.glass_c.high < one.melt_c.low, one.id


def test_polyolefins_and_fluoropolymers_are_hard_to_wet(shipped: Any) -> None:
    """Surface energy: polyolefins below 34 mN/m, PTFE lowest of all, polyamide above 33 (SE1, SE2)."""
    for one in shipped.materials.values():
        if one.surface_energy_mn_m is None:
            continue
        if one.family == "polyolefin":
            assert one.surface_energy_mn_m.high < 34.0, one.id
        if one.family == "polyamide":
            assert one.surface_energy_mn_m.high > 33.0, one.id
    known = [one for one in shipped.materials.values() if one.surface_energy_mn_m is not None]
    assert min(known, key=lambda one: one.surface_energy_mn_m.low).id == "PTFE"


def test_carbon_conducts_and_glass_does_not(shipped: Any) -> None:
    """Carbon fibre and carbon powder conduct; glass, talc and chalk do not (common practice)."""
    conducting = {code for code, filler in shipped.fillers.items() if filler.conductive}
    assert conducting == {"CF", "CD"}
