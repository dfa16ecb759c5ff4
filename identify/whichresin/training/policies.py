"""Other ways to choose questions, to be compared with the tool's own. All weigh the answers as the tool does."""

from __future__ import annotations

from collections.abc import Callable, Collection

from whichresin.belief.decision import verdict
from whichresin.belief.questions import rank, remembered_target
from whichresin.belief.stopping import status_of

from .chart import Chart
from .play import Move, Policy, Turn

Chooser = Callable[[Turn], str]  # the next cue, or "" when none is left
TUNED_STOP = 50.0  # minutes of expected loss; see tests/benchmarks/question_policy.py


def stopping(choose: Chooser, target: str, shop: Collection[str], stop_below: float) -> Policy:
    """Ask as `choose` says until acting now is expected to cost less than `stop_below` minutes."""

    def policy(at: Turn) -> Move:
        goal = remembered_target(at.model, target, shop, at.work)
        now = verdict(goal, at.belief.belief.compounds)
        if now.loss < stop_below:
            return Move("", "settled", status_of(goal, at.belief, "settled", now))
        asked = choose(at)
        stop = "" if asked else "none_left"
        return Move(asked, stop, status_of(goal, at.belief, stop, now))

    return policy


def gain_policy(target: str, shop: Collection[str], stop_below: float | None) -> Policy:
    """The question that tells most about the polymer's name, whatever it costs."""

    def choose(at: Turn) -> str:
        ranked = rank(at.model, at.belief, at.cues, "polymer", shop, at.work, deep=False)
        return max(ranked, key=lambda c: (c.gain, c.cue)).cue if ranked else ""

    return stopping(choose, target, shop, TUNED_STOP if stop_below is None else stop_below)


def random_policy(target: str, shop: Collection[str], stop_below: float | None) -> Policy:
    """Any question that may be asked."""

    def choose(at: Turn) -> str:
        cues = sorted(at.cues)
        return cues[int(at.rng.random() * len(cues))] if cues else ""

    return stopping(choose, target, shop, TUNED_STOP if stop_below is None else stop_below)


def chart_policy(chart: Chart, target: str, shop: Collection[str], stop_below: float | None = None) -> Policy:
    """The first question of the chart that is not answered and may be asked, until the stop."""

    def choose(at: Turn) -> str:
        return next((cue for cue in chart.order if cue in at.cues), "")

    return stopping(choose, target, shop, chart.stop_below if stop_below is None else stop_below)
