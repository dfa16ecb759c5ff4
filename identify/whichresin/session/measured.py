"""A density measured at the bench: what it leaves possible, how much filler it means, what to watch for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from whichresin.belief.hypotheses import Belief, by_material
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.knowledge.liquids import LiquidShelf, shipped_shelf
from whichresin.knowledge.model import Filler, Material, Model, Range
from whichresin.physics.displacement import displaced_density
from whichresin.physics.propagation import Measured
from whichresin.physics.shares import Share, filler_share
from whichresin.physics.water import HIGHEST_CELSIUS, LOWEST_CELSIUS, water_density
from whichresin.physics.weighing import Doubts, reading, weigh

_SHOWN = 0.005
_LIKELY = 0.05  # from here on a material or filler is worth a warning of its own
_RANGE_SDS = 4.0  # a published range is read as this many standard deviations, as for compounds

_JAR_MARK_CM3 = 1.0  # how far apart a jar's marks are, where nobody says (common practice)
USUAL_CELSIUS = 23.0  # the laboratory temperature of ISO 291, where nobody says another


@dataclass(frozen=True, slots=True)
class FilledWith:
    """One filler that would explain the density in one polymer."""

    filler: str
    name: str
    share: Share


@dataclass(frozen=True, slots=True)
class Possible:
    """One material that the density leaves possible, with its likeliest compounds and filler shares."""

    material: str
    symbol: str
    name: str
    probability: float
    compounds: tuple[tuple[str, float], ...]  # symbol and probability, best first
    fillers: tuple[FilledWith, ...]


def water_measured(shelf: LiquidShelf, celsius: float, celsius_uncertainty: float | None = None) -> Measured:
    """Density of tap water at this temperature and its standard uncertainty. Raises ValueError outside the range."""
    doubt = shelf.allowances["celsius_uncertainty"] if celsius_uncertainty is None else celsius_uncertainty
    value = water_density(celsius)
    low, high = max(celsius - 0.5, LOWEST_CELSIUS), min(celsius + 0.5, HIGHEST_CELSIUS)
    slope = (water_density(high) - water_density(low)) / (high - low)
    tap = shelf.allowances["tap_water_g_cm3"]
    return Measured(value, (tap * tap + (slope * doubt) ** 2) ** 0.5)


def scale_step(texts: Sequence[str]) -> float:
    """The step of a scale in grams, read from how many decimals its readings are written with."""
    decimals = max((len(text.strip().partition(".")[2]) for text in texts if "e" not in text.lower()), default=0)
    return float(10.0 ** -min(decimals, 6))


def weighed_in_water(dry: str, wet: str, celsius: float, sinker: str = "") -> Measured:
    """Density (g/cm3) of a piece from readings in grams as they were written: in air, and hanging in water.

    With a sinker, `wet` is that of both together and `sinker` that of the sinker alone, both hanging in water.
    Raises ValueError, with a sentence for a person, for readings that are no numbers or cannot be.
    """
    shelf = shipped_shelf()
    doubts = Doubts(shelf.allowances["bubble_mm3"], shelf.allowances["thread_g"])
    water = water_measured(shelf, celsius)
    readings = [text for text in (dry, wet, sinker) if text]
    hung = [float(sinker)] if sinker else None
    found = weigh([float(dry)], [float(wet)], water, scale_step(readings), hung, doubts)
    return Measured(found.density_g_cm3, found.uncertainty_g_cm3)


def moved_in_jar(dry: str, levels: Sequence[str], mark: str = "") -> Measured:
    """Density (g/cm3) of a piece from its weight in grams and the water it moves aside in a jar, as written.

    `levels`: the volume moved in cm3, or the jar's level without and with the piece. `mark`: how far apart the jar's
    marks are in cm3; where it is not said, 1 cm3, or ten times the last decimal that was read if that is finer: nobody
    reads more than tenths between two marks. Raises ValueError, with a sentence for a person, for what cannot be.
    """
    before, after = (0.0, float(levels[0])) if len(levels) == 1 else (float(levels[0]), float(levels[1]))
    apart = float(mark) if mark else min(_JAR_MARK_CM3, 10.0 * scale_step(levels))
    if 0.0 < after - before < apart:
        raise ValueError(
            f"The piece moves {after - before:g} ml, less than one mark of {apart:g} ml: take a bigger piece or a "
            "narrower jar, and say how far apart its marks are, such as marks 0.1."
        )
    if len(levels) == 1 and after <= 0.0:
        raise ValueError(f"A volume of {after:g} ml cannot be: type what the piece moves aside, such as 5.02 g 4.8 ml.")
    share = shipped_shelf().allowances["volume_reading_share"]
    found = displaced_density(reading([float(dry)], scale_step([dry])), before, after, apart, share)
    return Measured(found.value, found.uncertainty)


def belief_of_density(model: Model, density: Measured) -> Belief:
    """The belief from nothing but this density, as the interview would weigh it."""
    cue = next(c.id for c in model.cues.values() if c.physics == "density")
    return posterior(model, [Observation(cue, density.value, uncertainty=density.uncertainty)])


def belief_of_floats(model: Model, results: Sequence[tuple[Measured, str]]) -> Belief:
    """The belief from nothing but these float results (floats, hangs, sinks); the widest doubt counts for all."""
    cue = next(c.id for c in model.cues.values() if c.physics == "float_liquids")
    pairs = tuple((liquid.value, "neutral" if result == "hangs" else result) for liquid, result in results)
    widest = max(liquid.uncertainty for liquid, _ in results)
    return posterior(model, [Observation(cue, pairs, uncertainty=widest)])


def possible_materials(model: Model, belief: Belief, density: Measured | None) -> tuple[Possible, ...]:
    """The materials of a belief, best first; with filler shares when a density is at hand."""
    found = []
    for material, probability in by_material(model, belief).items():
        if probability < _SHOWN:
            continue
        members = [
            (compound, p)
            for compound, p in zip(model.compounds, belief.compounds, strict=True)
            if compound.material == material
        ]
        members.sort(key=lambda pair: (-pair[1], pair[0].id))
        fillers = tuple(dict.fromkeys(c.filler for c, _ in members if c.filler_kind != "none"))
        if not any(c.filler_kind == "none" for c, _ in members):
            fillers = ()  # a laminate or moulding compound: its own range holds the filler already
        entry = model.materials[material]
        found.append(
            Possible(
                material,
                entry.symbol,
                entry.name,
                probability,
                tuple((c.symbol, p) for c, p in members[:3] if p >= _SHOWN),
                shares_for(entry, [model.fillers[code] for code in fillers], density) if density else (),
            )
        )
    return tuple(found)


def shares_for(material: Material, fillers: Sequence[Filler], density: Measured) -> tuple[FilledWith, ...]:
    """For each of these fillers: the share in this bare resin that explains the density, where one does."""
    found = []
    base = _measured(material.density_g_cm3)
    for filler in fillers:
        if filler.density_g_cm3 is None:
            continue
        share = filler_share(density, base, _measured(filler.density_g_cm3))
        if share is not None and share.high_percent > 0.0:
            found.append(FilledWith(filler.code, filler.name, share))
    return tuple(found)


def warnings_for(
    shelf: LiquidShelf, model: Model, belief: Belief, numbers: Mapping[str, float], wanted: Sequence[str]
) -> list[str]:
    """The warnings named, and those that the likely materials and fillers call for, with numbers filled in."""
    materials = {name for name, p in by_material(model, belief).items() if p >= _LIKELY}
    fillers: dict[str, float] = {}
    for compound, p in zip(model.compounds, belief.compounds, strict=True):
        fillers[compound.filler] = fillers.get(compound.filler, 0.0) + p
    likely = {code for code, p in fillers.items() if p >= _LIKELY}
    said = []
    for warning in shelf.warnings.values():
        called = bool(materials & set(warning.materials)) or bool(likely & set(warning.fillers))
        if warning.id in wanted or called:
            said.append(warning.text.format(**numbers))
    return said


def outside_known(model: Model, density: Measured) -> str:
    """'light' or 'heavy' when no compound known here can weigh that, else nothing.

    Flame-retarded grades, whose densities are known too roughly, make nothing lighter.
    """
    compounds = model.compounds[:-1]
    highest, bare = density.value + 2.0 * density.uncertainty, [c for c in compounds if not c.retarded]
    if all(c.density_g_cm3 - 2.0 * c.density_sd_g_cm3 > highest for c in bare):
        return "light"
    if all(c.density_g_cm3 + 2.0 * c.density_sd_g_cm3 < density.value - 2.0 * density.uncertainty for c in compounds):
        return "heavy"
    return ""


def _measured(found: Range) -> Measured:
    return Measured(0.5 * (found.low + found.high), (found.high - found.low) / _RANGE_SDS)
