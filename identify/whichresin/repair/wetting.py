"""Whether what is put on a plastic wets it, before and after it is prepared: for the plan and its hold points."""

from __future__ import annotations

from dataclasses import dataclass

from whichresin.knowledge.liquids import LiquidShelf
from whichresin.knowledge.model import Material
from whichresin.physics.contact import STANDS_FROM, contact_angle
from whichresin.physics.propagation import Measured
from whichresin.physics.wetting import wetting

_RANGE_SDS = 4.0  # a published range is read as this many standard deviations, as for densities
_TEXT = {
    "wets": "{liquid} wets {surface}, with {margin:.0f} mN/m to spare.",
    "barely": "{liquid} only just wets {surface}: {margin:.0f} mN/m to spare, where practice asks for {reserve:.0f}.",
    "does_not": "{liquid} does not wet {surface}: it falls short by {short:.0f} mN/m.",
}


@dataclass(frozen=True, slots=True)
class Wets:
    """How a liquid stands to a surface: wets, barely or does_not; the margin in mN/m with its standard uncertainty."""

    verdict: str
    margin_mn_m: float
    uncertainty_mn_m: float
    text: str


def wets(shelf: LiquidShelf, material: Material, liquid: str, prepared: str = "clean") -> Wets | None:
    """Whether a liquid (id in knowledge/liquids/wetting.yaml) wets a plastic in a state of preparation.

    None where no surface energy of the plastic is known. Necessary for a bond, not sufficient. KeyError for ids that
    the table does not hold.
    """
    table = shelf.wetting
    surface = surface_of(shelf, material, prepared)
    if surface is None:
        return None
    return wets_surface(shelf, surface, liquid, f"{material.symbol}, {table.prepared[prepared].text.partition(':')[0]}")


def wets_surface(shelf: LiquidShelf, surface: Measured, liquid: str, name: str = "it") -> Wets:
    """Whether a liquid wets a surface that carries this much, mN/m. KeyError for a liquid that the table lacks."""
    table = shelf.wetting
    put_on = table.liquids[liquid]
    tension = Measured(0.5 * (put_on.low + put_on.high), (put_on.high - put_on.low) / _RANGE_SDS)
    found = wetting(surface, tension, table.reserve_mn_m)
    text = _TEXT[found.verdict].format(
        liquid=put_on.name.capitalize(),
        surface=name,
        margin=found.margin_mn_m,
        short=-found.margin_mn_m,
        reserve=table.reserve_mn_m,
    )
    return Wets(found.verdict, found.margin_mn_m, found.uncertainty_mn_m, text)


def surface_of(shelf: LiquidShelf, material: Material, prepared: str = "clean") -> Measured | None:
    """What a plastic carries in a state of preparation, mN/m, with its standard uncertainty; None where not known."""
    carries = shelf.wetting.prepared[prepared].carries
    if carries is None and material.surface_energy_mn_m is not None:
        carries = (material.surface_energy_mn_m.low, material.surface_energy_mn_m.high)
    if carries is None:
        return None
    low, high = carries
    doubt = (((high - low) / _RANGE_SDS) ** 2 + shelf.wetting.papers_differ_mn_m**2) ** 0.5
    return Measured(0.5 * (low + high), doubt)


def drop_stands(shelf: LiquidShelf, material: Material, prepared: str = "clean") -> bool | None:
    """Whether a drop of water stands up on it by nature: then a standing drop is no sign of grease. None: not known."""
    surface, water = surface_of(shelf, material, prepared), shelf.wetting.liquids["water"]
    if surface is None:
        return None
    return contact_angle(surface.value, 0.5 * (water.low + water.high)) >= STANDS_FROM
