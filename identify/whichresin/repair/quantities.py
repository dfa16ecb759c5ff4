"""How much of everything a repair takes, each as a band: pure arithmetic on a size and the figures of the trade.

Nothing here is a strength, a life or a crash behaviour: no shop can reckon those (`Figures.not_reckoned`).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians, tan

from whichresin.physics.vapour import Vapour, vapour_of

from .bands import Band, Quantity, exactly
from .figures import Figures
from .size import Size


@dataclass(frozen=True, slots=True)
class Supply:
    """What the adhesive's own sheet and mixers say; None: the figure of the trade stands in."""

    cartridge_ml: float | None = None
    hold_up_ml: float | None = None
    purge_ml: float | None = None
    spreading_cm2_min: float | None = None
    work_minutes: Band | None = None  # at the temperature of the shop


def groove_ml(size: Size, figures: Figures) -> Band:
    """Volume of the dished groove along the break, and of a hole's body, mL.

    Half a dish on each side of the edge: share x width / 2 x depth x perimeter, which for a crack is
    share x width x depth x length (share 2/3 for a parabola, 1/2 for a V). A hole adds length x width x thickness,
    at least pi / 4 of it where it is round.
    """
    perimeter_mm = 2.0 * (size.length_mm + size.width_mm)
    depth = size.thickness_mm * figures.band("groove_depth_share").usual
    dish = figures.band("dish_share") * (size.groove_width_mm / 2.0 * depth * perimeter_mm / 1000.0)
    whole = size.length_mm * size.width_mm * size.thickness_mm / 1000.0
    return dish + Band(pi / 4.0 * whole, whole, whole)


def patch_ml(size: Size, figures: Figures) -> Band:
    """Volume of the feathered patch on one side, mL: prepared area x thickness in the middle x rim factor."""
    return figures.band("rim_factor") * (size.prepared_cm2() * size.patch_mm / 10.0)


def area_per_mix_cm2(work_minutes: Band, rate_cm2_min: Band, share: Band) -> Band:
    """Largest area to coat with one mix: work time x spreading rate x the share of it that is planned for."""
    return work_minutes * rate_cm2_min * share


@dataclass(frozen=True, slots=True)
class Adhesive:
    """Adhesive for one repair. `stages`: one for each side; a stage larger than one mix takes several."""

    groove_ml: Band
    patch_ml: Band
    stages: int
    area_cm2: float  # of the larger stage
    per_mix_cm2: Band | None  # None: no work time known
    mixers: Band
    total_ml: Band
    cartridges: Band
    cartridge_ml: float  # of the product, or a common size where none is named


def adhesive(size: Size, figures: Figures, supply: Supply = Supply()) -> Adhesive:
    """Adhesive, mixer tips and cartridges: (groove + patch) x waste + mixers x (hold-up + purge), rounded up.

    One mixer for each stage, more where one mix cannot cover the area in its work time.
    """
    groove, patch = groove_ml(size, figures), patch_ml(size, figures)
    rate = exactly(supply.spreading_cm2_min) if supply.spreading_cm2_min else figures.band("spreading_cm2_min")
    per_mix = None
    back, show = size.prepared_cm2(), _groove_cm2(size)
    areas = [back, show] if size.sides == 2 else [back]
    mixers = exactly(len(areas))
    if supply.work_minutes is not None:
        per_mix = area_per_mix_cm2(supply.work_minutes, rate, figures.band("work_time_share"))
        # The quickest hand needs the fewest mixes: ends change places.
        reaches = (per_mix.high, per_mix.usual, per_mix.low)
        mixers = Band(*(sum(_mixes(area, reach) for area in areas) for reach in reaches))
    lost = _own(supply.hold_up_ml, "hold_up_ml", figures) + _own(supply.purge_ml, "purge_ml", figures)
    total = (groove + patch) * figures.band("waste_factor") + mixers * lost
    pack_ml = supply.cartridge_ml or figures.band("cartridge_ml").usual
    cartridges = (total * (1.0 / pack_ml)).whole()
    return Adhesive(groove, patch, len(areas), max(areas), per_mix, mixers, total, cartridges, pack_ml)


def _groove_cm2(size: Size) -> float:
    """Area of the show side's groove, mesh-free: the hole and the dish round it."""
    return (size.length_mm + size.groove_width_mm) * (size.width_mm + size.groove_width_mm) / 100.0


def _mixes(area_cm2: float, reach_cm2: float) -> int:
    return max(1, int(-(-area_cm2 // reach_cm2))) if reach_cm2 > 0 else 1


def _own(value: float | None, name: str, figures: Figures) -> Band:
    return exactly(value) if value is not None else figures.band(name)


def scarf_mm(thickness_mm: float, ratio: float) -> float:
    """Length of a tapered scarf each way: ratio x thickness. The ratio is the maker's, or that of the load."""
    if thickness_mm <= 0.0 or ratio < 1.0:
        raise ValueError("Thickness must be above zero and the scarf at least 1 to 1.")
    return thickness_mm * ratio


def scarf_size_mm(length_mm: float, width_mm: float, thickness_mm: float, ratio: float) -> tuple[float, float]:
    """Length and width of the whole repair after the scarf is cut: the hole and twice the scarf."""
    each_way = scarf_mm(thickness_mm, ratio)
    return length_mm + 2 * each_way, width_mm + 2 * each_way


def rod_length_mm(size: Size, figures: Figures) -> Band:
    """Welding rod, mm: the V of the full wall, thickness^2 x tan(half angle) x length, against its section."""
    angle = figures.band("weld_angle_degrees")
    sections = [size.thickness_mm**2 * tan(radians(a / 2.0)) for a in (angle.low, angle.usual, angle.high)]
    groove_mm3 = Band(*(section * size.length_mm for section in sections))
    return groove_mm3 * (1.0 / (pi / 4.0 * size.rod_mm**2)) * figures.band("rod_waste")


def cleaner_vapour(size: Size, figures: Figures, celsius: float) -> Vapour:
    """What one wipe with isopropanol makes when it has dried: litres of vapour, and of air that can then be lit."""
    g_ml, g_mol, lel = (figures.band(f"cleaner_{name}").usual for name in ("g_ml", "g_mol", "lel_percent"))
    return vapour_of(size.cleaner_ml, g_ml, g_mol, lel, celsius)


_ADHESIVE_LEAVES_OUT = "how deep you really grind, a hand heavier than usual, and dropped or gelled material"


def adhesive_quantities(size: Size, figures: Figures, supply: Supply) -> list[Quantity]:
    """What a repair with two-part adhesive and mesh takes."""
    need = adhesive(size, figures, supply)
    mesh_long, mesh_wide = size.mesh_mm()
    sources = figures.sources
    found = [
        Quantity(
            "groove",
            "groove and hole to fill",
            need.groove_ml,
            "mL",
            "a groove cut deeper or wider than planned",
            sources("dish_share", "groove_depth_share", "groove_width_mm"),
        ),
        Quantity(
            "patch",
            "patch on the reinforced side",
            need.patch_ml,
            "mL",
            "a curved or ribbed back",
            sources("rim_factor", "patch_mm", "margin_mm"),
        ),
        Quantity(
            "adhesive",
            "adhesive in all, with waste, purge and what stays in the mixers",
            need.total_ml,
            "mL",
            _ADHESIVE_LEAVES_OUT,
            sources("waste_factor", "hold_up_ml", "purge_ml"),
        ),
        Quantity(
            "mixers",
            "mixer tips",
            need.mixers.whole(),
            "",
            "one to spare: a tip left standing is spent",
            sources("hold_up_ml", "work_time_share", "spreading_cm2_min"),
        ),
    ]
    known = supply.cartridge_ml is not None
    found.append(
        Quantity(
            "cartridges",
            f"cartridges of {need.cartridge_ml:g} mL",
            need.cartridges,
            "",
            "a cartridge that was begun before" if known else "your own pack: this is only a common size",
            sources("waste_factor", "purge_ml") if known else sources("waste_factor", "purge_ml", "cartridge_ml"),
        )
    )
    if need.per_mix_cm2 is not None:
        found.append(
            Quantity(
                "area_per_mix",
                "area that one mix can cover",
                need.per_mix_cm2,
                "cm2",
                "your own hand: coat a known area against the clock once and keep the figure",
                sources("work_time_share", "spreading_cm2_min", "factor_per_10_k"),
            )
        )
    waste = figures.band("mesh_waste")
    perimeter_m = 2.0 * (size.length_mm + size.width_mm + 4 * size.margin_mm) / 1000.0
    strip_m = (size.width_mm + 2 * size.margin_mm) / 1000.0
    spacing = figures.band("tape_spacing_mm")
    strips = Band(*(size.length_mm / gap for gap in (spacing.high, spacing.usual, spacing.low))).whole() + 1
    found += [
        Quantity(
            "area",
            "area to prepare on the reinforced side",
            exactly(size.prepared_cm2()),
            "cm2",
            "a second side, and more where the margin runs over an edge",
            sources("margin_mm"),
        ),
        Quantity(
            "mesh",
            f"mesh, one layer, {mesh_long:.0f} x {mesh_wide:.0f} mm with round corners",
            waste * (mesh_long * mesh_wide / 100.0),
            "cm2",
            "a second layer, which is seldom right",
            sources("mesh_overlap_mm", "mesh_waste"),
        ),
        Quantity(
            "film",
            "cover film",
            waste * (size.prepared_cm2() * size.sides),
            "cm2",
            "folds and a second try",
            sources("margin_mm", "mesh_waste"),
        ),
        Quantity(
            "tape",
            "tape: strips across the break, once round the area",
            strips * strip_m + perimeter_m,
            "m",
            "tape to hold the part itself",
            sources("tape_spacing_mm", "margin_mm"),
        ),
    ]
    return found


def weld_quantities(size: Size, figures: Figures) -> list[Quantity]:
    """What a fusion weld takes; settings of heat and speed are the rod maker's and are not reckoned."""
    return [
        Quantity(
            "rod",
            f"welding rod, {size.rod_mm:g} mm round, one side",
            rod_length_mm(size, figures),
            "mm",
            "the test strip, which takes as much again",
            figures.sources("weld_angle_degrees", "rod_waste", "rod_mm"),
        )
    ]


def laminate_quantities(size: Size, ratio: float, plies: int | None, source: tuple[str, ...]) -> list[Quantity]:
    """What a scarf takes for a ratio that comes from the maker or the load (`source`)."""
    long_mm, wide_mm = scarf_size_mm(size.length_mm, size.width_mm, size.thickness_mm, ratio)
    leaves_out = "rot, water and delamination beyond what is seen: tap outwards before you mark it"
    found = [
        Quantity(
            "scarf",
            f"scarf each way at {ratio:g} to 1",
            exactly(scarf_mm(size.thickness_mm, ratio)),
            "mm",
            "whether the ratio is right for the load",
            source,
        ),
        Quantity("repair_length", "length of the whole repair", exactly(long_mm), "mm", leaves_out, source),
        Quantity("repair_width", "width of the whole repair", exactly(wide_mm), "mm", leaves_out, source),
    ]
    if plies is not None:
        found.append(
            Quantity(
                "plies",
                "plies, each in its old direction",
                Band(plies, plies, plies + 1),
                "",
                "which direction each lay in: grind a step and look",
                ("FAA43",),
            )
        )
    return found


def cleaner_quantity(size: Size, figures: Figures, celsius: float) -> Quantity:
    """A figure to teach with: the air that one wipe of isopropanol can make burn."""
    made = cleaner_vapour(size, figures, celsius)
    return Quantity(
        "air_made_flammable",
        f"air that {size.cleaner_ml:g} mL of isopropanol can make burn once dried",
        exactly(made.air_made_flammable_l),
        "L",
        "how the room moves the air: the size of the danger, never leave for more cleaner",
        figures.sources("cleaner_g_ml", "cleaner_lel_percent"),
    )
