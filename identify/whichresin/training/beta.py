"""The beta distribution, as far as counts need it: the distribution function and its inverse.

Regularised incomplete beta function by the continued fraction of DLMF 8.17.22 (NIST Digital Library of Mathematical
Functions), evaluated by the modified Lentz method; held against scipy in the tests.
"""

from __future__ import annotations

from math import exp, lgamma, log

_TINY = 1e-300
_ENOUGH = 1e-14
_LONGEST = 10_000  # terms; some hundred suffice for counts of thousands


def beta_cdf(x: float, a: float, b: float) -> float:
    """P(X <= x) of a beta distribution with a, b > 0."""
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    front = exp(a * log(x) + b * log(1.0 - x) + lgamma(a + b) - lgamma(a) - lgamma(b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front / a * _fraction(x, a, b)
    return 1.0 - front / b * _fraction(1.0 - x, b, a)


def beta_quantile(p: float, a: float, b: float) -> float:
    """The x with P(X <= x) = p, by halving; good to 1e-12."""
    low, high = 0.0, 1.0
    while high - low > 1e-13:
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        if beta_cdf(middle, a, b) < p:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for m in range(1, _LONGEST):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / _away(1.0 + term * d)
            c = _away(1.0 + term / c)
            value *= c * d
        if abs(c * d - 1.0) < _ENOUGH:
            return value
    raise ArithmeticError(f"the beta function of {x}, {a}, {b} does not settle")


def _away(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
