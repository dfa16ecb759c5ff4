"""Between answers and the engine: what is told, and what the engine's conclusions mean for the evidence."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from whichresin.belief.likelihood import Observation
from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.knowledge.liquids import shipped_shelf
from whichresin.knowledge.model import Model
from whichresin.knowledge.names import ROUGH

from .events import Answered
from .state import State
from .understand import PartReading

ANSWERED = "answered"
MEASURED = "measured"
BELIEVED = "believed"
TOLD = "told"
_FACT_OF_RESULT = {"floats": "floats_at", "sinks": "sinks_at"}


def told_facts(model: Model, state: State, part: PartReading | None, unread: Collection[str] = ()) -> dict[Fact, str]:
    """Every fact that the person's answers put into the engine, with its origin.

    `unread` are cues whose answer could not be read: a scrawl is no witness that a test would have to confirm.
    """
    facts: dict[Fact, str] = {}
    for cue, answer in state.answers.items():
        if cue in unread:
            continue
        for fact in _answer_facts(cue, answer):
            facts[fact] = MEASURED if isinstance(fact.value, float) else ANSWERED
        if isinstance(answer.value, float) and too_rough(answer.uncertainty):
            facts[Fact(ROUGH, "yes")] = MEASURED
    if part is not None and part.gate:
        facts[Fact("part_gate", part.gate)] = TOLD
    if part is not None and part.kind is not None and part.sure == "clear":
        facts[Fact("part_kind", part.kind.id)] = TOLD
    for item in state.shop:
        facts[Fact("shop", item)] = TOLD
    for what in state.allowed:
        facts[Fact("allow", what)] = TOLD
    for name, value in state.said:
        facts[Fact(name, value)] = TOLD
    return facts


def too_rough(uncertainty: float | None) -> bool:
    """Whether a density of this standard uncertainty, g/cm3, is of no use to rules that go by weight."""
    return uncertainty is not None and uncertainty > shipped_shelf().allowances["enough_g_cm3"]


def _answer_facts(cue: str, answer: Answered) -> Iterator[Fact]:
    value = answer.value
    if not isinstance(value, tuple):
        yield Fact(cue, value)
        return
    for item in value:
        if isinstance(item, str):
            yield Fact(cue, item)
        else:
            density, result = item
            if result in _FACT_OF_RESULT:  # a piece that hangs is a matter for the numbers alone
                yield Fact(_FACT_OF_RESULT[result], density)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What counts as evidence once the rules have spoken."""

    observations: tuple[Observation, ...]
    factors: tuple[float, ...] | None  # per compound, from `against` rules
    muted: tuple[str, ...]  # cues (or cue=value) left out because another answer tells the same


def evidence(model: Model, state: State, chain: Chain) -> Evidence:
    """The observations that enter the belief, with doubts set and repeated evidence left out."""
    muted = {str(v) for v in chain.values("mute")}
    factors: list[float] | None = None
    for rule in chain.values("against"):
        against = model.against[str(rule)]
        factors = factors or [1.0] * len(model.compounds)
        for index in against.compounds:
            factors[index] *= against.factor
        muted.update(against.instead_of)
    observations = []
    for cue, answer in state.answers.items():
        known = model.cues[cue]
        if cue in muted or (known.table is None and not known.physics):
            continue
        value = answer.value
        left_out: tuple[str, ...] = ()
        if known.kind == "set" and isinstance(value, tuple):
            left_out = tuple(v.id for v in known.values if f"{cue}={v.id}" in muted)
            value = tuple(v for v in value if isinstance(v, str) and v not in left_out)
            if len(left_out) == len(known.values):
                continue  # nothing is left of it, not even what was not named
        doubts = chain.values(f"doubt:{cue}")
        doubt = "strong" if "strong" in doubts else ("slight" if doubts else "")
        observations.append(Observation(cue, value, answer.sure, doubt, answer.uncertainty, left_out))
    return Evidence(
        tuple(observations), tuple(factors) if factors is not None else None, tuple(sorted(muted))
    )


def replace_facts(chain: Chain, old: Mapping[Fact, str], new: Mapping[Fact, str]) -> None:
    """Bring the chain from one set of told facts to another by telling and taking back only the difference."""
    for fact, origin in old.items():
        if new.get(fact) != origin:
            chain.take_back(fact)
    for fact, origin in new.items():
        if old.get(fact) != origin:
            chain.tell(fact, origin)
