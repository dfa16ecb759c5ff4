"""What is still open about the plastic: whether it changes the work, and which test would settle it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whichresin.belief.questions import Candidate, rank_for
from whichresin.knowledge.model import Model

from .case import Case
from .plan import NextTest
from .ways import Way, as_target, best, fusible


@dataclass(frozen=True, slots=True)
class Rival:
    """What the part could be instead, how likely that is, and the way that would then be best."""

    name: str
    probability: float
    way: Way


def rivals(case: Case, ways: Sequence[Way], chosen: Way) -> list[Rival]:
    """Materials for which another way would be best, likeliest first, down to the share that matters.

    For each compound the best way is looked up as if it were certain; a weld counts where it is fusible.
    """
    model, sums = case.model, dict[tuple[str, str, str], float]()
    found: dict[tuple[str, str, str], Way] = {}
    names: dict[tuple[str, str, str], dict[str, float]] = {}
    for place, compound in enumerate(model.compounds):
        weight = case.said.compounds[place]
        fit = [w for w in ways if not w.process.one_unfilled_plastic or fusible(model, compound, case.rods)]
        other = min(fit, key=lambda way: way.losses[place], default=chosen)
        if (other.process.id, other.treat_as) == (chosen.process.id, chosen.treat_as):
            continue
        if other.losses[place] >= chosen.losses[place]:
            continue
        key = (other.process.process, other.process.id, other.treat_as)
        sums[key] = sums.get(key, 0.0) + weight
        found[key] = other
        name = model.materials[compound.material].symbol if compound.material in model.materials else ""
        names.setdefault(key, {})[name] = names.setdefault(key, {}).get(name, 0.0) + weight
    heavy = [key for key in sorted(sums, key=lambda key: -sums[key]) if sums[key] >= case.book.matters_from]
    return [Rival(_called(names[key]), sums[key], found[key]) for key in heavy]


def _called(names: dict[str, float]) -> str:
    """The likeliest names together, such as 'ABS, PC or another'."""
    ranked = sorted(names, key=lambda name: -names[name])
    total, shown, reached = sum(names.values()), list[str](), 0.0
    for name in ranked[:3]:
        shown.append(name or "none of the plastics known here")
        reached += names[name]
        if reached >= 0.9 * total:
            break
    return (", ".join(shown[:-1]) + " or " + shown[-1]) if len(shown) > 1 else shown[0]


def settling_test(case: Case, ways: Sequence[Way]) -> Candidate | None:
    """The question to ask before any work, or None when none is worth its cost.

    Nothing is asked when even knowing the plastic for certain would save less than the book's limit. The worth of
    a question looks two questions ahead, so it is a lower bound where more are needed.
    """
    if len(ways) < 2 or regret(case, ways) < case.book.ask_if_it_saves_minutes:
        return None
    ranked = rank_for(case.model, case.state, case.askable, as_target(case.model, ways))
    return ranked[0] if ranked and ranked[0].worth > 0.0 else None


def regret(case: Case, ways: Sequence[Way]) -> float:
    """What knowing the plastic for certain would save, in minutes: no test can be worth more."""
    weights = case.state.belief.compounds
    now = best(ways, weights)
    if now is None:
        return 0.0
    known = sum(weight * min(way.losses[place] for way in ways) for place, weight in enumerate(weights))
    return now[1] - known


def as_test(model: Model, cue_id: str, because: str) -> NextTest:
    """A cue as the next test of a plan."""
    cue = model.cues[cue_id]
    values = tuple((value.id, value.text) for value in cue.values)
    # A question that hurts nobody is asked without the cautions for what its answers may turn out to be.
    cautions = cue.cautions if cue.hazard != "none" else ()
    return NextTest(cue.id, cue.question, cue.how, because, values, cautions)
