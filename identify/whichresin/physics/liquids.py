"""Liquids made at the bench from water and a solute: density, recipe for a density, and how sure it is.

A `Liquid` is data (knowledge/liquids/) with one of the formulas of `solutions`. Nothing is extrapolated: outside
the mass fraction or the temperature for which a formula holds, ValueError says what to do instead.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import sqrt

from .propagation import Measured, propagate, rounding

Density = Callable[[float, float], float]  # mass fraction, celsius -> g/cm3


@dataclass(frozen=True, slots=True)
class Liquid:
    """Water with one solute. Fractions are by mass of solution (0 to 1)."""

    id: str
    name: str
    density: Density
    fraction_high: float
    celsius_low: float
    celsius_high: float
    model_g_cm3: float  # standard uncertainty of the formula
    per_degree_g_cm3: float  # what it grows by for each degree away from 20 C
    strength: float  # mass fraction of solute in what is usually bought
    strength_uncertainty: float
    handling_g_cm3: float  # standard uncertainty from making it: a wet jar, grains left, alcohol drying off
    minutes: float = 0.0  # to make it
    hazard: str = "none"  # none | low | medium | high
    cautions: tuple[str, ...] = ()
    advice: str = ""
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Bench:
    """The means with which a liquid is made: standard uncertainties, and the amount made."""

    celsius: float = 23.0
    celsius_uncertainty: float = 1.0
    scale_step_g: float = 1.0
    water_g: float = 300.0


@dataclass(frozen=True, slots=True)
class Recipe:
    """How to make one liquid. `grams` of the product as bought for every 100 g of water."""

    liquid: str
    grams_per_100_g_water: float
    mass_fraction: float
    celsius: float
    density_g_cm3: float
    uncertainty_g_cm3: float
    parts_g_cm3: Mapping[str, float] = field(default_factory=dict)  # what each doubt adds, in squares


def solution_density(liquid: Liquid, mass_fraction: float, celsius: float) -> float:
    """Density, g/cm3. Raises ValueError outside the fractions and temperatures of the liquid's formula."""
    _in_range(liquid, celsius)
    if not 0.0 <= mass_fraction <= liquid.fraction_high * (1.0 + 1e-12):
        raise ValueError(
            f"{100 * mass_fraction:.4g} % by mass is outside 0 to {100 * liquid.fraction_high:g} % for {liquid.name}: "
            "make a weaker liquid or take another solute."
        )
    return liquid.density(mass_fraction, celsius)


def reach(liquid: Liquid, celsius: float) -> tuple[float, float]:
    """The lowest and highest density, g/cm3, that this liquid can have at this temperature."""
    _in_range(liquid, celsius)
    ends = sorted((liquid.density(0.0, celsius), liquid.density(liquid.fraction_high, celsius)))
    return ends[0], ends[1]


def fraction_for(liquid: Liquid, density_g_cm3: float, celsius: float) -> float:
    """Mass fraction of solute that gives a density: `solution_density` undone by halving.

    Raises ValueError when the density is out of reach.
    """
    low, high = reach(liquid, celsius)
    if not low <= density_g_cm3 <= high:
        raise ValueError(
            f"{density_g_cm3:.4g} g/cm3 is out of reach of {liquid.name} in water at {celsius:g} C, which gives "
            f"{low:.3f} to {high:.3f} g/cm3: take another solute or another density."
        )
    falling = liquid.density(liquid.fraction_high, celsius) < liquid.density(0.0, celsius)
    bottom, top = 0.0, liquid.fraction_high
    for _ in range(60):
        middle = 0.5 * (bottom + top)
        if (liquid.density(middle, celsius) > density_g_cm3) == falling:
            bottom = middle
        else:
            top = middle
    return 0.5 * (bottom + top)


def grams_per_100_g_water(mass_fraction: float, strength: float = 1.0) -> float:
    """Grams of a product of this strength (mass fraction of solute) for 100 g of added water.

        g = 100 w / (s - w)

    >>> round(grams_per_100_g_water(0.10), 2)
    11.11

    Raises ValueError when the product is no stronger than the solution.
    """
    if mass_fraction >= strength:
        raise ValueError(
            f"A product of {100 * strength:.3g} % by mass cannot make a liquid of {100 * mass_fraction:.3g} %: "
            "take a stronger one."
        )
    return 100.0 * mass_fraction / (strength - mass_fraction)


def fraction_made(grams_per_100_g: float, strength: float = 1.0) -> float:
    """Mass fraction of solute from a recipe: `grams_per_100_g_water` undone."""
    return strength * grams_per_100_g / (100.0 + grams_per_100_g)


def recipe_for(liquid: Liquid, density_g_cm3: float, bench: Bench, strength: float | None = None) -> Recipe:
    """The recipe for a density at the bench's temperature. Raises ValueError when it is out of reach."""
    grams = grams_per_100_g_water(fraction_for(liquid, density_g_cm3, bench.celsius), strength or liquid.strength)
    return recipe_made(liquid, grams, bench, strength)


def recipe_made(liquid: Liquid, grams_per_100_g: float, bench: Bench, strength: float | None = None) -> Recipe:
    """What a recipe comes to, with its standard uncertainty.

    The doubts: both weighings on the scale, the strength of the product, the temperature, the formula, and what
    making it adds. They are taken as independent (law of propagation).
    """
    bought = strength or liquid.strength
    product_g = grams_per_100_g * bench.water_g / 100.0
    solution_density(liquid, fraction_made(grams_per_100_g, bought), bench.celsius)  # refuses what is out of range

    def made(product: float, water: float, strength: float, celsius: float, formula: float, handling: float) -> float:
        return liquid.density(max(strength * product / (product + water), 0.0), celsius) + formula + handling

    step = rounding(bench.scale_step_g)
    away = liquid.per_degree_g_cm3 * abs(bench.celsius - 20.0)
    found = propagate(
        made,
        {
            "product": Measured(product_g, step),
            "water": Measured(bench.water_g, step),
            "strength": Measured(bought, liquid.strength_uncertainty),
            "celsius": Measured(bench.celsius, bench.celsius_uncertainty),
            "formula": Measured(0.0, sqrt(liquid.model_g_cm3**2 + away**2)),
            "handling": Measured(0.0, liquid.handling_g_cm3),
        },
    )
    share = fraction_made(grams_per_100_g, bought)
    return Recipe(liquid.id, grams_per_100_g, share, bench.celsius, found.value, found.uncertainty, found.parts)


def _in_range(liquid: Liquid, celsius: float) -> None:
    if not liquid.celsius_low <= celsius <= liquid.celsius_high:
        raise ValueError(
            f"{celsius:g} C is outside {liquid.celsius_low:g} to {liquid.celsius_high:g} C, where the density of "
            f"{liquid.name} in water is known: bring it to room temperature and measure it again."
        )
