"""Whether to go on asking, and if not, why; decided on the raw posterior.

`settled`: the expected loss of acting now is below the losses' threshold. `not_worth`: no question left saves
more than it costs. `none_left`: nothing may be asked any more. `strange`: a conclusion was near, but a plastic that
is not in the base would explain the answers better (see `kin`), so it is withheld.

Before a conclusion the sceptic is heard. A harmless test more is asked as long as one is worth its cost for telling a
plastic of the base from one that is not; where the answers stay stranger than the limit, the end is `unknown`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from whichresin.belief.decision import DEFER, Target, Verdict, part_masses, verdict
from whichresin.belief.hypotheses import by_material
from whichresin.belief.kin import Doubt
from whichresin.belief.posterior import BeliefState, Workspace
from whichresin.belief.questions import GUARDED, Candidate, Liquids, rank, rank_for, remembered_target
from whichresin.knowledge.model import Model

SETTLED, NOT_WORTH, NONE_LEFT, STRANGE = "settled", "not_worth", "none_left", "strange"
FLAT_BELOW = 0.5  # no part of the target holds more than the others together


@dataclass(frozen=True, slots=True)
class Choice:
    """What to ask next, or why to stop; `ranked` lists every candidate either way."""

    proposal: Candidate | None
    stop: str  # "" | settled | not_worth | none_left | strange
    status: str  # open | concluded | contradiction | unknown
    verdict: Verdict
    leader: str  # the likeliest cell or material
    leader_probability: float
    ranked: tuple[Candidate, ...]
    strangeness: float | None = None  # of the answers, when a conclusion was near (see `kin`)


def choose(
    model: Model,
    state: BeliefState,
    candidates: Sequence[str],
    target: str = "decision",
    shop: Collection[str] = (),
    contradiction: bool = False,
    workspace: Workspace | None = None,
    liquids: Liquids | None = None,
    sceptic: Callable[[], Doubt] | None = None,
) -> Choice:
    """The next question and the state of the interview.

    A cue of high hazard is proposed only when no safer cue is worth its cost. A contradiction found by the
    caller shows in the status and never stops the questions. `sceptic` gives the sceptic's view of the same
    answers; it is called only when a conclusion is near, and without it every conclusion stands.
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
    found = Choice(proposal, stop, "contradiction" if contradiction else status, now, leader, probability, ranked)
    if found.status != "concluded" or sceptic is None:
        return found
    polymer = next(iter(by_material(model, state.belief)))
    return _doubted(found, sceptic(), strange_limit(model, polymer), model.observer.strange_stake_minutes)


def strange_limit(model: Model, polymer: str) -> float:
    """The strangeness from which a conclusion is withheld while this polymer leads."""
    return model.observer.strange_withholds_for.get(polymer, model.observer.strange_withholds)


def _doubted(found: Choice, doubt: Doubt, limit: float, stake: float) -> Choice:
    """The conclusion as the sceptic leaves it: standing, put to one more test, or withheld."""
    found = replace(found, strangeness=doubt.strangeness)
    own = {candidate.cue: candidate for candidate in found.ranked if candidate.hazard not in GUARDED}
    best = rank_for(doubt.state.model, doubt.state, list(own), doubt.question(limit, stake), deep=False)
    if best and best[0].worth > 0.0:
        first = replace(own[best[0].cue], worth=best[0].worth, depth=best[0].depth)
        ranked = (first, *(c for c in found.ranked if c.cue != first.cue))
        return replace(found, proposal=first, stop="", status="open", ranked=ranked)
    if doubt.strangeness > limit:
        return replace(found, stop=STRANGE, status="unknown")
    return found


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
