"""Looking more than one question ahead, on a belief condensed to what matters for the few best questions.

Two steps: ask, see the answer, then act or ask the best follower. When no question pays two steps deep and
the decision is open, a whole chain of questions is valued, stopping after any answer that settles it: with many
cells still possible, two answers may not yet beat deferring though four do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whichresin.belief.condensed import condense, loss_after, spread_along
from whichresin.belief.decision import Loss, best_actions, loss_over
from whichresin.belief.liquids import BestLiquid
from whichresin.belief.scene import Scene, part_totals
from whichresin.belief.views import Columns, View, answered, answers

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
    silence: float  # chance that a set cue's look reports nothing
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
    by_worth = sorted(telling, key=lambda s: (-s.worth, s.view.cue.id))
    first = _distinct(by_gain[:DEEP], by_worth[:DEEP_BY_WORTH])
    follow = _distinct(by_gain[:FOLLOWERS], by_worth[:FOLLOWERS_BY_WORTH])
    chain = [s for s in by_gain if not s.high_hazard][:CHAIN]
    used = _distinct(first, follow, chain)
    if not used:
        return
    ahead = _Ahead(used, scene)
    for step in first:
        second = [s for s in follow if s is not step and (step.high_hazard or not s.high_hazard)]
        step.worth = max(step.worth, ahead.two_steps(step, second))
        step.depth = 2
    if chain and max(s.worth for s in used) <= 0.0:
        worth = ahead.chain(chain)
        if worth > chain[0].worth:
            chain[0].worth, chain[0].depth = worth, len(chain)


def _distinct(*lists: Sequence[Step]) -> list[Step]:
    return list({id(step): step for steps in lists for step in steps}.values())


class _Ahead:
    """The condensed scene and what is valued on it."""

    def __init__(self, steps: Sequence[Step], scene: Scene) -> None:
        least = CONDENSED_PART_OF_MANY if len(scene.parts) > MANY_PARTS else CONDENSED_PART
        self.scene, views = condense(scene, [step.view for step in steps], CONDENSED_SHARE, least)
        self.view = {id(step): view for step, view in zip(steps, views, strict=True)}
        self.totals = part_totals(self.scene, self.scene.masses)
        self.columns = {key: answers(view, self.scene.masses, self.totals) for key, view in self.view.items()}
        columns = [column for found in self.columns.values() for column in found]
        seen = [self.totals, *(column for column in columns if sum(column) >= SMALL_BRANCH)]
        actions = best_actions(scene.target, self.scene.parts, seen)
        self.weighing = loss_over(scene.target, self.scene.parts, actions)
        self.loss: Loss = self.weighing.loss
        self.along = {key: spread_along(view, self.weighing) for key, view in self.view.items()}
        self.now = self.loss(self.totals)
        self.after = {
            key: sum(map(self.loss, columns)) + self._silence(columns, self.view[key], 1.0) * self.now
            for key, columns in self.columns.items()
        }

    def _silence(self, columns: Columns, view: View, chance: float) -> float:
        """The share of a look that reports nothing, so leaves the belief as it is."""
        return 0.0 if view.scales is None else max(0.0, 1.0 - sum(map(sum, columns)) / chance)

    def two_steps(self, step: Step, second: Sequence[Step]) -> float:
        """Worth of asking this, then acting or asking the best of `second`."""
        columns = self.columns[id(step)]
        after = sum(self._branch(step, value, second) for value in range(len(columns)))
        silence = self._silence(columns, self.view[id(step)], 1.0)
        after += silence * min([self.now, *(self.after[id(s)] + s.cost for s in second)])
        return self.now - after - step.cost

    def _branch(self, step: Step, value: int, second: Sequence[Step]) -> float:
        column = self.columns[id(step)][value]
        chance, acting = sum(column), self.loss(column)
        best, weights = acting, None
        if chance < SMALL_BRANCH:
            return best
        for follower in second:
            after = follower.cost * chance
            if after >= best:
                continue
            if weights is None:
                weights = answered(self.view[id(step)], len(self.scene.parts), self.scene.masses, value)
            view = self.view[id(follower)]
            best = min(best, after + loss_after(view, weights, column, self.weighing, self.along[id(follower)], acting))
        return best

    def chain(self, steps: Sequence[Step]) -> float:
        """Worth of asking these in turn, acting as soon as that is cheaper than asking on."""
        first = self._link(steps, 0, self.scene.masses, self.totals)
        return self.now - first

    def _link(self, steps: Sequence[Step], place: int, weights: Sequence[float], totals: Sequence[float]) -> float:
        chance, acting = sum(totals), self.loss(totals)
        if place == len(steps) or chance < SMALL_LINK:
            return acting
        step = steps[place]
        after = step.cost * chance
        if after >= acting and place:
            return acting
        view = self.view[id(step)]
        columns = answers(view, weights, totals)
        for value, column in enumerate(columns):
            inner = answered(view, len(self.scene.parts), weights, value)
            after += self._link(steps, place + 1, inner, column)
        silence = self._silence(columns, view, chance)
        if silence > 0.0:
            after += silence * self._link(steps, place + 1, weights, totals)
        return after if place == 0 else min(acting, after)
