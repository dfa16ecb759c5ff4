"""One attempt at a hidden part: tests chosen one by one, then a claim. Beside it runs the tool, and is silent."""

from __future__ import annotations

from whichresin.belief.likelihood import Answer
from whichresin.knowledge.model import Cue, Model
from whichresin.session.events import Answered
from whichresin.session.interview import Interview
from whichresin.session.state import State

from .judge import Claim, Judged, Took
from .specimen import Specimen, can_be_shown

# The gate has a drill of its own; here it stands open, and every test may be chosen: hazards are judged afterwards.
_GATE_OPEN = {"duty": "none_of_these", "condition": "sound"}
HAZARDS = ("none", "low", "medium", "high")
_ALL_ALLOWED = ("burn", "solvent")


class Attempt:
    """An apprentice at one specimen."""

    def __init__(self, model: Model, specimen: Specimen, number: int = 1) -> None:
        self.model, self.specimen, self.number = model, specimen, number
        start = {cue: Answered(cue, value) for cue, value in _GATE_OPEN.items() if cue in model.cues}
        self._tool = Interview(model, State(answers=start, allowed=_ALL_ALLOWED))
        self._took: dict[str, Took] = {}
        self._seen: list[tuple[str, Answer]] = []

    @property
    def took(self) -> tuple[Took, ...]:
        """The tests done so far, in order."""
        return tuple(self._took.values())

    @property
    def seen(self) -> tuple[tuple[str, Answer], ...]:
        """(cue, answer) of the tests done so far, in order."""
        return tuple(self._seen)

    def choices(self) -> list[Cue]:
        """Tests that can still be done, the harmless and quick ones first."""
        left = [cue for cue in self.model.cues.values() if can_be_shown(cue) and cue.id not in self._took]
        return sorted(left, key=lambda cue: (HAZARDS.index(cue.hazard), cue.minutes, cue.id))

    def take(self, cue: Cue) -> Took:
        """Do one test; its result is that of the specimen."""
        return self.tell(cue, self.specimen.show(cue))

    def tell(self, cue: Cue, value: Answer, uncertainty: float | None = None) -> Took:
        """Do one test with a result in hand, seen on a real plaque."""
        if cue.id in self._took:
            raise ValueError(f"{cue.id} has been done already")
        before = self._tool.result
        safer = self._tool.safer(cue.id)
        took = Took(
            cue.id,
            cue.question,
            self._tool.value_text(cue.id, value),
            cue.minutes,
            cue.hazard,
            next((q.worth for q in before.questions if q.cue == cue.id), 0.0),
            before.next.question if before.next else "",
            safer.question if safer else "",
        )
        self._tool.tell(Answered(cue.id, value, uncertainty=uncertainty))
        self._took[cue.id] = took
        self._seen.append((cue.id, value))
        return took

    def claim(self, claim: Claim) -> Judged:
        """Judge what the apprentice says."""
        result = self._tool.result
        leader = result.polymers[0]
        says = f"{result.class_name}, {leader.word} {leader.symbol} ({leader.probability * 100:.0f} %)"
        asks = result.next.question if result.next else ""
        truth = self.specimen.truth
        return Judged(self.number, self.specimen.label, truth, claim, self.took, says, asks)
