"""Density from two weighings, in air and under a liquid, with its standard uncertainty.

The arithmetic is that of ISO 1183-1 method A and ASTM D792 (immersion), with the buoyancy of air taken into
account. Grams, g/cm3 and degrees Celsius throughout.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from .propagation import Measured, propagate, rounding

# Dry air of 1013 hPa and 20 C, the convention of weighing (OIML D 28). Weather and height change it by 10 %,
# which moves a density of 1.1 by 0.00001 g/cm3.
AIR_G_CM3 = 0.0012
AIR_UNCERTAINTY_G_CM3 = 0.00006


@dataclass(frozen=True, slots=True)
class Doubts:
    """Standard uncertainties that come with the method: an overlooked bubble (mm3), the pull at the thread (g)."""

    bubble_mm3: float = 0.5
    thread_g: float = 0.002


@dataclass(frozen=True, slots=True)
class Weighing:
    """A density with its standard uncertainty, and what each doubt adds to it (in squares)."""

    density_g_cm3: float
    uncertainty_g_cm3: float
    parts_g_cm3: Mapping[str, float]
    volume_cm3: float
    air_buoyancy_g_cm3: float  # what was added for the buoyancy of air
    dry_g: float


class ImpossibleWeighing(ValueError):
    """Weights that no piece can give; the message is one sentence that says which and what to do."""


def immersed_density(
    dry: float, wet: float, liquid: float, air: float = AIR_G_CM3, bubble_cm3: float = 0.0, thread_g: float = 0.0
) -> float:
    """Density, g/cm3, from the readings in air and under the liquid (for a sinker: its own reading taken off).

        rho = rho_air + (rho_liquid - rho_air) m_dry / (m_dry - m_wet)

    Exact for a scale adjusted with weights, because both readings are buoyed alike. A bubble of this volume
    lifted the piece, and this pull of the liquid's skin at the thread drew it down.

    >>> round(immersed_density(5.000, 0.620, 0.9982), 4)
    1.1394
    """
    under = wet + bubble_cm3 * liquid - thread_g
    return air + (liquid - air) * dry / (dry - under)


def reading(values: Sequence[float], step_g: float) -> Measured:
    """The mean of repeated readings. Its uncertainty is that of rounding, and of the scatter where it shows."""
    mean = fmean(values)
    scatter = stdev(values) / sqrt(len(values)) if len(values) > 1 else 0.0
    return Measured(mean, sqrt(rounding(step_g) ** 2 + scatter**2))


def weigh(
    dry_g: Sequence[float],
    wet_g: Sequence[float],
    liquid_g_cm3: Measured,
    step_g: float,
    sinker_g: Sequence[float] | None = None,
    doubts: Doubts | None = None,
) -> Weighing:
    """The density of a piece from repeated readings.

    `wet_g` is the reading under the liquid: of the piece alone, or of piece and sinker together, and then
    `sinker_g` holds that of the sinker alone under the liquid. Raises ImpossibleWeighing.
    """
    doubts = doubts or Doubts()
    dry, wet = reading(dry_g, step_g), reading(wet_g, step_g)
    sinker = reading(sinker_g, step_g) if sinker_g else None
    check_readings(dry.value, wet.value, sinker.value if sinker else None)
    inputs = {
        "dry": dry,
        "wet": wet,
        "sinker": sinker or Measured(0.0, 0.0),
        "liquid": liquid_g_cm3,
        "air": Measured(AIR_G_CM3, AIR_UNCERTAINTY_G_CM3),
        "bubble": Measured(0.0, doubts.bubble_mm3 / 1000.0),
        "thread": Measured(0.0, doubts.thread_g),
    }
    found = propagate(_density, inputs)
    lost = dry.value - wet.value + inputs["sinker"].value
    plain = liquid_g_cm3.value * dry.value / lost
    volume = lost / (liquid_g_cm3.value - AIR_G_CM3)
    return Weighing(found.value, found.uncertainty, found.parts, volume, found.value - plain, dry.value)


def _density(dry: float, wet: float, sinker: float, liquid: float, air: float, bubble: float, thread: float) -> float:
    return immersed_density(dry, wet - sinker, liquid, air, bubble, thread)


def check_readings(dry_g: float, wet_g: float, sinker_g: float | None = None) -> None:
    """Raise ImpossibleWeighing for readings that cannot be, saying which and what to do."""
    if dry_g <= 0.0:
        raise ImpossibleWeighing(f"the dry weight {dry_g:g} g is not above zero; weigh the dry piece in air, in grams")
    if sinker_g is None:
        if wet_g < 0.0:
            raise ImpossibleWeighing(
                f"the wet weight {wet_g:g} g is below zero: the piece floats; hang a sinker under it and give the "
                "sinker's own weight under the liquid too"
            )
        if wet_g > dry_g:
            raise ImpossibleWeighing(
                f"the wet weight {wet_g:g} g is above the dry weight {dry_g:g} g: give the weight in air first; are "
                "the two mixed up, or is a sinker weighed with it? Then give its own weight under the liquid too"
            )
        if wet_g == dry_g:
            raise ImpossibleWeighing(
                f"the wet weight equals the dry weight {dry_g:g} g: was the piece under the liquid? Weigh it hanging"
            )
        return
    if sinker_g <= 0.0:
        raise ImpossibleWeighing(
            f"the sinker's weight {sinker_g:g} g under the liquid is not above zero; weigh it hanging in the liquid"
        )
    if wet_g <= 0.0:
        raise ImpossibleWeighing(
            f"piece and sinker together weigh {wet_g:g} g under the liquid: they do not sink; take a heavier sinker"
        )
    if wet_g - sinker_g >= dry_g:
        raise ImpossibleWeighing(
            f"piece and sinker ({wet_g:g} g) less the sinker ({sinker_g:g} g) is not below the dry weight {dry_g:g} g: "
            "the sinker must be weighed under the liquid too, not in air"
        )


def smallest_mass(
    density_g_cm3: float, liquid_g_cm3: Measured, step_g: float, enough_g_cm3: float, doubts: Doubts | None = None
) -> float | None:
    """The dry mass, g, from which one weighing comes down to `enough_g_cm3`; None when no mass does.

    Of a piece of this density, on this scale, in this liquid: everything but the liquid's own doubt shrinks as
    the piece grows.
    """

    def doubt_of(mass: float) -> float:
        wet = mass * (1.0 - (liquid_g_cm3.value - AIR_G_CM3) / (density_g_cm3 - AIR_G_CM3))
        if wet > 0.0:
            return weigh([mass], [wet], liquid_g_cm3, step_g, None, doubts).uncertainty_g_cm3
        # A floating piece is weighed with a sinker; how heavy it is does not matter.
        return weigh([mass], [1.0], liquid_g_cm3, step_g, [1.0 - wet], doubts).uncertainty_g_cm3

    low, high = 1e-4, 1e4
    if doubt_of(high) > enough_g_cm3:
        return None
    for _ in range(80):
        middle = sqrt(low * high)
        if doubt_of(middle) > enough_g_cm3:
            low = middle
        else:
            high = middle
    return high
