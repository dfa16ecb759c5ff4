"""From a state to a result: facts, rules, evidence, belief, rules again, next question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from whichresin.belief import hypotheses
from whichresin.belief.contradiction import Finding, find
from whichresin.belief.posterior import BeliefState, Workspace, weigh
from whichresin.belief.questions import Candidate, rank
from whichresin.belief.stopping import Choice, choose
from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.knowledge.model import Model

from . import present
from .asking import Askable, as_question, askable, gate_question
from .believed import belief_facts
from .facts import Evidence, evidence, replace_facts, told_facts
from .reasons import answers_that_mattered, contradictions, rules_that_spoke, spoken_by, value_text
from .result import Because, Gate, Outcome, Question, Result, Understood, Warned
from .state import State
from .understand import PartReading, understand_part

_LEVELS = ("danger", "warning", "care")
_STOPPED = {
    "settled": "Enough is known: no further answer is likely to change what is done.",
    "not_worth": "No question left is worth its time and hazard.",
    "none_left": "Nothing is left to ask.",
    "gate": "The part may not be repaired on this tool's word, so nothing more is asked. Ask for the polymer to go on.",
}


@dataclass(slots=True)
class Desk:
    """What one interview keeps warm between answers. Throwing it away changes no result."""

    model: Model
    chain: Chain
    workspace: Workspace
    told: dict[Fact, str] = field(default_factory=dict)
    believed: dict[Fact, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Standing:
    """Everything worked out for one state, before it is put into words."""

    part: PartReading | None
    prior: tuple[float, ...] | None
    evidence: Evidence
    belief: BeliefState
    finding: Finding
    found: Askable
    choice: Choice
    gate: Gate


def compound_chances(desk: Desk, state: State) -> tuple[float, ...]:
    """The belief in every compound, in the model's order."""
    return _weighed(desk, state)[3].belief.compounds


def _weighed(
    desk: Desk, state: State
) -> tuple[PartReading | None, Evidence, tuple[float, ...] | None, BeliefState]:
    """Answers to facts, facts through the rules to evidence, evidence to belief."""
    model = desk.model
    part = understand_part(model, state.text("part")) if state.text("part") else None
    told = told_facts(model, state, part)
    replace_facts(desk.chain, desk.told, told)
    desk.told = told
    # Facts of the belief never reach rules that bring evidence (the loader checks it), so old ones may stand.
    seen = evidence(model, state, desk.chain)
    prior = _prior(model, part)
    return part, seen, prior, weigh(model, seen.observations, prior, seen.factors, desk.workspace)


def stand(desk: Desk, state: State) -> Result:
    """The result for this state."""
    model = desk.model
    part, seen, prior, belief = _weighed(desk, state)
    _tell_belief(desk, belief, "open")
    finding = find(model, seen.observations, belief.belief, prior, seen.factors, desk.workspace)
    choice = _choose(desk, state, belief, finding)
    _tell_belief(desk, belief, choice.status)
    gate = _gate(desk, part)
    found = askable(model, state, desk.chain)
    return _result(desk, state, Standing(part, prior, seen, belief, finding, found, choice, gate))


def _tell_belief(desk: Desk, belief: BeliefState, status: str) -> None:
    facts = belief_facts(desk.model, belief.belief, status)
    replace_facts(desk.chain, desk.believed, facts)
    desk.believed = facts


def _choose(desk: Desk, state: State, belief: BeliefState, finding: Finding) -> Choice:
    cues = askable(desk.model, state, desk.chain).cues
    return choose(
        desk.model,
        belief,
        cues,
        state.target,
        state.shop,
        contradiction=finding.alarm or bool(contradictions(desk.model, desk.chain)),
        workspace=desk.workspace,
    )


def _prior(model: Model, part: PartReading | None) -> tuple[float, ...] | None:
    """Priors tilted by the kind of part; by its square root where the words were not clear."""
    if part is None or part.kind is None:
        return None
    power = 1.0 if part.sure == "clear" else 0.5
    return tuple(c.prior * tilt**power for c, tilt in zip(model.compounds, part.kind.tilt, strict=True))


def _gate(desk: Desk, part: PartReading | None) -> Gate:
    states = desk.chain.values("gate")
    state = next((s for s in ("shut", "not_known", "open") if s in states), "not_known")
    decisions = desk.chain.values("gate_decision")
    decision = "refer" if "refer" in decisions else (str(decisions[0]) if decisions else "")
    reasons = [why for value, why in spoken_by(desk.model, desk.chain, "gate") if value == state]
    if state != "open" and part is not None and part.gate_kind is not None and part.gate_kind.gate_reason:
        reasons.append(f"{part.gate_kind.name}: {part.gate_kind.gate_reason}")
    return Gate(state, decision if state == "shut" else "", " ".join(dict.fromkeys(reasons)))


def _result(desk: Desk, state: State, at: Standing) -> Result:
    model, belief = desk.model, at.belief.belief
    questions = tuple(_question(model, c) for c in at.choice.ranked)
    gate_first = _gate_first(desk, state, at)
    next_question, stopped = _next(state, at, gate_first, questions)
    because, derived, steps = rules_that_spoke(model, desk.chain)
    sitting_badly = [*_misfit(model, state, at.finding), *contradictions(model, desk.chain)]
    chances = present.class_chances(model, belief)
    name, word = present.stated_class(model, chances)
    return Result(
        status=at.choice.status,
        stopped=stopped,
        target=state.target,
        class_chances=chances,
        class_word=word,
        class_name=name,
        none_of_these=hypotheses.none_of_these(belief),
        polymers=present.polymers(model, belief),
        compounds=present.compounds(model, belief),
        cells=present.cells(model, belief),
        filled=present.filled(model, belief),
        gate=at.gate,
        part=_understood(at.part),
        marking=None,
        next=next_question,
        gate_question=gate_first,
        questions=questions,
        kept_back=at.found.kept_back,
        because=(*_answers(desk, state, at), *because),
        derived=tuple(derived),
        # Over a shut gate nothing may read as leave to repair.
        next_steps=tuple(steps) if at.gate.state != "shut" else (),
        contradictions=tuple(sitting_badly),
        repeat=at.finding.worst or None,
        open_points=present.open_points(model, belief, questions, _name_questions(desk, state, at)),
        wrong_calls=present.wrong_calls(model, belief, at.choice.verdict),
        cautions=_cautions(desk, at, next_question),
        offer=_offer(desk, state, at) if next_question is None and at.gate.state != "shut" else "",
        answered={cue: _plain(answer.value) for cue, answer in state.answers.items()},
        declined=state.declined,
        knowledge=model.key,
    )


def _gate_first(desk: Desk, state: State, at: Standing) -> Question | None:
    """The gate question still to be asked. Someone's safety is not traded against minutes: it is worth as much
    as the dearest wrong call."""
    cue = gate_question(desk.model, state, at.gate.state)
    return as_question(desk.model, cue, max(map(max, desk.model.losses.table))) if cue is not None else None


def _next(
    state: State, at: Standing, gate_first: Question | None, questions: Sequence[Question]
) -> tuple[Question | None, str]:
    """The question to ask now, or why none is: the gate first, then what is worth most."""
    if at.gate.state == "shut" and state.target == "decision":
        return None, _STOPPED["gate"]
    if at.choice.proposal is None:
        return None, _STOPPED[at.choice.stop]
    return gate_first or questions[0], ""


def _question(model: Model, candidate: Candidate) -> Question:
    cue = model.cues[candidate.cue]
    texts = {value.id: value.text for value in cue.values}
    outcomes = tuple(
        Outcome(o.value, texts.get(o.value, o.value), o.probability, _name(model, o.leader), o.leader_probability)
        for o in candidate.values
    )
    return as_question(model, cue, candidate.worth, outcomes=outcomes)


def _name(model: Model, leader: str) -> str:
    """What to call a leader: the symbol of a material, the name of a repair cell."""
    if leader in model.materials:
        return model.materials[leader].symbol
    return model.cells[leader].name if leader in model.cells else present.OUTSIDE


def _name_questions(desk: Desk, state: State, at: Standing) -> tuple[Question, ...]:
    """Questions by what they tell about the polymer's name, most telling first."""
    ranked = rank(desk.model, at.belief, at.found.cues, "polymer", state.shop, desk.workspace, deep=False)
    telling = sorted((c for c in ranked if c.gain > 0.02), key=lambda c: (-c.gain, c.cue))
    return tuple(_question(desk.model, c) for c in telling[:3])


def _offer(desk: Desk, state: State, at: Standing) -> str:
    """A kind of test (solvent, then burn) that would be worth asking for leave, when nothing else is left to ask."""
    if at.choice.stop == "settled":
        return ""
    for what in sorted(at.found.opt_in, key=lambda kind: kind == "burn"):
        cues = [said.name for said in at.found.kept_back if said.value == what]
        ranked = rank(desk.model, at.belief, cues, state.target, state.shop, desk.workspace)
        if ranked and ranked[0].worth > 0:
            return what
    return ""


def _misfit(model: Model, state: State, finding: Finding) -> list[Because]:
    """The alarm in words: all answers together are improbable under everything that is still believed."""
    if not finding.alarm:
        return []
    answer = state.answers[finding.worst]
    cue = model.cues[finding.worst]
    said = value_text(model, answer.cue, answer.value)
    text = f"Together the answers fit nothing known here well. Repeat this one first: {cue.question} {said}."
    return [Because(text, (f"{answer.cue} = {said}",), ("computed",))]


def _answers(desk: Desk, state: State, at: Standing) -> list[Because]:
    model = desk.model
    field_name = "material" if state.target == "polymer" else "cell"
    leader = at.choice.leader
    leaders = frozenset(i for i, c in enumerate(model.compounds) if getattr(c, field_name) == leader)
    return answers_that_mattered(
        model, at.evidence.observations, at.prior, at.evidence.factors, leaders, _name(model, leader), desk.workspace
    )


def _cautions(desk: Desk, at: Standing, question: Question | None) -> tuple[Warned, ...]:
    """Cautions that rules set, those of the part kind, and those of the next question; worst level first."""
    wanted = [value for value, _ in spoken_by(desk.model, desk.chain, "caution")]
    if at.part is not None and at.part.gate_kind is not None and at.gate.state != "open":
        wanted += at.part.gate_kind.cautions
    if question is not None and question.hazard != "none":
        wanted += question.cautions
    known = [desk.model.cautions[id] for id in dict.fromkeys(wanted)]
    return tuple(Warned(c.id, c.level, c.text) for c in sorted(known, key=lambda c: _LEVELS.index(c.level)))


def _understood(part: PartReading | None) -> Understood | None:
    if part is None:
        return None
    kind = part.kind
    return Understood(part.text, kind.id if kind else "", kind.name if kind else "", part.sure, part.others)


def _plain(value: object) -> object:
    """An answer as JSON can hold it."""
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value
