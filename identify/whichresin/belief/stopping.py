"""Whether to go on asking, and if not, why; decided on the raw posterior.

`settled`: the expected loss of acting now is below the losses' threshold. `not_worth`: no question left saves
more than it costs. `none_left`: nothing may be asked any more.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from whichresin.belief.decision import DEFER, Target, Verdict, part_masses, verdict
from whichresin.belief.posterior import BeliefState, Workspace
from whichresin.belief.questions import Candidate, Liquids, rank, remembered_target
from whichresin.knowledge.model import Model

SETTLED, NOT_WORTH, NONE_LEFT = "settled", "not_worth", "none_left"
FLAT_BELOW = 0.5  # no part of the target holds more than the others together


@dataclass(frozen=True, slots=True)
class Choice:
    """What to ask next, or why to stop; `ranked` lists every candidate either way."""

    proposal: Candidate | None
    stop: str  # "" | settled | not_worth | none_left
    status: str  # open | concluded | contradiction | unknown
    verdict: Verdict
    leader: str  # the likeliest cell or material
    leader_probability: float
    ranked: tuple[Candidate, ...]


def choose(
    model: Model,
    state: BeliefState,
    candidates: Sequence[str],
    target: str = "decision",
    shop: Collection[str] = (),
    contradiction: bool = False,
    workspace: Workspace | None = None,
    liquids: Liquids | None = None,
) -> Choice:
    """The next question and the state of the interview.

    A cue of high hazard is proposed only when no safer cue is worth its cost. A contradiction found by the
    caller shows in the status and never stops the questions.
    """
    goal = remembered_target(model, target, shop, workspace)
    now = verdict(goal, state.belief.compounds)
    leader, probability = _leader(goal.parts, part_masses(goal, state.belief.compounds))
    settled = now.action != DEFER and now.loss < model.losses.settled_below
    # Once settled nothing is proposed, so a look further ahead would change nothing.
    ranked = tuple(rank(model, state, candidates, target, shop, workspace, deep=not settled, liquids=liquids))
    stop = SETTLED if settled else _stop(ranked)
    proposal = None if stop else ranked[0]
    status = _status(stop, now, leader == goal.parts[goal.part_of[-1]], probability)
    return Choice(proposal, stop, "contradiction" if contradiction else status, now, leader, probability, ranked)


def _stop(ranked: Sequence[Candidate]) -> str:
    if not ranked:
        return NONE_LEFT
    return NOT_WORTH if ranked[0].worth <= 0.0 else ""


def _status(stop: str, now: Verdict, outside: bool, probability: float) -> str:
    """`unknown` when the questions are over and none of these leads, or the belief is flat."""
    if not stop:
        return "open"
    if outside:
        return "unknown"
    if stop != SETTLED and (now.action == DEFER or probability < FLAT_BELOW):
        return "unknown"
    return "concluded"


def status_of(goal: Target, state: BeliefState, stop: str, now: Verdict) -> str:
    """The status of an interview in which something else chose the questions."""
    leader, probability = _leader(goal.parts, part_masses(goal, state.belief.compounds))
    return _status(stop, now, leader == goal.parts[goal.part_of[-1]], probability)


def _leader(parts: Sequence[str], masses: Sequence[float]) -> tuple[str, float]:
    sums: dict[str, float] = {}
    for name, mass in zip(parts, masses, strict=True):
        sums[name] = sums.get(name, 0.0) + mass
    return max(sums.items(), key=lambda pair: (pair[1], pair[0]))
