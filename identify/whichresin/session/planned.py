"""From an interview's state and free words to a plan: what holds, what is believed, what was said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from whichresin.belief.posterior import Workspace
from whichresin.belief.reported import reported
from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model
from whichresin.knowledge.names import DUTY, SAID
from whichresin.knowledge.repair_codec import book_of
from whichresin.repair.case import Case, Gate
from whichresin.repair.decide import make_plan
from whichresin.repair.plan import Identified, Plan, Reason, Share, Understood
from whichresin.repair.read import ReadWords, read_words
from whichresin.repair.wetted import drop_facts
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .asking import askable, gate_question
from .consult import stand
from .part_phrases import part_phrases, split
from .reasons import spoken_by
from .result import Chance, Result
from .state import State
from .understand import PartReading, understand_part
from .weighed import Desk, weigh_state

_MOST_SHOWN = 4
_MOST_NEAR = 3
_LEAST_SHOWN = 0.01


def plan_for(model: Model, state: State, damage: str = "", context: str = "") -> Plan:
    """The plan for what was answered so far, with free words for damage and surroundings.

    Raises `BadWords` for words that cannot be meant, such as a damage of minus 3 cm.
    """
    return make_plan(case_of(model, state, damage, context))


def case_of(model: Model, state: State, damage: str = "", context: str = "") -> Case:
    """Everything that the plan is made from. Raises `BadWords`."""
    book = book_of(model)
    part = understand_part(model, state.text("part")) if state.text("part") else None
    words = read_words(model, book, part.rest if part is not None else "", damage, context, state.shop)
    said = tuple((name, value) for name, values in words.facts.items() if name != "shop" for value in values)
    at_hand = tuple(dict.fromkeys((*state.shop, *words.facts.get("shop", ()))))
    state = replace(state, said=said, shop=at_hand)
    desk = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())
    result = stand(desk, state)
    at = weigh_state(desk, state)
    believed = reported(model, at.belief.belief, at.prior)
    return Case(
        model=model,
        book=book,
        facts=frozenset((*desk.chain.facts(), *drop_facts(model, believed, book.matters_from))),
        reasons=_reasons(model, desk.chain),
        state=at.belief,
        said=believed,
        gate=_gate(model, desk, state, result, part),
        status=result.status,
        withheld=result.withheld,
        repeat=result.repeat,
        contradictions=tuple(because.text for because in result.contradictions),
        askable=askable(model, state, desk.chain).cues,
        answered=frozenset((*state.answers, *state.declined)),
        rods=words.rods,
        warned=_warned(desk, result, part),
        understood=_understood(model, part, words, desk.chain),
        identified=_identified(result),
    )


def _reasons(model: Model, chain: Chain) -> dict[Fact, Reason]:
    """For each fact that a rule concluded: why, by the first rule that did."""
    rules = {rule.id: rule for rule in model.rules}
    found: dict[Fact, Reason] = {}
    for firing in chain.firings():
        rule = rules[firing.rule]
        for fact in firing.concluded:
            found.setdefault(fact, Reason(rule.because, rule.source, rule.id))
    return found


def _gate(model: Model, desk: Desk, state: State, result: Result, part: PartReading | None) -> Gate:
    """The gate with its reasons, and what to ask while it is not known."""
    gate = result.gate
    found = [
        Reason(why, _source(model, desk, "gate", value))
        for value, why in spoken_by(model, desk.chain, "gate")
        if value == gate.state
    ]
    said = " ".join(reason.text for reason in found)
    rest = gate.reason.removeprefix(said).strip()
    reasons = (*found, *((Reason(rest),) if rest and rest not in said else ()))
    if gate.state == "shut" and part is not None and part.sure == "unsure" and part.gate_kind is not None:
        could = f"{shown(part.text)} could mean {part.gate_kind.name}."
        reasons = (*reasons, Reason(could))
    cue = gate_question(model, state, gate.state)
    words = desk.chain.values(SAID)
    if gate.state == "not_known" and words and DUTY in model.cues:
        cue = model.cues[DUTY]
    if gate.state != "open" and words:
        reasons = (*reasons, Reason(_said_of_duty(model, tuple(map(str, words)))))
    return Gate(gate.state, gate.decision, reasons, cue.id if cue is not None else None)


def _said_of_duty(model: Model, values: tuple[str, ...]) -> str:
    """Which words for a duty were read, and what to do when they were read wrongly."""
    words = book_of(model).words
    texts = {v.id: v.text for g in (words.groups if words is not None else ()) if g.name == SAID for v in g.values}
    said = " and ".join(texts.get(value, value) for value in values)
    return f"Your words speak of {said}. If that is not so, say it in other words, or deny it plainly, as in 'no fuel'."


def _source(model: Model, desk: Desk, name: str, value: str) -> tuple[str, ...]:
    rules = {rule.id: rule for rule in model.rules}
    return next((rules[f.rule].source for f in desk.chain.firings() if Fact(name, value) in f.concluded), ())


def _warned(desk: Desk, result: Result, part: PartReading | None) -> tuple[str, ...]:
    """Cautions that rules set for this part, and those of its kind while the gate is not open."""
    found = [value for value, _ in spoken_by(desk.model, desk.chain, "caution")]
    if part is not None and part.gate_kind is not None and result.gate.state != "open":
        found += part.gate_kind.cautions
    return tuple(dict.fromkeys(found))


def _understood(model: Model, part: PartReading | None, words: ReadWords, chain: Chain) -> Understood:
    kind = part.kind if part is not None else None
    unknown = (_unknown_part(model, part),) if part is not None and kind is None else ()
    return Understood(
        part=replace(words.part, text=part.text if part is not None else ""),
        part_kind=kind.id if kind is not None else "",
        part_name=kind.name if kind is not None else "",
        part_sure=part.sure if part is not None else "not_said",
        part_others=part.others if part is not None else (),
        part_choices=tuple(one.name for one in part.choices) if part is not None else (),
        damage_words=words.damage_words,
        damage=words.damage,
        context=words.context,
        shop=words.shop,
        facts={**words.facts, **_derived(model, chain)},
        celsius=words.celsius,
        missing=(*unknown, *words.missing),
    )


def _derived(model: Model, chain: Chain) -> dict[str, tuple[str, ...]]:
    """What the rules concluded, by the names of facts.yaml."""
    found = {name: tuple(map(str, chain.values(name))) for name in model.facts}
    return {name: values for name, values in found.items() if values}


def _unknown_part(model: Model, part: PartReading) -> str:
    """That the words name no known kind, with names that hold one of them."""
    near = [name for word in split(part.text) for name in part_phrases(model).with_word(word, model.parts, _MOST_NEAR)]
    hint = f"known are {listed(dict.fromkeys(near), _MOST_NEAR)}" if near else "say it in other words"
    return f"{shown(part.text)} is no kind of part known here; {hint}."


def _identified(result: Result) -> Identified:
    return Identified(
        klass=result.class_name,
        klass_word=result.class_word,
        cells=_shares(result.cells),
        polymers=_shares(result.polymers),
        fibre=result.filled.kinds.get("fibre", 0.0),
        filled=result.filled.probability,
        none_of_these=result.none_of_these,
        status=result.status,
        open=tuple(said.text.partition(": ")[0] for said in result.open_points),
        evidence=tuple(Reason(b.text, b.source, b.rule) for b in result.because),
    )


def _shares(chances: Iterable[Chance]) -> tuple[Share, ...]:
    kept = [chance for place, chance in enumerate(chances) if place == 0 or chance.probability >= _LEAST_SHOWN]
    return tuple(Share(c.symbol, c.name, c.probability, c.word) for c in kept[:_MOST_SHOWN])
