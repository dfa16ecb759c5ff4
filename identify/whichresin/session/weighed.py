"""Answers to facts, facts through the rules to evidence, evidence and marking to belief."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from whichresin.belief.contradiction import Finding, find
from whichresin.belief.kin import Doubt, Sceptic
from whichresin.belief.posterior import BeliefState, Workspace, weigh
from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.knowledge.model import Model

from .believed import belief_facts, status_fact
from .facts import Evidence, evidence, replace_facts, told_facts
from .marked import Marked, leading_text, lies, read_marking
from .reasons import value_text
from .result import Because
from .state import State
from .understand import PartReading, understand_part


@dataclass(slots=True)
class Desk:
    """What one interview keeps warm between answers. Throwing it away changes no result."""

    model: Model
    chain: Chain
    workspace: Workspace
    marked: Marked | None = None
    part: PartReading | None = None
    told: dict[Fact, str] = field(default_factory=dict)
    believed: dict[Fact, str] = field(default_factory=dict)
    sceptic: Sceptic | None = None

    def doubt(
        self, seen: Evidence, prior: Sequence[float] | None, marked: Marked | None = None
    ) -> Callable[[], Doubt]:
        """The sceptic's view of this evidence, worked out when it is called."""
        marking = marked.weights if marked is not None and marked.readable else None

        def view() -> Doubt:
            if self.sceptic is None:
                self.sceptic = Sceptic(self.model)
            return self.sceptic.doubt(seen.observations, prior, seen.factors, marking)

        return view


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the answers and the marking come to."""

    part: PartReading | None
    marked: Marked | None
    prior: tuple[float, ...] | None
    factors: tuple[float, ...] | None  # per compound: evidence of rules and of the marking
    evidence: Evidence
    belief: BeliefState
    finding: Finding


def compound_chances(desk: Desk, state: State) -> tuple[float, ...]:
    """The belief in every compound, in the model's order."""
    return weigh_state(desk, state).belief.belief.compounds


def weigh_state(desk: Desk, state: State) -> Weighed:
    """Answers to facts, facts through the rules to evidence, evidence to belief."""
    model = desk.model
    part = _part(desk, state.text("part"))
    marked = _marked(desk, state.text("marking"))
    told = told_facts(model, state, part, unread(marked))
    replace_facts(desk.chain, desk.told, told)
    desk.told = told
    # Facts of the belief never reach rules that bring evidence (the loader checks it), so old ones may stand.
    seen = evidence(model, state, desk.chain)
    prior = _prior(model, part)
    factors = seen.factors
    if marked is not None and marked.readable:
        factors = tuple(a * b for a, b in zip(factors or (1.0,) * len(marked.weights), marked.weights, strict=True))
    belief = weigh(model, seen.observations, prior, factors, desk.workspace)
    finding = find(model, seen.observations, belief.belief, prior, factors, desk.workspace)
    return Weighed(part, marked, prior, factors, seen, belief, finding)


def unread(marked: Marked | None) -> tuple[str, ...]:
    """The cues whose text could not be read."""
    return ("marking",) if marked is not None and not marked.readable else ()


def _part(desk: Desk, text: str) -> PartReading | None:
    """The words for the part, understood once for a text."""
    if not text:
        return None
    if desk.part is None or desk.part.text != text:
        desk.part = understand_part(desk.model, text)
    return desk.part


def _marked(desk: Desk, text: str) -> Marked | None:
    """The marking, decoded once for a text."""
    if not text:
        return None
    if desk.marked is None or desk.marked.decoding.text != text:
        desk.marked = read_marking(desk.model, text)
    return desk.marked


def _prior(model: Model, part: PartReading | None) -> tuple[float, ...] | None:
    """Priors tilted by the kind of part; by its square root where the words were not clear."""
    if part is None or part.kind is None:
        return None
    power = 1.0 if part.sure == "clear" else 0.5
    return tuple(c.prior * tilt**power for c, tilt in zip(model.compounds, part.kind.tilt, strict=True))


def tell_belief(desk: Desk, belief: BeliefState, status: str) -> None:
    """Tell the rules what is believed now, in place of what was."""
    _replace_believed(desk, belief_facts(desk.model, belief.belief, status))


def tell_status(desk: Desk, status: str) -> None:
    """Tell the rules how the interview stands now; what is believed stays as it was told."""
    believed = {fact: source for fact, source in desk.believed.items() if fact.name != "status"}
    _replace_believed(desk, {**status_fact(status), **believed})


def _replace_believed(desk: Desk, facts: dict[Fact, str]) -> None:
    replace_facts(desk.chain, desk.believed, facts)
    desk.believed = facts


def misfits(model: Model, state: State, at: Weighed) -> list[Because]:
    """What the numbers say sits badly: the answers under everything still believed, the marking under the answers."""
    found = []
    if at.finding.alarm:
        answer = state.answers[at.finding.worst]
        said = value_text(model, answer.cue, answer.value)
        question = model.cues[answer.cue].question
        text = f"Together the answers fit nothing known here well. Repeat this one first: {question} {said}."
        found.append(Because(text, (f"{answer.cue} = {said}",), ("computed",)))
    if at.marked is not None and lies(at.marked, at.belief.belief.compounds):
        read = leading_text(at.marked)
        text = (
            f"The marking reads {read}, and the answers speak against it: a wrong insert in the mould, a swapped part, "
            "or a repair that was painted over. Trust neither before one test is repeated."
        )
        found.append(Because(text, (f"marking = {at.marked.decoding.text}",), ("computed",)))
    return found
