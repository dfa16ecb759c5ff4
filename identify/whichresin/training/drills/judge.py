"""What an attempt was worth: right or wrong, how honest the stated sureness was, tests wasted, hazards taken.

Points for a claim follow the quadratic score (Brier 1950, Monthly Weather Review 78, 1-3) of "I am right", moved so
that 50 % is 0: 100 (1 - 4 (hit - p)^2). Sure and right is 100, "I do not know" is 0, sure and wrong is -300. It is a
proper score: nobody gains by saying more or less than they believe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from whichresin.knowledge.model import Compound, Model
from whichresin.session.believed import NONE_ID

DEFER = "defer"
GUARDED = ("medium", "high")


@dataclass(frozen=True, slots=True)
class Took:
    """One test that was done: what it was worth by the tool's reckoning before its result was known."""

    cue: str
    question: str
    result: str
    minutes: float
    hazard: str
    worth: float  # minutes saved, net; 0 or less: not worth its time
    better: str  # the question that the tool would have asked, "" when it would have stopped
    safer: str  # a test of less hazard that would have done as well, "" if none

    @property
    def wasted(self) -> bool:
        """Whether the test cost more than it could be expected to bring."""
        return self.worth <= 0.0


@dataclass(frozen=True, slots=True)
class Claim:
    """What the apprentice says at the end; sureness as chances 0 to 1."""

    klass: str
    klass_sure: float
    material: str  # an id, or the id of none of these
    material_sure: float
    route: str  # a repair cell, or 'defer'


@dataclass(frozen=True, slots=True)
class Judged:
    """An attempt on one part, judged."""

    number: int
    label: str
    truth: Compound
    claim: Claim
    took: tuple[Took, ...]
    tool_says: str  # what the tool would say from the same answers
    tool_next: str  # what it would still have asked, or ""

    @property
    def class_right(self) -> bool:
        """Whether the class was named rightly."""
        return self.claim.klass == self.truth.klass

    @property
    def material_right(self) -> bool:
        """Whether the polymer was named rightly."""
        return self.claim.material == self.truth.material

    @property
    def route_right(self) -> bool:
        """Whether the part would be treated as what it is; to ask somebody is never wrong, nor right."""
        return self.claim.route == self.truth.cell

    @property
    def class_points(self) -> float:
        """Points for the class, -300 to 100."""
        return points(self.claim.klass_sure, self.class_right)

    @property
    def material_points(self) -> float:
        """Points for the polymer, -300 to 100."""
        return points(self.claim.material_sure, self.material_right)

    @property
    def minutes(self) -> float:
        """Bench time of all tests."""
        return sum(one.minutes for one in self.took)

    @property
    def wasted(self) -> tuple[Took, ...]:
        """Tests that were not worth their time."""
        return tuple(one for one in self.took if one.wasted)

    @property
    def needless_hazards(self) -> tuple[Took, ...]:
        """Tests with a hazard that a safer test would have spared, or that could bring nothing."""
        return tuple(t for t in self.took if t.hazard in GUARDED and (t.safer or t.wasted))

    def as_json(self) -> dict[str, Any]:
        """The attempt as an object for the apprentice's result file."""
        return {
            "number": self.number,
            "label": self.label,
            "truth": {
                "class": self.truth.klass,
                "material": self.truth.material,
                "compound": self.truth.id,
                "route": self.truth.cell,
            },
            "said": {
                "class": self.claim.klass,
                "class_sure": round(self.claim.klass_sure, 4),
                "material": self.claim.material,
                "material_sure": round(self.claim.material_sure, 4),
                "route": self.claim.route,
            },
            "points": {"class": round(self.class_points, 2), "material": round(self.material_points, 2)},
            "minutes": round(self.minutes, 2),
            "tests": [
                {
                    "cue": t.cue,
                    "result": t.result,
                    "worth": round(t.worth, 3),
                    "tool_would_ask": t.better or None,
                    "safer": t.safer or None,
                }
                for t in self.took
            ],
            "wasted": [t.cue for t in self.wasted],
            "needless_hazards": [t.cue for t in self.needless_hazards],
            "tool_says": self.tool_says,
        }


def points(sure: float, right: bool) -> float:
    """Points of one claim made with this chance (0 to 1) of being right: -300 to 100."""
    miss = (1.0 if right else 0.0) - sure
    return 100.0 * (1.0 - 4.0 * miss * miss)


def lines_of(model: Model, judged: Judged) -> list[str]:
    """The judgement in plain sentences, for the apprentice."""
    truth, claim = judged.truth, judged.claim
    said = [f"It was {truth.symbol}, {truth.name}: a {truth.klass}."]
    said.append(_claim_line("class", claim.klass, judged.class_right, claim.klass_sure, judged.class_points))
    name = _symbol(model, claim.material)
    said.append(_claim_line("polymer", name, judged.material_right, claim.material_sure, judged.material_points))
    cell = model.cells[truth.cell]
    if judged.route_right:
        said.append(f"Repair route: right, {cell.name}.")
    elif claim.route == DEFER:
        said.append(f"Repair route: you would ask first. It was {cell.name}: {cell.means}")
    else:
        said.append(f"Repair route: {model.cells[claim.route].name} was wrong. It was {cell.name}: {cell.means}")
    said += _test_lines(judged.took)
    said.append(f"From the same results the tool says: {judged.tool_says}.")
    if judged.tool_next:
        said.append(f"It would still have asked: {judged.tool_next}")
    return said


def _claim_line(what: str, said: str, right: bool, sure: float, scored: float) -> str:
    verdict = "right" if right else "wrong"
    return f"The {what}: {said}, {verdict}, {sure * 100:.0f} % sure: {scored:+.0f} points."


def _test_lines(took: Sequence[Took]) -> list[str]:
    said = [f"Tests: {len(took)}, {sum(t.minutes for t in took):.0f} minutes at the bench."]
    for t in took:
        if t.safer and t.hazard in GUARDED:
            said.append(f"  {t.question} A safer test would have done as well: {t.safer}")
        elif t.wasted:
            instead = f"the tool would have asked: {t.better}" if t.better else "enough was known to stop."
            said.append(f"  {t.question} It could bring no more than it cost; {instead}")
        elif t.better and t.better != t.question:
            said.append(f"  {t.question} The tool would have asked: {t.better}")
    return said


def _symbol(model: Model, material: str) -> str:
    return model.materials[material].symbol if material != NONE_ID else "none of these"
