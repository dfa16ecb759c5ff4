"""What stands on the page of an interview, as plain sentences and figures that text and HTML share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from whichresin.knowledge.model import Model
from whichresin.session.consult import Glance
from whichresin.session.course import CHANGED, VOLUNTEERED, Moment
from whichresin.session.events import Allowed, Answered, AtBench, Declined, Noted, PutOff, TakenBack, WhatIf
from whichresin.session.reasons import value_text
from whichresin.session.result import Chance, Result
from whichresin.terminal import words as spoken
from whichresin.terminal.ending import group_text, status_text
from whichresin.terminal.lines import percent
from whichresin.terminal.render import class_text
from whichresin.terminal.turns import would_change_texts

from . import words

_SHOWN_FROM = 0.02
_MOST_POLYMERS = 4


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the course: what was asked, what was said, how it came about, what was believed then."""

    number: int
    question: str
    said: str
    how: str
    klass: str
    leader: str
    counts: bool  # false for what only was tried


@dataclass(frozen=True, slots=True)
class Reason:
    """A reason with the rule that gave it, the answers it rests on and its sources by id."""

    text: str
    rests_on: tuple[str, ...]
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Point:
    """What was believed after a step that counts; step 0 is before anything was said."""

    step: int
    classes: Mapping[str, float]
    none_of_these: float
    polymers: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on the page, in its order."""

    title: str
    about: str
    made: tuple[str, ...]  # when, where, with which knowledge
    verdict: tuple[tuple[str, str], ...]
    cautions: tuple[tuple[str, str], ...]
    points: tuple[Point, ...]
    steps: tuple[Step, ...]
    badly: tuple[str, ...]
    reasons: tuple[Reason, ...]
    open_points: tuple[str, ...]
    next_steps: tuple[str, ...]
    if_wrong: tuple[str, ...]
    would_change: tuple[str, ...]
    notes: tuple[str, ...]
    sources: tuple[tuple[str, str], ...]


def sheet(
    model: Model,
    result: Result,
    start: Glance,
    moments: Sequence[Moment],
    about: str = "",
    made: Iterable[str] = (),
) -> Sheet:
    """The page of an interview that began with `start` and went through `moments` to `result`."""
    steps = tuple(_steps(model, moments))
    reasons = tuple(_reasons(result))
    used = dict.fromkeys(id for reason in reasons for id in reason.sources)
    return Sheet(
        title=result.part.text if result.part and result.part.text else words.NO_PART,
        about=about,
        made=(*made, words.KNOWLEDGE.format(key=result.knowledge)),
        verdict=tuple(_verdict(result)),
        cautions=tuple((spoken.LEVELS.get(c.level, c.level), c.text) for c in result.cautions),
        points=tuple(_points(start, moments)),
        steps=steps,
        badly=tuple(b.text for b in result.contradictions),
        reasons=reasons,
        open_points=tuple(said.text for said in result.open_points),
        next_steps=tuple(_next_steps(result)),
        if_wrong=tuple(
            words.WRONG.format(name=w.if_it_is, percent=percent(w.probability), minutes=w.minutes)
            for w in result.wrong_calls
        ),
        would_change=tuple(would_change_texts(result)),
        notes=tuple(m.event.text for m in moments if isinstance(m.event, Noted)),
        sources=tuple((id, model.sources[id]) for id in used if id in model.sources),
    )


def _reasons(result: Result) -> Iterable[Reason]:
    """Every reason once; one that several facts give names them all."""
    found: dict[tuple[str, str], Reason] = {}
    for b in result.because:
        before = found.get((b.text, b.rule))
        rests_on = (*before.rests_on, *b.facts) if before else b.facts
        found[b.text, b.rule] = Reason(b.text, tuple(dict.fromkeys(rests_on)), b.rule, b.source)
    return found.values()


def _verdict(result: Result) -> Iterable[tuple[str, str]]:
    gate = result.gate
    said = {"shut": words.GATE_SHUT, "open": words.GATE_OPEN}.get(gate.state, words.GATE_UNKNOWN)
    decision = spoken.DECISIONS.get(gate.decision, gate.decision)
    yield words.MAY_IT, said.format(decision=decision, reason=gate.reason).strip()
    yield words.HOW_IT_ENDS, f"{status_text(result)} {result.stopped}".strip()
    stated = _class(result.class_chances, result.class_name, result.class_word)
    yield words.CLASS, class_text(result) if result.withheld else stated
    yield words.POLYMER, _chances(result.polymers)
    filled = result.filled
    fillers = _chances([f for f in filled.fillers if f.probability >= 0.05][:3])
    yield words.FILLED, f"{filled.word} ({percent(filled.probability)})" + (f": {fillers}" if fillers else "")
    if result.cells:
        yield words.GROUP, group_text(result)
    if result.none_of_these >= 0.05:
        yield words.NONE, percent(result.none_of_these)
    if result.marking:
        yield words.MARKING, str(result.marking["text_for_people"])
    if result.rival is not None:
        yield words.RIVAL, f"{result.rival.name}, {percent(result.rival.probability)}"
    if result.refuter is not None:
        yield words.REFUTER, f"{result.refuter.text} ({result.refuter.because})"
    if result.next is not None:
        yield words.WOULD_ASK, result.next.question


def _class(chances: Mapping[str, float], stated: str, word: str) -> str:
    ranked = sorted(chances.items(), key=lambda pair: -pair[1])
    others = "; ".join(f"{name} {percent(p)}" for name, p in ranked if p >= _SHOWN_FROM and name != stated)
    if stated == "undetermined":
        return f"{words.UNDETERMINED}: {others}"
    return f"{stated}, {word} ({percent(chances[stated])})" + (f"; {others}" if others else "")


def _chances(chances: Sequence[Chance]) -> str:
    shown = [c for c in chances[:_MOST_POLYMERS] if c.probability >= _SHOWN_FROM] or list(chances[:1])
    return "; ".join(f"{_name(c)} {percent(c.probability)}" for c in shown)


def _name(chance: Chance) -> str:
    return chance.name if chance.name == chance.symbol else f"{chance.symbol}, {chance.name},"


def _next_steps(result: Result) -> Iterable[str]:
    said: dict[str, list[str]] = {}
    for step in result.next_steps:
        said.setdefault(step.because, []).append(step.text)
    return (f"{'; '.join(texts)}. {because}" for because, texts in said.items())


def _steps(model: Model, moments: Sequence[Moment]) -> Iterable[Step]:
    number = 0
    for moment in moments:
        event = moment.event
        if isinstance(event, Noted):
            continue
        counts = not isinstance(event, WhatIf)
        number += counts
        question, said, how = _told(model, moment)
        best = max(moment.after.class_chances.items(), key=lambda pair: pair[1])
        leader = moment.after.polymers[0] if moment.after.polymers else None
        yield Step(
            number,
            question,
            said,
            how,
            f"{best[0]} {percent(best[1])}",
            f"{leader.symbol} {percent(leader.probability)}" if leader else "",
            counts,
        )


def _told(model: Model, moment: Moment) -> tuple[str, str, str]:
    """(question, what was said, how it came about) of one step."""
    event = moment.event
    question = model.cues[moment.cue].question if moment.cue in model.cues else ""
    if isinstance(event, Answered):
        said = value_text(model, event.cue, event.value)
        if event.uncertainty is not None:
            said = f"{said}, {words.UNCERTAINTY.format(value=event.uncertainty)}"
        how = {VOLUNTEERED: words.VOLUNTEERED, CHANGED: words.CHANGED}.get(moment.how, "")
        sure = {"low": words.UNSURE, "high": words.SURE}.get(event.sure, "")
        return question, said, "; ".join(filter(None, (how, sure)))
    if isinstance(event, Declined):
        return question, words.DONT_KNOW, ""
    if isinstance(event, PutOff):
        return question, words.PUT_OFF, ""
    if isinstance(event, TakenBack):
        return question, words.TAKEN_BACK, ""
    if isinstance(event, WhatIf):
        return question, value_text(model, event.cue, event.value), words.TRIED
    if isinstance(event, AtBench):
        return words.BENCH.format(celsius=event.celsius), "", ""
    assert isinstance(event, Allowed)
    return words.ALLOWED.get(event.what, event.what), "", ""


def _points(start: Glance, moments: Sequence[Moment]) -> Iterable[Point]:
    yield _point(0, start)
    number = 0
    for moment in moments:
        if not isinstance(moment.event, Noted | WhatIf):
            number += 1
            yield _point(number, moment.after)


def _point(number: int, at: Glance) -> Point:
    polymers: dict[str, float] = {}
    for chance in at.polymers:
        polymers[chance.symbol] = polymers.get(chance.symbol, 0.0) + chance.probability
    return Point(number, at.class_chances, at.none_of_these, polymers)
