"""The exact optimum of a whole interview by dynamic programming, and the exact cost of any other policy.

Only for small models with choice cues: every set of answers is a state. The posterior of a state is the full
one (skills and luck included), so the optimum is the best that any chooser could do under the model.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from whichresin.belief.decision import action_losses, part_masses, target_of
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import BeliefState, Workspace, weigh
from whichresin.belief.questions import cost_of
from whichresin.knowledge.model import Model

State = tuple[tuple[str, str], ...]
Policy = Callable[[BeliefState], str]  # the next cue, or "" to stop


class Game:
    """One model as a game of questions; evidence of each state is remembered."""

    def __init__(self, model: Model, shop: tuple[str, ...] = ()) -> None:
        self.model, self.target = model, target_of(model, "decision", shop)
        self.cues = [cue for cue in model.cues.values() if cue.kind == "choice" and cue.table is not None]
        self.work = Workspace()
        self._states: dict[State, BeliefState] = {}
        self._optimum: dict[State, float] = {}

    def belief(self, state: State) -> BeliefState:
        if state not in self._states:
            told = [Observation(cue, value) for cue, value in state]
            self._states[state] = weigh(self.model, told, workspace=self.work)
        return self._states[state]

    def acting(self, state: State) -> float:
        """Expected loss of the best action now, minutes."""
        return min(action_losses(self.target, part_masses(self.target, self.belief(state).belief.compounds)))

    def answers(self, state: State, cue: str) -> Mapping[State, float]:
        """The states that asking may lead to, with their chances: ratios of the evidence."""
        from math import exp

        here = self.belief(state).belief.log_evidence
        found = {}
        for value in self.model.cues[cue].values:
            after = tuple(sorted((*state, (cue, value.id))))
            found[after] = exp(self.belief(after).belief.log_evidence - here)
        return found

    def optimum(self, state: State = ()) -> float:
        """The least expected cost (questions and loss) from here on."""
        if state in self._optimum:
            return self._optimum[state]
        best, told = self.acting(state), {cue for cue, _ in state}
        for cue in self.cues:
            if cue.id in told:
                continue
            cost = cost_of(self.model, cue)
            if cost < best:
                best = min(best, cost + sum(p * self.optimum(s) for s, p in self.answers(state, cue.id).items()))
        self._optimum[state] = best
        return best

    def cost(self, policy: Policy, state: State = ()) -> float:
        """The expected cost of following a policy from here on."""
        cue = policy(self.belief(state))
        if not cue:
            return self.acting(state)
        spent = cost_of(self.model, self.model.cues[cue])
        return spent + sum(p * self.cost(policy, s) for s, p in self.answers(state, cue).items())
