"""A density as a person types it: the figure itself, or the weights that give it.

    1.14               g/cm3
    5.02 0.62          grams in air, grams hanging in water
    1.20 20.17 20.30   grams in air, piece and sinker in water, the sinker alone in water
    5.02 0.62 at 18    the water's temperature in degrees Celsius
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from whichresin.vocabulary.text import shown

from .measured import USUAL_CELSIUS, weighed_in_water

LIGHTEST_G_CM3, HEAVIEST_G_CM3 = 0.2, 5.0  # outside, it is no plastic piece and probably a slip of the decimal
_COLDEST, _WARMEST = 1.0, 39.0  # C, of water that a piece is weighed in
_FIGURE = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
_G_CM3 = ("g/cm3", "g/cm³", "g/ml", "kg/l")
_KG_M3 = ("kg/m3", "kg/m³", "g/l")
_GRAMS = ("g", "gram", "grams", "gramme", "grammes")
_PER = {"mg": 0.001, "kg": 1000.0, "oz": 28.35, "lb": 453.6, "lbs": 453.6}
_WARM = re.compile(r"(.*?)(?:\bat\b|@)\s*(.*)", re.DOTALL)
_CELSIUS = ("c", "°c", "celsius", "deg", "degrees")


class Typed(NamedTuple):
    """A density in g/cm3; its standard uncertainty when it was weighed."""

    value: float
    uncertainty: float | None


def density_typed(text: str) -> Typed:
    """What was typed as a density. Raises ValueError with one sentence that says what is wrong and what to do."""
    rest, celsius = _temperature(" ".join(text.split()))
    figures, unit = _figures(rest)
    if unit in _KG_M3 or (len(figures) == 1 and unit in _PER):
        raise ValueError(_unit_sentence(figures[0], unit))
    if len(figures) == 1 and unit in _GRAMS:
        raise ValueError("One weight gives no density: type two, in air and hanging in water, such as 5.02 0.62.")
    if len(figures) == 1:
        value = float(figures[0])
        if not LIGHTEST_G_CM3 <= value <= HEAVIEST_G_CM3:
            raise ValueError(_range_sentence(value))
        return Typed(value, None)
    if unit in _PER:
        raise ValueError(f"Weights are wanted in grams, not {unit}: one {unit} is {_PER[unit]:g} g.")
    if unit in (*_G_CM3, *_KG_M3) or len(figures) > 3:
        raise ValueError(
            "Type one density in g/cm3, or two weights in grams (in air, in water), or three with a sinker (in air, "
            "both in water, the sinker alone in water)."
        )
    found = weighed_in_water(figures[0], figures[1], celsius, *figures[2:])
    return Typed(found.value, found.uncertainty)


def grams_in(text: str) -> float | None:
    """What a weight written in another unit is in grams; None for one in grams, and for what is no weight."""
    match = _FIGURE.match(text)
    unit = text[match.end() :].strip().lower() if match else ""
    return float(match.group().replace(",", ".")) * _PER[unit] if match and unit in _PER else None


def bench_celsius(text: str, coldest: float = _COLDEST, warmest: float = _WARMEST) -> float:
    """A bench or water temperature as typed. Raises ValueError with one sentence for ice, boiling and words."""
    bare = text.strip().lower()
    for word in _CELSIUS:
        bare = bare.removesuffix(word).strip()
    match = _FIGURE.fullmatch(bare)
    if match is None:
        hint = "; give degrees Celsius" if bare.endswith(("f", "k")) else ""
        raise ValueError(f"{shown(text)} is no temperature{hint}, such as 21.")
    celsius = float(bare.replace(",", "."))
    if celsius > warmest and 40.0 < celsius <= 100.0:
        told = f" If that is Fahrenheit, it is {(celsius - 32.0) / 1.8:.0f} C."
        raise ValueError(f"{celsius:g} C is too hot for a float test or a weighing: let it cool to about 20 C.{told}")
    if not coldest <= celsius <= warmest:
        state = "ice" if celsius < coldest else "boiling water"
        raise ValueError(
            f"{celsius:g} C is near {state}: bring water and piece to room temperature, {coldest:g} to {warmest:g} C, "
            "and measure again."
        )
    return celsius


def _temperature(text: str) -> tuple[str, float]:
    match = _WARM.fullmatch(text)
    if match is None:
        return text, USUAL_CELSIUS
    return match.group(1).strip(), bench_celsius(match.group(2))


def _figures(text: str) -> tuple[list[str], str]:
    """The figures, with decimal points, and the unit if one was written."""
    found: list[str] = []
    units: list[str] = []
    for word in text.split():
        match = _FIGURE.match(word)
        unit = (word[match.end() :] if match else word).lower()
        if match:
            found.append(match.group().replace(",", "."))
        if unit:
            units.append(unit)
    known = (*_G_CM3, *_KG_M3, *_GRAMS, *_PER)
    strange = next((unit for unit in units if unit not in known), "")
    if not found or strange or any(not math.isfinite(float(one)) for one in found):
        raise ValueError(f"{shown(text)} is not a number. Type a figure such as 1.14, or two weights: 5.02 0.62.")
    return found, next((unit for unit in units if unit not in _GRAMS), units[0] if units else "")


def _unit_sentence(figure: str, unit: str) -> str:
    if unit in _KG_M3:
        return f"Densities are wanted in g/cm3, not {unit}: {figure} {unit} is {float(figure) / 1000.0:g} g/cm3."
    return f"{figure} {unit} is one weight: type two in grams, in air and hanging in water, such as 5.02 0.62."


def _range_sentence(value: float) -> str:
    if 200.0 <= value <= 5000.0:
        return f"{value:g} is no density in g/cm3; if it is kg/m3, type {value / 1000.0:g}."
    if value <= 0.0:
        return f"A density of {value:g} cannot be: type g/cm3, such as 1.14."
    return f"{value:g} g/cm3 is outside {LIGHTEST_G_CM3:g} to {HEAVIEST_G_CM3:g}; check the figure."
