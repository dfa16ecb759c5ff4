"""A hidden part: what each test on it shows. The same seed gives the same part and the same results to everyone."""

from __future__ import annotations

import random
from collections.abc import Mapping

from whichresin.belief.likelihood import Answer, group_key
from whichresin.belief.sampling import Bench, draw_answer, draw_bench, draw_index
from whichresin.knowledge.model import Compound, Cue, Model
from whichresin.session.believed import NONE_ID
from whichresin.training.apart import pairs

LEVELS = {
    "gate": "cards: may this part be repaired here at all?",
    "one-test": "one test and its result: which of four plastics does it speak for?",
    "whole": "a hidden part, any of those that come to a repairer",
    "alike": "a hidden part from a pair that is easily mixed up",
}
_PAIRS = 40  # the hardest pairs that level 'alike' draws from
_BURN = ("burn", "solvent")


class Specimen:
    """One part on the bench. Results do not depend on the order in which the tests are done."""

    def __init__(
        self, model: Model, compound: int, seed: str, known: Mapping[str, Answer] | None = None, label: str = ""
    ) -> None:
        """`known` holds results that somebody has taken from a real plaque; they are shown instead of drawn ones."""
        self.model, self.seed, self.label = model, seed, label
        self._known = dict(known or {})
        self._bench: Bench = draw_bench(model, random.Random(f"{seed}:part").random, compound=compound)

    @property
    def truth(self) -> Compound:
        """What the part is made of."""
        return self.model.compounds[self._bench.compound]

    def show(self, cue: Cue) -> Answer:
        """The result of one test, with the errors of the observer drawn for this part."""
        if cue.id in self._known:
            return self._known[cue.id]
        luck = random.Random(f"{self.seed}:{group_key(cue)}")
        # The luck of a test is drawn by its group, not by who asks first.
        self._bench.muddled[group_key(cue)] = luck.random() < self._bench.skill.muddled
        return draw_answer(self._bench, cue, random.Random(f"{self.seed}:{cue.id}").random)


def can_be_shown(cue: Cue) -> bool:
    """Whether a result can be drawn: tests at the bench and looks, not the gate and not free words."""
    foreseen = cue.table is not None or bool(cue.physics)
    return foreseen and cue.topic != "gate" and cue.kind in ("choice", "set", "number")


def draw_compound(model: Model, level: str, seed: str) -> int:
    """The compound of a hidden part of this level."""
    rng = random.Random(f"{seed}:what")
    inside = [c.prior if c.id != NONE_ID else 0.0 for c in model.compounds]
    if level != "alike":
        return draw_index(inside, rng.random)
    hard = pairs(model, without=_BURN)[:_PAIRS]
    pair = hard[int(rng.random() * len(hard))]
    name = pair.one if rng.random() < 0.5 else pair.other
    own = [p if c.material == name else 0.0 for c, p in zip(model.compounds, inside, strict=True)]
    return draw_index(own, rng.random)
