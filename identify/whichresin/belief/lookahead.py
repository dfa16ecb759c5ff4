"""Looking more than one question ahead, on a belief condensed to what matters for the few best questions.

Two steps: ask, see the answer, then act or ask the best follower. When no question pays two steps deep and
the decision is open, a whole chain of questions is valued, stopping after any answer that settles it: with many
cells still possible, two answers may not yet beat deferring though four do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

from whichresin.belief.condensed import Chances, condense
from whichresin.belief.decision import best_actions, loss_over
from whichresin.belief.liquids import BestLiquid
from whichresin.belief.scene import Scene
from whichresin.belief.views import Columns, View

DEEP, DEEP_BY_WORTH = 3, 2  # questions valued two steps deep: by information per minute, and by worth
FOLLOWERS, FOLLOWERS_BY_WORTH = 3, 2  # what is tried as the second question
CHAIN = 6  # the longest chain of questions
CONDENSED_SHARE = 0.85  # the heaviest compounds with this share of the mass are looked ahead with
CONDENSED_PART = 0.005  # and every part of the target with this share; more where there are many parts
CONDENSED_PART_OF_MANY, MANY_PARTS = 0.015, 15
SMALL_BRANCH = 0.05  # an answer less likely than this is not followed further
SMALL_LINK = 0.05  # the same along a chain
HIGH_HAZARD = "high"
_CHEAPEST_MINUTES = 0.05  # no question is free: keeps information per minute finite


@dataclass(slots=True)
class Step:
    """A candidate question at work: minutes, and bits of `gain` about the target."""

    view: View
    columns: Columns
    masses: list[float]  # per value: its chance
    cost: float
    gain: float
    after: float
    worth: float
    depth: int = 1
    liquid: BestLiquid | None = None  # the float liquid to make, for a test in one

    @property
    def high_hazard(self) -> bool:
        """Whether this comes after all safer questions."""
        return self.view.cue.hazard == HIGH_HAZARD

    @property
    def bits_per_minute(self) -> float:
        """Information on the target for what asking costs."""
        return self.gain / max(self.cost, _CHEAPEST_MINUTES)


def look_ahead(steps: Sequence[Step], scene: Scene) -> None:
    """Value the most promising questions deeper, raising their `worth` in place."""
    telling = [s for s in steps if s.gain > 1e-9]
    by_gain = sorted(telling, key=lambda s: (-s.bits_per_minute, s.view.cue.id))
    by_worth = sorted(telling, key=lambda s: (-round(s.worth, 9), s.view.cue.id))
    first = _distinct(by_gain[:DEEP], by_worth[:DEEP_BY_WORTH])
    follow = _distinct(by_gain[:FOLLOWERS], by_worth[:FOLLOWERS_BY_WORTH])
    chain = [s for s in by_gain if not s.high_hazard][:CHAIN]
    used = _distinct(first, follow, chain)
    if not used:
        return
    ahead = TwoSteps(used, scene)
    for step in first:
        second = [s for s in follow if s is not step and (step.high_hazard or not s.high_hazard)]
        step.worth = max(step.worth, ahead.worth(step, second))
        step.depth = 2
    if chain and max(s.worth for s in used) <= 0.0:
        worth = ahead.chain(chain)
        if worth > chain[0].worth + 1e-9:
            chain[0].worth, chain[0].depth = worth, len(chain)


def _distinct(*lists: Sequence[Step]) -> list[Step]:
    return list({id(step): step for steps in lists for step in steps}.values())


@dataclass(slots=True)
class _Asked:
    """A question on the condensed scene."""

    number: int  # of its first answer, among the answers to all questions
    cost: float
    chances: Chances
    left: list[list[float]]  # per answer: the masses of the compounds with that answer
    columns: Columns  # the same by part
    spoken: list[float] | None  # a set cue, per compound: the chance that a word is reported at all
    acting: list[float]  # per answer: the loss of acting on it
    after: float = 0.0  # the expected loss of acting once this is answered


class TwoSteps:
    """The condensed scene and what is valued on it."""

    def __init__(self, steps: Sequence[Step], scene: Scene) -> None:
        least = CONDENSED_PART_OF_MANY if len(scene.parts) > MANY_PARTS else CONDENSED_PART
        self.scene, found = condense(scene, [step.view for step in steps], CONDENSED_SHARE, least)
        self.totals = self.scene.by_part(self.scene.masses)
        left = [[list(map(mul, self.scene.masses, row)) for row in chances] for chances in found]
        columns = [list(map(self.scene.by_part, weights)) for weights in left]
        seen = [self.totals, *(column for answers in columns for column in answers if sum(column) >= SMALL_BRANCH)]
        actions = best_actions(scene.target, self.scene.parts, seen)
        self.loss = loss_over(scene.target, self.scene.parts, actions)
        self.now = self.loss(self.totals)
        self.asked: dict[int, _Asked] = {}
        number = 0
        for k, step in enumerate(steps):
            spoken = None if step.view.scales is None else [sum(told) for told in zip(*found[k], strict=True)]
            acting = list(map(self.loss, columns[k]))
            asked = _Asked(number, step.cost, found[k], left[k], columns[k], spoken, acting)
            asked.after = sum(acting) + _silence(asked, self.scene.masses, 1.0) * self.now
            self.asked[id(step)] = asked
            number += len(found[k])
        self._both: dict[tuple[int, int], float] = {}

    def worth(self, step: Step, second: Sequence[Step]) -> float:
        """Worth of asking this, then acting or asking the best of `second`."""
        asked = self.asked[id(step)]
        # Likely best first: the others are then soon seen to be worse.
        followers = sorted([self.asked[id(s)] for s in second], key=lambda follower: follower.after + follower.cost)
        after = sum([self._branch(asked, value, followers) for value in range(len(asked.chances))])
        silence = _silence(asked, self.scene.masses, 1.0)
        after += silence * min([self.now, *(follower.after + follower.cost for follower in followers)])
        return self.now - after - step.cost

    def _branch(self, asked: _Asked, value: int, followers: Sequence[_Asked]) -> float:
        """The loss after this answer: of acting, or of asking the best follower. Losses are never below 0, so a
        follower is given up as soon as what is added up so far is too much."""
        acting, chance = asked.acting[value], sum(asked.columns[value])
        if chance < SMALL_BRANCH:
            return acting
        best = acting
        for follower in followers:
            after = follower.cost * chance
            if after < best and follower.spoken is not None:
                after += _silence(follower, asked.left[value], chance) * acting
            for place in range(len(follower.chances)):
                if after >= best:
                    break
                after += self._after_both(asked, value, follower, place)
            best = min(best, after)
        return best

    def _after_both(self, one: _Asked, value: int, other: _Asked, place: int) -> float:
        """The loss of acting after these answers to two questions: the same whichever comes first."""
        first, second = one.number + value, other.number + place
        key = (first, second) if first < second else (second, first)
        found = self._both.get(key)
        if found is None:
            weights = list(map(mul, one.left[value], other.chances[place]))
            found = self._both[key] = self.loss(self.scene.by_part(weights))
        return found

    def chain(self, steps: Sequence[Step]) -> float:
        """Worth of asking these in turn, acting as soon as that is cheaper than asking on."""
        chain = [self.asked[id(step)] for step in steps]
        return self.now - self._link(chain, 0, self.scene.masses)

    def _link(self, chain: Sequence[_Asked], place: int, weights: list[float]) -> float:
        totals = self.scene.by_part(weights)
        chance, acting = sum(totals), self.loss(totals)
        if place == len(chain) or chance < SMALL_LINK:
            return acting
        asked = chain[place]
        enough = acting if place else float("inf")  # the first question is asked in any case
        after = asked.cost * chance
        for row in asked.chances:
            if after >= enough:
                return acting
            after += self._link(chain, place + 1, list(map(mul, weights, row)))
        silence = _silence(asked, weights, chance)
        if silence > 0.0:
            after += silence * self._link(chain, place + 1, weights)
        return min(enough, after)


def _silence(asked: _Asked, weights: Sequence[float], chance: float) -> float:
    """The share of a look that reports nothing, so leaves the belief as it is; `weights` sum to `chance`."""
    return 0.0 if asked.spoken is None else max(0.0, 1.0 - sum(map(mul, weights, asked.spoken)) / chance)
