"""Fillers, materials and the compounds that follow from them: polymer x filler x level x flame-retarded."""

from __future__ import annotations

from collections.abc import Mapping as Map
from dataclasses import dataclass, replace

from whichresin.physics.mixtures import mixture_density
from whichresin.vocabulary.text import shown

from .model import Compound, Filler, Material, Range
from .schema import Context, Row
from .tree import Tree

NONE_OF_THESE = "none_of_these"
# A published range is taken as about +-2 standard deviations; bench pieces spread at least this much, g/cm3.
MIN_SD_G_CM3 = 0.006
# Flame-retarded grades with no range of their own. 63 published grades: mean difference from the rule of
# mixtures 0.155 g/cm3, spread 0.07 to 0.34.
RETARDED_EXTRA_G_CM3 = 0.15
RETARDED_SD_G_CM3 = 0.10


@dataclass(frozen=True, slots=True)
class Blend:
    """Density of a compound as a normal, and how it was come by."""

    mean_g_cm3: float
    sd_g_cm3: float
    how: str


def build_fillers(tree: Tree) -> dict[str, Filler]:
    """All fillers by code."""
    fillers = {}
    for entry in tree.fillers.values():
        row = entry.row
        if row.text("kind") not in ("", "none") and row.row("density_g_cm3") is None:
            tree.ctx.error(
                row.node,
                "missing-key",
                f"filler {shown(entry.id)} without density_g_cm3; the rule of mixtures needs it",
            )
        fillers[entry.id] = Filler(
            entry.id,
            row.text("name"),
            row.text("kind"),
            range_of(row, "density_g_cm3", tree.ctx),
            row.flag("conductive"),
            row.words("source"),
        )
    return fillers


def build_materials(tree: Tree) -> dict[str, Material]:
    """All materials by id, in order of id; cells are checked against cells.yaml."""
    materials = {}
    for name in sorted(tree.polymers):
        row = tree.polymers[name].row
        materials[name] = Material(
            id=name,
            symbol=row.text("symbol"),
            name=row.text("name"),
            klass=row.text("class"),
            family=row.text("family"),
            cell=row.text("cell"),
            share=row.number("share"),
            density_g_cm3=range_of(row, "density_g_cm3", tree.ctx) or Range(1.0, 1.0),
            melt_c=range_of(row, "melt_c", tree.ctx),
            glass_c=range_of(row, "glass_c", tree.ctx),
            surface_energy_mn_m=range_of(row, "surface_energy_mn_m", tree.ctx),
            weldable=row.text("weldable"),
            synonyms=row.words("synonyms"),
            typical_parts=row.text("typical_parts"),
            note=row.text("note"),
            source=row.words("source"),
        )
    return materials


def range_of(row: Row, key: str, ctx: Context) -> Range | None:
    """The range under `key`; low above high is reported."""
    inner = row.row(key)
    if inner is None or "low" not in inner.values or "high" not in inner.values:
        return None
    low, high = inner.number("low"), inner.number("high")
    if low > high:
        ctx.error(inner.at("low"), "out-of-range", f"{key} has low {low:g} above high {high:g}")
        return None
    return Range(low, high, inner.words("source"))


def build_compounds(
    tree: Tree, materials: Map[str, Material], fillers: Map[str, Filler], none_share: float
) -> tuple[Compound, ...]:
    """Every compound with its prior; priors sum to 1; the last one is 'none of these' with `none_share`."""
    found: dict[str, tuple[Compound, Row]] = {}
    total = sum(material.share for material in materials.values())
    for name, material in materials.items():
        rows = tree.polymers[name].row.rows("compounds")
        weight = sum(row.number("share") for row in rows)
        if weight <= 0 and rows:
            tree.ctx.error(
                tree.polymers[name].row.at("compounds"),
                "out-of-range",
                f"the compounds of {shown(name)} have no share",
            )
        for row in rows:
            filler = fillers.get(row.text("filler"))
            if filler is None:
                continue  # reported with the other references
            share = material.share / total * row.number("share") / weight if total > 0 and weight > 0 else 0.0
            for compound in _variants(tree.ctx, material, filler, row, share * (1.0 - none_share)):
                if compound.id in found:
                    there = found[compound.id][1].node
                    sentence = f"compound {shown(compound.id)} is already made at {there.file}:{there.line}"
                    tree.ctx.error(row.node, "duplicate-id", sentence)
                else:
                    found[compound.id] = (compound, row)
    compounds = [compound for compound, _ in found.values()]
    scale = sum(compound.prior for compound in compounds)
    if scale > 0:
        compounds = [replace(one, prior=one.prior / scale * (1.0 - none_share)) for one in compounds]
    return (*compounds, none_of_these(none_share))


def none_of_these(share: float) -> Compound:
    """The hypothesis that the piece is something the knowledge does not hold, or no plastic at all."""
    return Compound(
        id=NONE_OF_THESE,
        symbol="",
        name="none of these",
        material=NONE_OF_THESE,
        klass="none",
        family="none",
        cell="none",
        filler="none",
        filler_kind="none",
        percent=0,
        retarded=False,
        prior=share,
        # Anything from foam to metal: as broad as the density answers can be.
        density_g_cm3=1.4,
        density_sd_g_cm3=0.4,
        density_from="unknown",
        source=(),
    )


def _variants(ctx: Context, material: Material, filler: Filler, row: Row, share: float) -> list[Compound]:
    percent = int(row.number("percent"))
    if (filler.kind == "none") != (percent == 0):
        if filler.kind == "none":
            ctx.error(row.at("percent"), "out-of-range", "an unfilled compound has no percent")
        elif "percent" not in row:
            ctx.error(row.node, "missing-key", f"a compound with filler {shown(filler.code)} without percent")
        return []
    integral = row.flag("integral")
    blend = _density(ctx, material, filler, percent, row, integral)
    retarded_share = row.number("retarded_share")
    suffix = "" if filler.kind == "none" else f"{filler.code}{percent}"
    if integral:
        name = material.id
        symbol = f"{material.symbol}{percent}" if material.symbol.endswith(filler.code) else material.symbol
        words = material.name
    else:
        name = f"{material.id}-{suffix}" if suffix else material.id
        symbol = f"{material.symbol}-{suffix}" if suffix else material.symbol
        words = f"{material.name}, {percent} % {filler.name}" if suffix else material.name
    plain = Compound(
        id=name,
        symbol=symbol,
        name=words,
        material=material.id,
        klass=material.klass,
        family=material.family,
        cell=material.cell,
        filler=filler.code,
        filler_kind=filler.kind,
        percent=percent,
        retarded=False,
        prior=share * (1.0 - retarded_share),
        density_g_cm3=blend.mean_g_cm3,
        density_sd_g_cm3=blend.sd_g_cm3,
        density_from=blend.how,
        source=row.words("source"),
    )
    if retarded_share <= 0:
        return [plain]
    retarded = replace(
        plain,
        id=f"{name} FR",
        symbol=f"{symbol} FR",
        name=f"{words}, flame-retarded",
        retarded=True,
        prior=share * retarded_share,
        density_g_cm3=blend.mean_g_cm3 + RETARDED_EXTRA_G_CM3,
        density_sd_g_cm3=RETARDED_SD_G_CM3,
        density_from=f"{blend.how}, with flame retardant",
    )
    return [retarded] if retarded_share >= 1.0 else [plain, retarded]


def _density(ctx: Context, material: Material, filler: Filler, percent: int, row: Row, integral: bool) -> Blend:
    given = range_of(row, "density_g_cm3", ctx)
    if given is None and (percent == 0 or integral):
        given = material.density_g_cm3
    if given is not None:
        mean = (given.low + given.high) / 2.0
        return Blend(mean, max((given.high - given.low) / 4.0, MIN_SD_G_CM3), "given")
    base, extra = material.density_g_cm3, filler.density_g_cm3
    if extra is None:
        return Blend((base.low + base.high) / 2.0, MIN_SD_G_CM3, "given")
    mass = percent / 100.0
    low = mixture_density(base.low, extra.low, mass)
    high = mixture_density(base.high, extra.high, mass)
    mean = mixture_density((base.low + base.high) / 2.0, (extra.low + extra.high) / 2.0, mass)
    return Blend(mean, max((high - low) / 4.0, MIN_SD_G_CM3), "rule of mixtures")
