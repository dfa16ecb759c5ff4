"""Many interviews as one report: what was right, what it cost, how far the stated confidence was met."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

from whichresin.session.present import STATED_AT

from .play import Played
from .reliability import Reliability, brier, log_score, reliability

ENOUGH = 5000  # fewer interviews cannot show an ECE of 0.02
FEWEST = 20  # groups smaller than this are not listed

Pick = Callable[[Played], bool | float]


@dataclass(frozen=True, slots=True)
class Report:
    """What the interviews come to."""

    played: tuple[Played, ...]
    klass: Reliability
    polymer: Reliability
    cell: Reliability
    filled: Reliability

    def as_json(self) -> dict[str, Any]:
        """The figures under the keys of the contract, with more beside them."""
        all_of = self.played
        parts = {"class": self.klass, "polymer": self.polymer, "cell": self.cell, "filled": self.filled}
        return {
            "interviews": len(all_of),
            "enough_for_ece": len(all_of) >= ENOUGH,
            **figures(all_of),
            "ece": {name: round(r.ece, 5) for name, r in parts.items()},
            "ece_error": {name: round(r.ece_error, 5) for name, r in parts.items()},
            "reliability": {name: r.as_json() for name, r in parts.items()},
            "stops": groups(all_of, lambda p: p.stop or "longest", 1),
            "statuses": groups(all_of, lambda p: p.status, 1),
            "polymers": groups(all_of, lambda p: p.material, FEWEST),
            "skills": groups(all_of, lambda p: p.skill, 1),
            "outside": outside(all_of),
        }


def report(played: Sequence[Played], seed: int = 0) -> Report:
    """The report of these interviews, whatever their order."""
    ordered = tuple(sorted(played, key=lambda p: p.index))
    return Report(
        ordered,
        reliability([(p.klass_p, p.klass_right) for p in ordered], seed),
        reliability([(p.polymer_p, p.polymer_right) for p in ordered], seed),
        reliability([(p.cell_p, p.cell_right) for p in ordered], seed),
        reliability([(p.filled_p, p.filled_right) for p in ordered], seed),
    )


def mean(played: Sequence[Played], pick: Pick) -> float:
    """The mean of a figure over the interviews; 0 for none."""
    return sum(map(pick, played)) / len(played) if played else 0.0


def figures(played: Sequence[Played]) -> dict[str, Any]:
    """Accuracy, scores and cost."""
    n = max(len(played), 1)
    cost = [p.minutes + p.loss for p in played]
    spread = sqrt(sum((c - sum(cost) / n) ** 2 for c in cost) / max(n - 1, 1) / n)
    return {
        "accuracy": {
            "class": _round(mean(played, lambda p: p.klass_right)),
            "cell": _round(mean(played, lambda p: p.cell_right)),
            "polymer": _round(mean(played, lambda p: p.polymer_right)),
            "filled": _round(mean(played, lambda p: p.filled_right)),
            "filler": _round(mean(played, lambda p: p.filler_right)),
        },
        "brier": {
            "class": _round(mean(played, lambda p: p.klass_brier)),
            "polymer": _round(mean(played, lambda p: p.polymer_brier)),
            "class_stated": _round(brier([(p.klass_p, p.klass_right) for p in played])),
            "polymer_stated": _round(brier([(p.polymer_p, p.polymer_right) for p in played])),
        },
        "log_score": {
            "class": _round(log_score([p.klass_true_p for p in played])),
            "polymer": _round(log_score([p.polymer_true_p for p in played])),
        },
        "wrong_actions": _round(mean(played, lambda p: p.wrong)),
        "deferred": _round(mean(played, lambda p: p.action == "defer")),
        "alarms": _round(mean(played, lambda p: p.alarm)),
        "questions_mean": _round(mean(played, lambda p: p.answers + p.unsure)),
        "unsure_mean": _round(mean(played, lambda p: p.unsure)),
        "question_minutes_mean": _round(mean(played, lambda p: p.minutes)),
        "hazard_minutes_mean": _round(mean(played, lambda p: p.hazard)),
        "guarded_tests_mean": _round(mean(played, lambda p: p.guarded)),
        "loss_mean": _round(mean(played, lambda p: p.loss)),
        "cost_mean": _round(sum(cost) / n),
        "cost_error": _round(spread),
    }


def groups(played: Sequence[Played], key: Callable[[Played], str], fewest: int) -> dict[str, Any]:
    """A few figures for each group of at least `fewest`, largest first."""
    found: dict[str, list[Played]] = {}
    for one in played:
        found.setdefault(key(one), []).append(one)
    return {
        name: {
            "interviews": len(members),
            "class_right": _round(mean(members, lambda p: p.klass_right)),
            "class_stated": _round(mean(members, lambda p: p.klass_p)),
            "cell_right": _round(mean(members, lambda p: p.cell_right)),
            "polymer_right": _round(mean(members, lambda p: p.polymer_right)),
            "polymer_stated": _round(mean(members, lambda p: p.polymer_p)),
            "wrong_actions": _round(mean(members, lambda p: p.wrong)),
            "alarms": _round(mean(members, lambda p: p.alarm)),
            "questions_mean": _round(mean(members, lambda p: p.answers + p.unsure)),
            "cost_mean": _round(mean(members, lambda p: p.minutes + p.loss)),
        }
        for name, members in sorted(found.items(), key=lambda pair: (-len(pair[1]), pair[0]))
        if len(members) >= fewest
    }


def held_back(one: Played) -> bool:
    """Whether the end is honest about not knowing: unknown, a contradiction, put off, or none of these."""
    return one.status in ("unknown", "contradiction") or one.action in ("defer", "none")


def states_wrong(one: Played) -> bool:
    """Whether the class or the repair cell is said at the level at which it is stated, and is another one."""
    return (one.klass_p >= STATED_AT and not one.klass_right) or (one.cell_p >= STATED_AT and not one.cell_right)


def confidently_wrong(one: Played) -> bool:
    """Concluded, with a wrong class or a wrong repair cell stated. A wrong name alone is not counted.

    A part of an unlisted plastic that is taken for a near twin in the base, of the same class and the same repair
    cell, is repaired as it should be: that is counted as right. What is treated as another cell while nothing wrong
    is stated is counted as not sure.
    """
    return not held_back(one) and states_wrong(one)


def ends(played: Sequence[Played]) -> dict[str, float]:
    """The shares of four ways to end, which sum to 1: `confidently_wrong`, `held_back`, right and not sure."""
    wrong, held = mean(played, confidently_wrong), mean(played, held_back)
    unsure = mean(played, lambda p: not held_back(p) and not states_wrong(p) and p.wrong)
    right = 1.0 - wrong - held - unsure if played else 0.0
    return {
        "confidently_wrong": _round(wrong),
        "held_back": _round(held),
        "not_sure_and_wrong": _round(unsure),
        "right": _round(right),
    }


def outside(played: Sequence[Played]) -> dict[str, Any]:
    """How parts that are not in the knowledge ended, and those that are, side by side."""
    strangers = [p for p in played if not p.known]
    return {
        "interviews": len(strangers),
        **ends(strangers),
        "known": ends([p for p in played if p.known]),
        "wrong_class_at_any_end": _round(mean(strangers, lambda p: p.klass_p >= STATED_AT and not p.klass_right)),
        "wrong_name_stated": _round(mean(strangers, lambda p: not held_back(p) and p.polymer_p >= STATED_AT)),
        "wrong_action": _round(mean(strangers, lambda p: not held_back(p) and p.wrong)),
    }


def _round(value: float) -> float:
    return round(float(value), 5)
