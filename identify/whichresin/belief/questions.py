"""What each question is worth now, in minutes: the loss it is expected to save, less what asking costs.

Every candidate is valued one step deep; the few that tell most per minute are valued two steps deep: ask, see
the answer, then either act or ask the best follower. One step alone stops too early, because two cheap
questions often settle together what neither settles alone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from whichresin.belief.decision import Loss, Target, loss_over, target_of
from whichresin.belief.liquids import LITTLE, BestLiquid, Floating, LiquidTest
from whichresin.belief.lookahead import HIGH_HAZARD, Step, look_ahead
from whichresin.belief.posterior import BeliefState, Workspace
from whichresin.belief.scene import Scene, added_by, entropy_of, scene_of
from whichresin.belief.views import Columns, View, Viewer, answers
from whichresin.knowledge.model import Cue, Model

# Nearly as good as the best: at least this share of its worth, and of what it tells about the target. Simulated
# on the shipped base these shares cost nothing measurable against always taking the best.
NEAR_WORTH, NEAR_GAIN = 0.5, 0.3
GUARDED = ("medium", "high")
RANKED_PHYSICS = ("float_water", "density")


class Outcome(NamedTuple):
    """One possible answer: how likely it is, and who would then lead (a cell or a material)."""

    value: str
    probability: float
    leader: str
    leader_probability: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """One question with its worth. Minutes, but for `gain`, which is in bits about the target."""

    cue: str
    worth: float
    gain: float
    cost: float
    loss_after: float
    hazard: str
    depth: int  # how many questions ahead the worth looks
    values: tuple[Outcome, ...]
    liquid: BestLiquid | None = None  # the float liquid to make, for a test in one


class Stake(NamedTuple):
    """What is at stake in a scene before anything more is asked."""

    scene: Scene
    loss: Loss
    now: float  # the loss of acting now
    entropy: float  # of the parts, in bits


Liquids = Callable[[], Sequence[LiquidTest]]


def cost_of(model: Model, cue: Cue) -> float:
    """What asking costs, in minutes: the work, the hazard and the mark it leaves."""
    losses = model.losses
    marks = losses.marks_part_minutes if cue.marks_part else 0.0
    return cue.minutes + losses.hazard_minutes[cue.hazard] + marks


def can_be_ranked(cue: Cue) -> bool:
    """Whether asking this cue now has expectations to be valued by. Named liquids are valued elsewhere."""
    return cue.askable and (cue.table is not None or cue.physics in RANKED_PHYSICS)


def rank(
    model: Model,
    state: BeliefState,
    candidates: Sequence[str],
    target: str = "decision",
    shop: Collection[str] = (),
    workspace: Workspace | None = None,
    deep: bool = True,
    liquids: Liquids | None = None,
) -> list[Candidate]:
    """All candidate cues with their worth, the one to propose first.

    Order: worth its cost and not of high hazard, then worth its cost, then the rest; within each by worth, but
    the proposal is the safest and cheapest of those nearly as good as the best.
    Cues that are answered, never proposed, or without expectations are left out. Which cues are allowed now
    (leave given, unlocked by a rule) is the caller's to say. The workspace only saves time; without `deep` all
    are valued one step deep only. `liquids` gives the float liquids that can be made, rising in density; it is
    called only where a made liquid may be worth more than all else, and the best of them is then ranked too.
    """
    return rank_for(model, state, candidates, remembered_target(model, target, shop, workspace), deep, liquids)


def rank_for(
    model: Model,
    state: BeliefState,
    candidates: Sequence[str],
    goal: Target,
    deep: bool = True,
    liquids: Liquids | None = None,
) -> list[Candidate]:
    """As `rank`, for any partition of the compounds and any losses over it."""
    stake = _stake(state, goal)
    scene, viewer = stake.scene, Viewer(state, stake.scene)
    cues = [model.cues[name] for name in dict.fromkeys(candidates) if name not in state.answered]
    views = [viewer.view(cue) for cue in cues if can_be_ranked(cue)]
    steps = [
        _one_step(view, columns, stake, cost_of(model, view.cue))
        for view, columns in zip(views, answers(views, scene), strict=True)
    ]
    if deep:
        look_ahead(steps, scene)
    made = _made_liquid(viewer, steps, stake, liquids) if deep and liquids is not None else None
    if made is not None:
        _value_deep(made, steps, scene)
        steps.append(made)
    steps.sort(key=lambda s: (_tier(s), -round(s.worth, 9), -s.gain, s.view.cue.id))
    return _candidates(_safest_first(steps), scene)


def _stake(state: BeliefState, goal: Target) -> Stake:
    scene = scene_of(state, goal)
    loss, totals = loss_over(goal, scene.parts), scene.by_part(scene.masses)
    return Stake(scene, loss, loss(totals), entropy_of(totals))


def _made_liquid(viewer: Viewer, steps: Sequence[Step], stake: Stake, liquids: Liquids) -> Step | None:
    """The float liquid most worth making, once the other questions save little; None when none beats them."""
    model = viewer.state.model
    cue = next((c for c in model.cues.values() if c.physics == "float_liquids" and c.askable), None)
    best = max((step.worth for step in steps), default=0.0)
    if cue is None or best > LITTLE * stake.now:
        return None
    floating = Floating(viewer, cue, stake.loss)
    if not floating.could_beat(max(best, 0.0), stake.now):
        return None
    return _best_step(floating, stake, liquids())


def _value_deep(made: Step, steps: Sequence[Step], scene: Scene) -> None:
    """Look ahead from a made liquid to the other questions. It is no follower of theirs: mixing comes late, and what
    they are worth must not hang on whether a liquid was looked for."""
    before = [(step, step.worth, step.depth) for step in steps]
    look_ahead([*steps, made], scene)
    for step, worth, depth in before:
        step.worth, step.depth = worth, depth


def _best_step(floating: Floating, stake: Stake, tests: Sequence[LiquidTest]) -> Step | None:
    found = floating.best(tests, stake.now)
    if found is None:
        return None
    view = floating.view(found.test)
    step = _one_step(view, answers([view], stake.scene)[0], stake, floating.cost(found.test))
    step.liquid = found
    return step


def liquid_worth(
    model: Model,
    state: BeliefState,
    tests: Sequence[LiquidTest],
    target: str = "decision",
    shop: Collection[str] = (),
    workspace: Workspace | None = None,
) -> Candidate | None:
    """The float liquid most worth making, worth its cost or not, one step deep; None when none saves anything.

    `tests` rise in density.
    """
    stake = _stake(state, remembered_target(model, target, shop, workspace))
    cue = next((c for c in model.cues.values() if c.physics == "float_liquids"), None)
    if cue is None:
        return None
    step = _best_step(Floating(Viewer(state, stake.scene), cue, stake.loss), stake, tests)
    return _candidates([step], stake.scene)[0] if step is not None else None


def remembered_target(model: Model, name: str, shop: Collection[str], workspace: Workspace | None) -> Target:
    """`target_of`, worked out once for a workspace."""
    if workspace is None:
        return target_of(model, name, shop)
    workspace.belong_to(model)
    key = (name, *sorted(shop))
    found = workspace.targets.get(key)
    if found is None:
        found = workspace.targets[key] = target_of(model, name, shop)
    return found


def _tier(step: Step) -> int:
    if step.worth <= 0.0:
        return 2
    return 1 if step.view.cue.hazard == HIGH_HAZARD else 0


def _safest_first(steps: Sequence[Step]) -> list[Step]:
    """The ranking with the proposal moved to the front.

    The worth of a question counts what may be asked after it, so the order of two questions that will both be
    asked hardly shows in it. Among those nearly as good as the best, the safer and then the one that tells
    more for its minutes goes first: an early answer may make the dearer test needless.
    """
    if not steps or steps[0].worth <= 0.0:
        return list(steps)
    best = steps[0]
    near = [s for s in steps if s.worth >= NEAR_WORTH * best.worth and s.gain >= NEAR_GAIN * best.gain]
    near = [s for s in near if _tier(s) == _tier(best)] or [best]
    first = min(near, key=lambda s: (_guarded(s), -s.bits_per_minute, -s.worth, s.view.cue.id))
    return [first, *(s for s in steps if s is not first)]


def _guarded(step: Step) -> bool:
    """Whether the test can hurt enough to wait for the others."""
    return step.view.cue.hazard in GUARDED


def _one_step(view: View, columns: Columns, stake: Stake, cost: float) -> Step:
    masses = list(map(sum, columns))
    silence = max(1.0 - sum(masses), 0.0) if view.scales is not None else 0.0
    spread = entropy_of(list(chain.from_iterable(columns))) - entropy_of(masses)
    gain = max(0.0, stake.entropy * (1.0 - silence) - spread)
    after = sum(map(stake.loss, columns)) + silence * stake.now
    return Step(view, columns, masses, cost, gain, after, stake.now - after - cost)


def _candidates(steps: Sequence[Step], scene: Scene) -> list[Candidate]:
    """The steps as they are handed out, in their order."""
    names, by_name = added_by([scene.target.parts[part] for part in scene.parts])
    found = []
    for step in steps:
        cue, outcomes = step.view.cue, []
        for value, column, chance in zip(step.view.values, step.columns, step.masses, strict=True):
            sums = by_name(column)
            top = max(sums)
            outcomes.append(Outcome(value, chance, names[sums.index(top)], top / chance if chance > 0.0 else 0.0))
        found.append(
            Candidate(
                cue.id,
                step.worth,
                step.gain,
                step.cost,
                step.after,
                cue.hazard,
                step.depth,
                tuple(outcomes),
                step.liquid,
            )
        )
    return found
