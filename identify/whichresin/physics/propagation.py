"""Standard uncertainty of a computed value: the law of propagation, slopes taken numerically."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import sqrt
from typing import NamedTuple


class Measured(NamedTuple):
    """A value and its standard uncertainty, both in the unit of whoever computed it."""

    value: float
    uncertainty: float


class Propagated(NamedTuple):
    """A value, its standard uncertainty, and what each input adds to it (same unit, add in squares)."""

    value: float
    uncertainty: float
    parts: Mapping[str, float]


def propagate(function: Callable[..., float], inputs: Mapping[str, Measured]) -> Propagated:
    """`function(**values)` with the standard uncertainty of independent inputs:

        u^2 = sum (df/dx_i)^2 u_i^2

    JCGM 100:2008 (GUM) equation 10. Slopes by central differences over a thousandth of each uncertainty, so the
    result is that of the linear law; the tests hold it against the `uncertainties` library and a Monte Carlo.
    """
    values = {name: one.value for name, one in inputs.items()}
    parts = {}
    for name, one in inputs.items():
        step = one.uncertainty * 1e-3
        if step <= 0.0:
            parts[name] = 0.0
            continue
        up, down = function(**{**values, name: one.value + step}), function(**{**values, name: one.value - step})
        parts[name] = abs(up - down) / (2.0 * step) * one.uncertainty
    return Propagated(function(**values), sqrt(sum(part * part for part in parts.values())), parts)


def rounding(step: float) -> float:
    """Standard uncertainty of a reading shown in steps of `step`, zero and reading both rounded: step / sqrt(6)."""
    return step / sqrt(6.0)
