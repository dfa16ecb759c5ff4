"""What the knowledge covers: parts of rules without an example, rules in no transcript, materials that look alike,
what is taken for what, cues that are never asked, and what one more cue would have to tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.model import Model
from whichresin.session.answers import read_answers

from .apart import Pair, densities, pairs, why_alike
from .asked import Asked, asked
from .confusion import Confusion, confusion
from .exercised import Untried, count_parts, untried
from .trace import steps

LEAVES = ("burn", "solvent")
ALIKE = 0.5  # from here on a pair is reported: a careful person who answers everything may be wrong once in four


@dataclass(frozen=True, slots=True)
class Coverage:
    """Everything found; `unfired` is None when no transcripts were given."""

    parts: int  # conditions and words in lists that were left out one by one
    untried: tuple[Untried, ...]
    alike: tuple[Pair, ...]  # hardest first
    why: Mapping[tuple[str, str], str]  # of each pair in `alike`, in a sentence
    wanted: tuple[Pair, ...]  # of other repair cells than each other: where one more cue would save most wrong calls
    never_proposed: tuple[str, ...]  # cues that are asked only when a rule unlocks them, or never
    unfired: tuple[str, ...] | None
    confusion: Confusion | None  # None when no draws were wanted
    asked: tuple[Asked, ...]  # empty when no interviews were wanted
    interviews: int

    def as_json(self) -> dict[str, Any]:
        """One object; a pair with its three best cues."""
        return {
            "parts": self.parts,
            "untried": [{"rule": u.rule, "file": u.file, "line": u.line, "part": u.part} for u in self.untried],
            "alike": [{**_pair_json(pair), "why": self.why[pair.one, pair.other]} for pair in self.alike],
            "wanted": [_pair_json(pair) for pair in self.wanted],
            "never_proposed": list(self.never_proposed),
            "unfired": None if self.unfired is None else list(self.unfired),
            "confusion": None if self.confusion is None else self.confusion.as_json(),
            "interviews": self.interviews,
            "asked": [{"cue": a.cue, "interviews": a.interviews, "why": a.why} for a in self.asked],
        }


def best_cues(pair: Pair, count: int = 3) -> list[tuple[str, float]]:
    """The cues that do most to tell a pair apart; one that does nothing is not among them."""
    return [(cue, value) for cue, value in list(pair.by_cue.items())[:count] if value < 0.995]


@dataclass(frozen=True, slots=True)
class Extent:
    """How much is drawn and simulated; 0 leaves it out. `without` names leaves that are not given."""

    draws: int = 0
    interviews: int = 0
    seed: int = 1
    without: tuple[str, ...] = ()


def coverage(
    compiled: Compiled, model: Model, transcripts: Sequence[Path] = (), extent: Extent | None = None
) -> Coverage:
    """Work it out. Raises BadAnswers for a transcript that cannot be read."""
    extent = extent or Extent()
    every, weights = pairs(model, extent.without), densities(model)
    alike = tuple(pair for pair in every if pair.together >= ALIKE)
    allow = tuple(leave for leave in LEAVES if leave not in extent.without)
    return Coverage(
        parts=count_parts(compiled),
        untried=tuple(untried(compiled)),
        alike=alike,
        why={(pair.one, pair.other): why_alike(pair, weights) for pair in alike},
        wanted=tuple(_wanted(model, every)[:5]),
        never_proposed=tuple(cue.id for cue in model.cues.values() if cue.locked or not cue.askable),
        unfired=_unfired(model, transcripts) if transcripts else None,
        confusion=confusion(model, extent.draws, extent.seed, extent.without) if extent.draws else None,
        asked=asked(model, extent.interviews, extent.seed, allow) if extent.interviews else (),
        interviews=extent.interviews,
    )


def _wanted(model: Model, every: Sequence[Pair]) -> list[Pair]:
    """Pairs that are repaired differently, by how many wrong calls they cost: alike and both common."""
    share = dict.fromkeys(model.materials, 0.0)
    for compound in model.compounds:
        if compound.material in share:
            share[compound.material] += compound.prior
    cell = {name: material.cell for name, material in model.materials.items()}
    apart = [pair for pair in every if cell[pair.one] != cell[pair.other]]
    return sorted(apart, key=lambda p: (-min(share[p.one], share[p.other]) * p.together, p.one, p.other))


def _unfired(model: Model, transcripts: Sequence[Path]) -> tuple[str, ...]:
    """Rules that fire at no step of any transcript."""
    fired: set[str] = set()
    for path in transcripts:
        for step in steps(model, read_answers(model, path).state):
            fired.update(one.rule for one in step.fired)
    return tuple(rule.id for rule in model.rules if rule.id not in fired)


def _pair_json(pair: Pair) -> dict[str, Any]:
    return {
        "one": pair.one,
        "other": pair.other,
        "alike": round(pair.together, 4),
        "wrong_at_most": round(pair.wrong_at_most, 4),
        "best_cues": {cue: round(value, 4) for cue, value in best_cues(pair)},
    }
