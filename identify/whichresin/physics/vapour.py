"""Vapour of a cleaner: its pressure, and how much air a few millilitres can make burn."""

from __future__ import annotations

from typing import NamedTuple

_MOLAR_L_AT_0_C = 22.414  # ideal gas at 0 C and 101.325 kPa (CODATA)


class Antoine(NamedTuple):
    """Constants of the Antoine equation, pressure in mmHg, temperature in C."""

    a: float
    b: float
    c: float


def vapour_pressure_mmhg(celsius: float, constants: Antoine) -> float:
    """Vapour pressure over the liquid, mmHg: 10 ** (a - b / (c + C)), the Antoine equation.

    Raises ValueError at or below the temperature where the equation has its pole.
    """
    if celsius + constants.c <= 0.0:
        raise ValueError(f"{celsius:g} C is outside the range of the Antoine equation.")
    pressure: float = 10.0 ** (constants.a - constants.b / (constants.c + celsius))
    return pressure


class Vapour(NamedTuple):
    """What an amount of liquid makes when all of it has dried, litres."""

    vapour_l: float
    air_made_flammable_l: float


def vapour_of(liquid_ml: float, g_ml: float, g_mol: float, lel_percent: float, celsius: float) -> Vapour:
    """Litres of vapour from `liquid_ml`, and of air brought to the lower explosive limit, ideal gas at 1 atm.

    Raises ValueError for figures that are not above zero.

    >>> made = vapour_of(10.0, 0.785, 60.1, 2.0, 22.0)
    >>> round(made.vapour_l, 1), round(made.air_made_flammable_l)
    (3.2, 158)
    """
    if min(liquid_ml, g_ml, g_mol, lel_percent) <= 0.0:
        raise ValueError("Amount, density, molar mass and explosive limit must be above zero.")
    litres = liquid_ml * g_ml / g_mol * _MOLAR_L_AT_0_C * (273.15 + celsius) / 273.15
    return Vapour(litres, litres / (lel_percent / 100.0))
