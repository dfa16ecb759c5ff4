"""How often the identification and the repair held: counts with an interval, never a bare percentage."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import sqrt
from typing import Any

from .rows import FAILED, HELD, WRONG, Kept

_Z_95 = 1.959963984540054  # two-sided 95 % of the normal distribution


@dataclass(frozen=True, slots=True)
class Share:
    """`held` of `known` jobs, with the Wilson interval at 95 %. `low` and `high` are 0 and 1 where nothing is known."""

    name: str
    held: int
    known: int
    not_known: int
    low: float
    high: float
    stated: float | None  # mean of the probabilities that were stated for the known ones

    def as_json(self) -> dict[str, Any]:
        """The share as an object."""
        return {
            "name": self.name,
            "held": self.held,
            "known": self.known,
            "not_known": self.not_known,
            "interval": [round(self.low, 4), round(self.high, 4)],
            "method": "Wilson score interval, 95 %",
            "stated_mean": None if self.stated is None else round(self.stated, 4),
        }


@dataclass(frozen=True, slots=True)
class Report:
    """All jobs together, and by repair cell and process. `confused`: (acted on, really, how often), most first."""

    jobs: int
    identification: Share
    repair: Share
    by_cell: tuple[Share, ...]
    by_process: tuple[Share, ...]
    patterns: tuple[tuple[str, int], ...]
    confused: tuple[tuple[str, str, int], ...]

    def as_json(self) -> dict[str, Any]:
        """The report as an object."""
        return {
            "jobs": self.jobs,
            "identification": self.identification.as_json(),
            "repair": self.repair.as_json(),
            "identification_by_cell": [share.as_json() for share in self.by_cell],
            "repair_by_process": [share.as_json() for share in self.by_process],
            "failure_patterns": [{"pattern": name, "count": count} for name, count in self.patterns],
            "confused": [{"acted_on": a, "really": b, "count": n} for a, b, n in self.confused],
        }


def wilson(held: int, known: int, z: float = _Z_95) -> tuple[float, float]:
    """Wilson's score interval of a share (J. Am. Stat. Assoc. 22 (1927) 209-212); (0, 1) when nothing is known.

    Raises ValueError unless 0 <= held <= known.

    >>> [round(end, 3) for end in wilson(2, 3)]
    [0.208, 0.939]
    """
    if not 0 <= held <= known:
        raise ValueError(f"{held} of {known} is no share")
    if known == 0:
        return 0.0, 1.0
    share, zz = held / known, z * z
    middle = (share + zz / (2 * known)) / (1 + zz / known)
    half = z * sqrt(share * (1 - share) / known + zz / (4 * known * known)) / (1 + zz / known)
    return max(0.0, middle - half), min(1.0, middle + half)


def report(jobs: Iterable[Kept]) -> Report:
    """Count over all jobs; of each only its latest outcome."""
    kept = list(jobs)
    repaired = [one for one in kept if one.job.decision == "repair"]
    patterns: dict[str, int] = {}
    confused: dict[tuple[str, str], int] = {}
    for one in kept:
        outcome = one.outcome
        if outcome is None:
            continue
        if outcome.pattern:
            patterns[outcome.pattern] = patterns.get(outcome.pattern, 0) + 1
        if outcome.identification == WRONG and outcome.really:
            pair = (one.job.polymer or one.job.cell, outcome.really)
            confused[pair] = confused.get(pair, 0) + 1
    return Report(
        len(kept),
        _share("identification", kept, _identification),
        _share("repair", repaired, _repair),
        _grouped(kept, lambda one: one.job.cell, _identification),
        _grouped(repaired, lambda one: one.job.process, _repair),
        tuple(sorted(patterns.items(), key=lambda pair: (-pair[1], pair[0]))),
        tuple(sorted(((a, b, n) for (a, b), n in confused.items()), key=lambda row: (-row[2], row[:2]))),
    )


def _identification(one: Kept) -> bool | None:
    said = one.outcome.identification if one.outcome else ""
    return True if said == HELD else False if said == WRONG else None


def _repair(one: Kept) -> bool | None:
    said = one.outcome.repair if one.outcome else ""
    return True if said == HELD else False if said == FAILED else None


def _share(name: str, jobs: Iterable[Kept], judged: Callable[[Kept], bool | None]) -> Share:
    said = [(one, judged(one)) for one in jobs]
    known = [(one, held) for one, held in said if held is not None]
    held = sum(1 for _, held in known if held)
    stated = sum(one.job.probability for one, _ in known) / len(known) if known else None
    return Share(name, held, len(known), len(said) - len(known), *wilson(held, len(known)), stated)


def _grouped(
    jobs: Iterable[Kept], key: Callable[[Kept], str], judged: Callable[[Kept], bool | None]
) -> tuple[Share, ...]:
    groups: dict[str, list[Kept]] = {}
    for one in jobs:
        groups.setdefault(key(one) or "not said", []).append(one)
    return tuple(_share(name, found, judged) for name, found in sorted(groups.items()))
