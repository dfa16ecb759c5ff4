"""From a state to a result: facts, rules, evidence, belief, rules again, next question."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from whichresin.belief import hypotheses
from whichresin.belief.hypotheses import Belief
from whichresin.belief.liquids import LiquidTest
from whichresin.belief.questions import Candidate, Liquids, rank
from whichresin.belief.reported import reported
from whichresin.belief.stopping import STRANGE, Choice, choose
from whichresin.knowledge.model import Model

from . import present
from .asking import Askable, as_question, askable, first_in_turn, gate_question, liquid_may_be_made
from .marked import Marked, as_json, leading_text
from .reasons import answers_that_mattered, contradictions, log_odds, rules_that_spoke, speaks, spoken_by
from .result import Because, Chance, Gate, Outcome, Question, Result, Said, Understood, Warned
from .state import State
from .supposed import refuter
from .understand import PartReading
from .weighed import Desk, Weighed, misfits, tell_belief, tell_status, weigh_state
from .would_change import would_change

LEVELS = ("danger", "warning", "care")
OPEN = "open"  # the state of a gate over which something may be said of a repair
_STOPPED = {
    "settled": "Enough is known: no further answer is likely to change what is done.",
    "not_worth": "No question left is worth its time and hazard.",
    "none_left": "Nothing is left to ask.",
    "strange": "The answers fit none of the plastics known here well enough, so it is left open what it is.",
    "gate": "The part may not be repaired on this tool's word, so nothing more is asked. --target polymer asks on for "
    "its name.",
}


@dataclass(frozen=True, slots=True)
class Standing:
    """Everything worked out for one state, before it is put into words."""

    weighed: Weighed
    found: Askable
    choice: Choice
    gate: Gate
    sitting_badly: tuple[Because, ...]


@dataclass(frozen=True, slots=True)
class Glance:
    """The short of a result: what is believed and what is asked next. Much quicker than the whole."""

    status: str
    class_chances: Mapping[str, float]
    none_of_these: float
    polymers: tuple[Chance, ...]
    cells: tuple[Chance, ...]
    gate: str
    asks: str  # the cue that is put to the person, or ""


def stand(desk: Desk, state: State) -> Result:
    """The result for this state."""
    return _result(desk, state, _standing(desk, state))


def glance(desk: Desk, state: State) -> Glance:
    """The short of `stand` for this state, in the same numbers."""
    at = _standing(desk, state)
    belief = reported(desk.model, at.weighed.belief.belief, at.weighed.prior)
    gate_first = _gate_first(desk, state, at)
    best = tuple(_question(desk.model, candidate, state.celsius) for candidate in at.choice.ranked[:1])
    asked, _ = _next(state, at, gate_first, best)
    question = gate_first or asked
    return Glance(
        at.choice.status,
        present.class_chances(desk.model, belief),
        hypotheses.none_of_these(belief),
        present.polymers(desk.model, belief),
        present.cells(desk.model, belief, at.gate.state == OPEN),
        at.gate.state,
        question.cue if question is not None else "",
    )


def _standing(desk: Desk, state: State) -> Standing:
    at = weigh_state(desk, state)
    tell_belief(desk, at.belief, "open")
    sitting_badly = [*misfits(desk.model, state, at), *contradictions(desk.model, desk.chain)]
    choice = _choose(desk, state, at, bool(sitting_badly), liquids=True)
    tell_status(desk, choice.status)
    gate = _gate(desk, at.part)
    found = askable(desk.model, state, desk.chain)
    sitting_badly = [*misfits(desk.model, state, at), *contradictions(desk.model, desk.chain)]
    return Standing(at, found, choice, gate, tuple(sitting_badly))


def closed(desk: Desk, state: State, result: Result) -> Result:
    """The result of an interview that is over, with what would change it; any other result as it is.

    Takes longer than a question, so it is left until the end.
    """
    if result.next is not None or not state.answers or result.status == "open":
        return result
    at = weigh_state(desk, state)
    choice = _choose(desk, state, at, result.status == "contradiction")
    return replace(result, would_change=would_change(desk, state, at, choice))


def _choose(desk: Desk, state: State, at: Weighed, contradiction: bool, liquids: bool = False) -> Choice:
    cues = askable(desk.model, state, desk.chain).cues
    return choose(
        desk.model,
        at.belief,
        cues,
        state.target,
        state.shop,
        contradiction=contradiction,
        workspace=desk.workspace,
        liquids=_liquids(desk.model, state) if liquids and liquid_may_be_made(desk.model, state, desk.chain) else None,
        sceptic=desk.doubt(at.evidence, at.prior, at.marked),
    )


def _liquids(model: Model, state: State) -> Liquids:
    """What can be made at this bench, looked up only when it may matter: most interviews need no liquid."""

    def look_up() -> Sequence[LiquidTest]:
        from .designed import liquids_left

        return liquids_left(model, state)

    return look_up


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
    model, weighed = desk.model, at.weighed
    belief = reported(model, weighed.belief.belief, weighed.prior)
    questions = tuple(_question(model, c, state.celsius) for c in at.choice.ranked)
    gate_first = _gate_first(desk, state, at)
    next_question, stopped = _next(state, at, gate_first, questions)
    withheld = at.choice.stop == STRANGE
    because, derived, steps = rules_that_spoke(model, desk.chain, withheld)
    chances = present.class_chances(model, belief)
    name, word = present.stated_class(model, chances, withheld)
    return Result(
        status=at.choice.status,
        stopped=stopped,
        target=state.target,
        strangeness=at.choice.strangeness,
        withheld=withheld,
        class_chances=chances,
        class_word=word,
        class_name=name,
        none_of_these=hypotheses.none_of_these(belief),
        polymers=present.polymers(model, belief),
        compounds=present.compounds(model, belief),
        cells=present.cells(model, belief, at.gate.state == OPEN and not withheld),
        rival=_rival(model, belief, at, state),
        refuter=_refuter(model, belief, at, state),
        filled=present.filled(model, belief),
        gate=at.gate,
        part=_understood(weighed.part),
        marking=as_json(weighed.marked, belief.compounds) if weighed.marked else None,
        next=next_question,
        gate_question=gate_first,
        questions=questions,
        kept_back=at.found.kept_back,
        because=(*_answers(desk, state, at), *because),
        derived=tuple(derived),
        # Over a shut gate nothing may read as leave to repair.
        next_steps=tuple(steps) if at.gate.state != "shut" else (),
        contradictions=at.sitting_badly,
        repeat=_repeat(at),
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
    if cue is None or (cue.id in state.put_off and _others_first(state, at)):
        return None
    return as_question(desk.model, cue, max(map(max, desk.model.losses.table)))


def _others_first(state: State, at: Standing) -> bool:
    """Whether a question that was not put off is still worth asking."""
    if at.choice.proposal is None:
        return False
    return any(c.worth > 0 and c.cue not in state.put_off for c in at.choice.ranked)


def _next(
    state: State, at: Standing, gate_first: Question | None, questions: Sequence[Question]
) -> tuple[Question | None, str]:
    """The question to ask now, or why none is: the gate first, then what is worth most."""
    if at.gate.state == "shut" and state.target == "decision":
        return None, _STOPPED["gate"]
    if at.choice.proposal is None:
        return None, _STOPPED[at.choice.stop]
    return gate_first or first_in_turn(state, questions), ""


def _question(model: Model, candidate: Candidate, celsius: float) -> Question:
    cue = model.cues[candidate.cue]
    texts = {value.id: value.text for value in cue.values}
    outcomes = tuple(
        Outcome(o.value, texts.get(o.value, o.value), o.probability, _name(model, o.leader), o.leader_probability)
        for o in candidate.values
    )
    if candidate.liquid is not None:
        from .designed import as_liquid_question

        return as_liquid_question(model, candidate, celsius, outcomes)
    return as_question(model, cue, candidate.worth, outcomes=outcomes)


def _leaders(model: Model, state: State, at: Standing) -> frozenset[int]:
    """The compounds that the leading cell, or material, is made of."""
    field_name = "material" if state.target == "polymer" else "cell"
    return frozenset(i for i, c in enumerate(model.compounds) if getattr(c, field_name) == at.choice.leader)


def _rival(model: Model, belief: Belief, at: Standing, state: State) -> Chance | None:
    if state.target == "polymer":
        listed = present.polymers(model, belief)
    else:
        listed = present.cells(model, belief, at.gate.state == OPEN)
    return next((chance for chance in listed if chance.id != at.choice.leader), None)


def _refuter(model: Model, belief: Belief, at: Standing, state: State) -> Said | None:
    """What would refute the leader, so that nobody has to take it on trust."""
    found = refuter(model, belief.compounds, _leaders(model, state, at), at.found.cues)
    if found is None:
        return None
    name = _name(model, at.choice.leader)
    because = (
        f"Seen on {found.if_true * 100:.0f} in 100 parts if it is {name}, on {found.if_false * 100:.0f} in 100 if not."
    )
    return Said(found.cue, found.value, f"{found.question} {found.text}", because)


def _name(model: Model, leader: str) -> str:
    """What to call a leader: the symbol of a material, the name of a repair cell."""
    if leader in model.materials:
        return model.materials[leader].symbol
    return model.cells[leader].name if leader in model.cells else present.OUTSIDE


def _name_questions(desk: Desk, state: State, at: Standing) -> tuple[Question, ...]:
    """Questions by what they tell about the polymer's name, most telling first."""
    ranked = rank(desk.model, at.weighed.belief, at.found.cues, "polymer", state.shop, desk.workspace, deep=False)
    telling = sorted((c for c in ranked if c.gain > 0.02), key=lambda c: (-c.gain, c.cue))
    return tuple(_question(desk.model, c, state.celsius) for c in telling[:3])


def _offer(desk: Desk, state: State, at: Standing) -> str:
    """A kind of test (solvent, then burn) that would be worth asking for leave, when nothing else is left to ask."""
    if at.choice.stop == "settled":
        return ""
    for what in sorted(at.found.opt_in, key=lambda kind: kind == "burn"):
        cues = [said.name for said in at.found.kept_back if said.value == what]
        ranked = rank(desk.model, at.weighed.belief, cues, state.target, state.shop, desk.workspace)
        if ranked and ranked[0].worth > 0:
            return what
    return ""


def _repeat(at: Standing) -> str | None:
    """The cue whose answer is most worth repeating."""
    if at.weighed.finding.worst:
        return at.weighed.finding.worst
    return "marking" if any(fact.startswith("marking = ") for b in at.sitting_badly for fact in b.facts) else None


def _answers(desk: Desk, state: State, at: Standing) -> list[Because]:
    model = desk.model
    leader, leaders = at.choice.leader, _leaders(model, state, at)
    seen, name = at.weighed, _name(model, leader)
    found = answers_that_mattered(
        model, seen.evidence.observations, seen.prior, seen.factors, leaders, name, desk.workspace
    )
    if seen.marked is not None and seen.marked.readable:
        found.insert(0, _marking_mattered(seen, seen.marked, leaders, name))
    return found


def _marking_mattered(at: Weighed, marked: Marked, leaders: frozenset[int], name: str) -> Because:
    """How far the marking moved the odds of the leaders: their weights against those of the rest."""
    chances = at.belief.belief.compounds
    without = [p / w for p, w in zip(chances, marked.weights, strict=True)]
    moved = log_odds(chances, leaders) - log_odds([p / sum(without) for p in without], leaders)
    text = f"The marking reads {leading_text(marked)}. {speaks(moved, name)}"
    return Because(text, (f"marking = {marked.decoding.text}",), ("ISO1043-1", "ISO1043-2"), weight=moved)


def _cautions(desk: Desk, at: Standing, question: Question | None) -> tuple[Warned, ...]:
    """Cautions that rules set, those of the part kind, and those of the next question; worst level first."""
    wanted = [value for value, _ in spoken_by(desk.model, desk.chain, "caution")]
    if at.weighed.part is not None and at.weighed.part.gate_kind is not None and at.gate.state != "open":
        wanted += at.weighed.part.gate_kind.cautions
    if question is not None and question.hazard != "none":
        wanted += question.cautions
    known = [desk.model.cautions[id] for id in dict.fromkeys(wanted)]
    return tuple(Warned(c.id, c.level, c.text) for c in sorted(known, key=lambda c: LEVELS.index(c.level)))


def _understood(part: PartReading | None) -> Understood | None:
    if part is None:
        return None
    kind = part.kind
    asked = tuple(one.name for one in part.choices)
    unknown = part.unknown if part.sure != "clear" else ()
    return Understood(
        part.text, kind.id if kind else "", kind.name if kind else "", part.sure, part.others, asked, unknown
    )


def _plain(value: object) -> object:
    """An answer as JSON can hold it."""
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value
