"""Whether stated confidence is met: reliability table, calibration error with its own error, scores.

ECE = sum over bins of share * |mean stated - share right|, ten bins of equal width (Naeini, Cooper and
Hauskrecht, AAAI 29 (2015)). It is never 0 in a finite sample; `ece_if_exact` is what a tool whose every word is
met would be expected to show with the same statements.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from math import log, pi, sqrt
from typing import Any

BINS = 10
RESAMPLES = 200
SMALLEST = 1e-6  # a true answer stated at less than this is scored as this
Pair = tuple[float, bool]  # (stated, right)


@dataclass(frozen=True, slots=True)
class Bin:
    """Statements between `low` and `high`: how many, their mean, and how many were right."""

    low: float
    high: float
    count: int
    stated: float
    right: float

    @property
    def error(self) -> float:
        """Standard error of the share that is right, if what is stated were exact."""
        return sqrt(max(self.stated * (1.0 - self.stated), 0.0) / self.count) if self.count else 0.0

    def as_json(self) -> dict[str, Any]:
        """The bin as an object."""
        return {
            "from": self.low,
            "to": self.high,
            "count": self.count,
            "stated": round(self.stated, 4),
            "right": round(self.right, 4),
        }


@dataclass(frozen=True, slots=True)
class Reliability:
    """Calibration of one kind of statement."""

    bins: tuple[Bin, ...]
    ece: float
    ece_error: float  # standard error by resampling interviews
    ece_if_exact: float
    gap: float  # mean stated less share right: above 0 is too sure

    def as_json(self) -> dict[str, Any]:
        """The calibration as an object."""
        return {
            "ece": round(self.ece, 5),
            "ece_error": round(self.ece_error, 5),
            "ece_if_exact": round(self.ece_if_exact, 5),
            "too_sure_by": round(self.gap, 5),
            "table": [b.as_json() for b in self.bins if b.count],
        }


def bins_of(pairs: Sequence[Pair], count: int = BINS) -> tuple[Bin, ...]:
    """The statements sorted into bins of equal width."""
    numbers, stated, right = [0] * count, [0.0] * count, [0] * count
    for p, hit in pairs:
        place = bin_of(p, count)
        numbers[place] += 1
        stated[place] += p
        right[place] += hit
    return tuple(
        Bin(k / count, (k + 1) / count, n, stated[k] / n if n else 0.0, right[k] / n if n else 0.0)
        for k, n in enumerate(numbers)
    )


def bin_of(p: float, count: int = BINS) -> int:
    """The bin of a probability; a bin holds its upper end, as confidence of exactly 1 belongs to the last."""
    place = min(int(p * count), count - 1)
    return place - 1 if place and p <= place / count else place


def ece_of(bins: Sequence[Bin]) -> float:
    """Expected calibration error of a reliability table."""
    total = sum(b.count for b in bins)
    return sum(b.count * abs(b.stated - b.right) for b in bins) / total if total else 0.0


def reliability(pairs: Sequence[Pair], seed: int = 0, resamples: int = RESAMPLES) -> Reliability:
    """The calibration of these statements; resampling is seeded."""
    bins = bins_of(pairs)
    total = len(pairs)
    if not total:
        return Reliability(bins, 0.0, 0.0, 0.0, 0.0)
    rng, drawn = random.Random(seed), []
    for _ in range(resamples):
        drawn.append(ece_of(bins_of(rng.choices(pairs, k=total))))
    mean = sum(drawn) / len(drawn)
    error = sqrt(sum((d - mean) ** 2 for d in drawn) / max(len(drawn) - 1, 1))
    # |N(0, s)| has the mean s sqrt(2 / pi).
    exact = sum(b.count * b.error for b in bins) / total * sqrt(2.0 / pi)
    gap = sum(p - hit for p, hit in pairs) / total
    return Reliability(bins, ece_of(bins), error, exact, gap)


def brier(pairs: Sequence[Pair]) -> float:
    """Mean square of stated less right, for the statement that was made."""
    return sum((p - hit) ** 2 for p, hit in pairs) / len(pairs) if pairs else 0.0


def log_score(chances: Sequence[float]) -> float:
    """Mean of -ln of what was stated for the truth, in nats; 0 is best."""
    return -sum(log(max(p, SMALLEST)) for p in chances) / len(chances) if chances else 0.0
