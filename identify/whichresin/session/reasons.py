"""Why a result is what it is: computed from the same belief and the same firings, never told afterwards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import exp, log

from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import Workspace, posterior
from whichresin.engine.chain import Chain, Firing
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Rule
from whichresin.knowledge.model import Model

from .events import AnswerValue
from .result import Because, Said

_MOST_ANSWERS = 6
_MOST_RULES = 8
_WORTH_SAYING = 0.15  # natural log of the odds moved: below a factor of 1.16 an answer hardly mattered
# Facts that the belief tells, and conclusions that are not statements about the part.
_FROM_BELIEF = ("believed.", "possible.", "status")
_MACHINERY = ("withhold", "unlock", "mute", "against", "caution", "contradiction")


def value_text(model: Model, cue_id: str, value: AnswerValue) -> str:
    """An answer in the plain words of its cue."""
    cue = model.cues[cue_id]
    words = {v.id: v.text for v in cue.values}
    if isinstance(value, str):
        return words.get(value, value)
    if isinstance(value, float):
        return f"{value:g} g/cm3"
    return ", ".join(words.get(v, v) if isinstance(v, str) else _in_liquid(*v) for v in value)


def _in_liquid(density_g_cm3: float, result: str) -> str:
    return f"{'hangs' if result == 'neutral' else result} in {density_g_cm3:g} g/cm3"


def answers_that_mattered(
    model: Model,
    observations: Sequence[Observation],
    prior: Sequence[float] | None,
    factors: Sequence[float] | None,
    leaders: frozenset[int],
    leader_name: str,
    workspace: Workspace,
) -> list[Because]:
    """How far each answer moved the odds of the leading group of compounds: the belief with and without it."""
    with_all = log_odds(posterior(model, observations, prior, factors, workspace).compounds, leaders)
    found = []
    for place, observation in enumerate(observations):
        others = [*observations[:place], *observations[place + 1 :]]
        without = log_odds(posterior(model, others, prior, factors, workspace).compounds, leaders)
        moved = with_all - without
        if abs(moved) < _WORTH_SAYING:
            continue
        cue = model.cues[observation.cue]
        said = value_text(model, observation.cue, observation.value)
        found.append(
            Because(
                f"{cue.question} {said}. {speaks(moved, leader_name)}",
                (_fact_text(observation),),
                cue.source,
                weight=moved,
            )
        )
    return sorted(found, key=lambda b: (-abs(b.weight), b.text))[:_MOST_ANSWERS]


def speaks(moved: float, leader: str) -> str:
    """How far something moved the odds, in words; `moved` is a natural logarithm."""
    times = min(exp(abs(moved)), 1000.0)
    size = f"{times:.1f}" if times < 10 else f"{times:.0f}"
    return f"That speaks {'for' if moved > 0 else 'against'} {leader}, {size} to 1."


def log_odds(compounds: Sequence[float], leaders: frozenset[int]) -> float:
    """Log of the odds of the leaders against all others."""
    inside = sum(p for i, p in enumerate(compounds) if i in leaders)
    outside = sum(p for i, p in enumerate(compounds) if i not in leaders)
    return log(max(inside, 1e-300)) - log(max(outside, 1e-300))


def _fact_text(observation: Observation) -> str:
    value = observation.value
    if isinstance(value, tuple):
        value = ", ".join(v if isinstance(v, str) else f"{v[1]} at {v[0]:g}" for v in value)
    return f"{observation.cue} = {value}"


def rules_that_spoke(
    model: Model, chain: Chain, withheld: bool = False
) -> tuple[list[Because], list[Said], list[Said]]:
    """(reasons from rules, what was derived of the part, what it means for the next step), in firing order.

    With a conclusion `withheld`, steps that rest on what is believed are left out: they would be leave to act on it.
    Bans and cautions are told elsewhere and stay.
    """
    rules = {rule.id: rule for rule in model.rules}
    because: list[Because] = []
    derived: dict[Fact, Said] = {}
    steps: dict[Fact, Said] = {}
    firings = chain.firings()
    resting = _resting_on(firings, _FROM_BELIEF)
    acting = _resting_on(firings, ("believed.",)) if withheld else set()
    for firing in firings:
        if not acting.isdisjoint(firing.supports):
            continue
        rule = rules[firing.rule]
        supports = sorted(str(fact) for fact in firing.supports)
        late = not resting.isdisjoint(firing.supports)
        said_one = False
        for fact in firing.concluded:
            word = model.facts.get(fact.name)
            if word is None or fact.name in _MACHINERY or fact.name.startswith("doubt:"):
                continue
            said = Said(
                fact.name, str(fact.value), word.values.get(str(fact.value), str(fact)), rule.because, rule.source,
                rule=rule.id,
            )
            (steps if late else derived).setdefault(fact, said)
            said_one = said_one or not late
        if said_one:
            because.append(Because(rule.because, tuple(supports), rule.source, rule=rule.id))
    return because[:_MOST_RULES], list(derived.values()), list(steps.values())


def _resting_on(firings: Sequence[Firing], names: tuple[str, ...]) -> set[Fact]:
    """Facts of these names, and all that rules concluded from them; firings come in no order of descent."""
    found = {f for firing in firings for f in firing.supports if f.name.startswith(names)}
    grown = True
    while grown:
        more = {f for firing in firings if not found.isdisjoint(firing.supports) for f in firing.concluded}
        grown = not more <= found
        found |= more
    return found


def contradictions(model: Model, chain: Chain) -> list[Because]:
    """What the rules say sits badly together."""
    rules = {rule.id: rule for rule in model.rules}
    return [
        Because(
            rules[firing.rule].because,
            tuple(sorted(str(fact) for fact in firing.supports)),
            rules[firing.rule].source,
            rule=firing.rule,
        )
        for firing in chain.firings()
        if any(fact.name == "contradiction" for fact in firing.concluded)
    ]


def spoken_by(model: Model, chain: Chain, name: str) -> Iterable[tuple[str, str]]:
    """(value, because) for every conclusion of facts called `name`, such as withhold or caution."""
    return ((value, rule.because) for value, rule in rules_for(model, chain, name))


def rules_for(model: Model, chain: Chain, name: str) -> Iterator[tuple[str, Rule]]:
    """(value, rule) for every conclusion of facts called `name` that stands, in firing order."""
    rules = {rule.id: rule for rule in model.rules}
    for firing in chain.firings():
        for fact in firing.concluded:
            if fact.name == name:
                yield str(fact.value), rules[firing.rule]
