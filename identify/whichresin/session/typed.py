"""A density as a person types it: the figure itself, or the weights or the weight and volume that give it.

    1.14               g/cm3
    5.02 0.62          grams in air, grams hanging in water
    1.20 20.17 20.30   grams in air, piece and sinker in water, the sinker alone in water
    5.02 0.62 at 18    the water's temperature in degrees Celsius
    5.02 g 4.8 ml      grams in air, and the volume of water that the piece moves aside in a jar
    5.02 g 50 54.8 ml  the same with the jar's level without and with the piece
    5.02 g 4.8 ml marks 0.2   how far apart the jar's marks are, in ml
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from whichresin.vocabulary.text import shown

from .measured import USUAL_CELSIUS, moved_in_jar, weighed_in_water

LIGHTEST_G_CM3, HEAVIEST_G_CM3 = 0.2, 5.0  # outside, it is no plastic piece and probably a slip of the decimal
_COLDEST, _WARMEST = 1.0, 39.0  # C, of water that a piece is weighed in
_FIGURE = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
_G_CM3 = ("g/cm3", "g/cm³", "g/ml", "kg/l")
_KG_M3 = ("kg/m3", "kg/m³", "g/l")
_GRAMS = ("g", "gram", "grams", "gramme", "grammes")
_ML = ("ml", "cm3", "cm³", "ccm", "cc", "millilitre", "millilitres", "milliliter", "milliliters")
_LITRES = {"l": 1000.0, "litre": 1000.0, "liter": 1000.0, "dl": 100.0, "cl": 10.0, "mm3": 0.001, "mm³": 0.001}
_PER = {"mg": 0.001, "kg": 1000.0, "oz": 28.35, "lb": 453.6, "lbs": 453.6}
_WARM = re.compile(r"(.*?)(?:\bat\b|@)\s*(.*)", re.DOTALL)
_MARKS = re.compile(r"(.*?)\bmarks?\b\s*(.*)", re.DOTALL | re.IGNORECASE)
_CELSIUS = ("c", "°c", "celsius", "deg", "degrees")


class Typed(NamedTuple):
    """A density in g/cm3; its standard uncertainty when it was measured here."""

    value: float
    uncertainty: float | None


def density_typed(text: str) -> Typed:
    """What was typed as a density. Raises ValueError with one sentence that says what is wrong and what to do."""
    rest, celsius = _temperature(" ".join(text.split()))
    rest, mark = _mark(rest)
    pairs = _pairs(rest)
    if mark or any(unit in (*_ML, *_LITRES) for _, unit in pairs):
        return _from_volume(pairs, mark)
    figures = [figure for figure, _ in pairs]
    unit = _unit([unit for _, unit in pairs if unit])
    if unit in _KG_M3 or (len(figures) == 1 and unit in _PER):
        raise ValueError(_unit_sentence(figures[0], unit))
    if len(figures) == 1 and unit in _GRAMS:
        raise ValueError(
            "One weight gives no density: type two, in air and hanging in water (5.02 0.62), or add a volume "
            "(5.02 g 4.8 ml)."
        )
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
            "both in water, the sinker alone in water), or a weight and a volume such as 5.02 g 4.8 ml."
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


def _mark(text: str) -> tuple[str, str]:
    """What was typed without the jar's marks, and how far apart they are in ml, as it was written; "" if not said."""
    match = _MARKS.fullmatch(text)
    if match is None:
        return text, ""
    said = match.group(2).lower()
    for unit in _ML:
        said = said.removesuffix(unit).strip()
    if _FIGURE.fullmatch(said) is None or not float(said.replace(",", ".")) > 0.0:
        raise ValueError(f"{shown(match.group(2))} is no distance between marks: type it in ml, such as marks 0.2.")
    return match.group(1).strip(), said.replace(",", ".")


def _from_volume(pairs: list[tuple[str, str]], mark: str) -> Typed:
    """The density from one weight and the volume moved, or the level before and after."""
    for figure, unit in pairs:
        for what, wanted, others in (("Volumes", "ml", _LITRES), ("Weights", "g", _PER)):
            if unit in others:
                here = f"{float(figure) * others[unit]:g} {wanted}"
                raise ValueError(f"{what} are wanted in {wanted}, not {unit}: {figure} {unit} is {here}.")
    weights = [place for place, (_, unit) in enumerate(pairs) if unit in _GRAMS]
    weights = weights or [place for place, (_, unit) in enumerate(pairs) if not unit]
    levels = [figure for place, (figure, _) in enumerate(pairs) if place not in weights[:1]]
    if not weights:
        raise ValueError("A volume alone gives no density: type the weight before it, such as 5.02 g 4.8 ml.")
    if not 1 <= len(levels) <= 2 or len([unit for _, unit in pairs if unit in _GRAMS]) > 1:
        raise ValueError(
            "Type one weight and one volume, such as 5.02 g 4.8 ml, or the jar's level without and with the piece: "
            "5.02 g 50 54.8 ml."
        )
    found = moved_in_jar(pairs[weights[0]][0], levels, mark)
    if not LIGHTEST_G_CM3 <= found.value <= HEAVIEST_G_CM3:
        raise ValueError(
            f"That gives {found.value:.3g} g/cm3, outside {LIGHTEST_G_CM3:g} to {HEAVIEST_G_CM3:g}; check the weight "
            "and the volume."
        )
    return Typed(found.value, found.uncertainty)


def _pairs(text: str) -> list[tuple[str, str]]:
    """Each figure, with a decimal point, and the unit written with or after it; "" where none was."""
    found: list[tuple[str, str]] = []
    known = (*_G_CM3, *_KG_M3, *_GRAMS, *_PER, *_ML, *_LITRES, "")
    strange = False
    for word in text.split():
        match = _FIGURE.match(word)
        unit = (word[match.end() :] if match else word).lower()
        strange = strange or unit not in known
        if match:
            found.append((match.group().replace(",", "."), unit))
        elif found and not found[-1][1]:
            found[-1] = (found[-1][0], unit)
        else:
            strange = True
    if not found or strange or any(not math.isfinite(float(figure)) for figure, _ in found):
        raise ValueError(
            f"{shown(text)} is not a number. Type a figure such as 1.14, two weights (5.02 0.62), or a weight and a "
            "volume (5.02 g 4.8 ml)."
        )
    return found


def _unit(units: list[str]) -> str:
    """The unit that decides what the figures are: any but grams before grams."""
    return next((unit for unit in units if unit not in _GRAMS), units[0] if units else "")


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
