"""A transcript written: the events of an interview, what was concluded after each, and the result, as YAML.

The same knowledge and the same events give the same bytes on any machine: chances are rounded, nothing depends on
the clock. What would change the conclusion and the worth of every question are left out; they are worked out anew
when somebody asks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from whichresin import __version__
from whichresin.vocabulary.text import escaped

from .consult import Glance, stand
from .course import Moment, course
from .events import Allowed, AnswerValue, AtBench, Declined, Event, Noted, PutOff, TakenBack, WhatIf
from .result import Because, Chance, Result
from .state import USUAL_CELSIUS, State
from .transcript import FORMAT, Step, Transcript, told_state
from .weighed import Desk

_DIGITS = 4
_WIDTH = 116
_LEAST = 0.005  # of chance; what is less is left out of a record


class _Folded(str):
    """Text that is written as a folded block."""


class _Dumper(yaml.SafeDumper):
    """Plain YAML, with long texts folded and nothing referred to by an alias."""

    def ignore_aliases(self, data: object) -> bool:
        return True


_Dumper.add_representer(_Folded, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style=">"))


def recorded(desk: Desk, transcript: Transcript) -> str:
    """The transcript as text, with everything that was concluded worked out on the desk's knowledge."""
    start = State(shop=transcript.shop, target=transcript.target)
    moments = course(desk, start, transcript.events)
    state = told_state(transcript)
    head: dict[str, Any] = {
        "transcript": FORMAT,
        "about": _Folded(transcript.about + "\n") if len(transcript.about) > 80 else transcript.about,
        "truth": dict(transcript.truth),
        "ends": transcript.ends,
        "started": transcript.started,
    }
    document = {key: value for key, value in head.items() if value}
    document["knowledge"] = {"version": __version__, "key": desk.model.key}
    document["shop"] = list(transcript.shop)
    document["target"] = transcript.target
    document["steps"] = [_step(moment) for moment in moments]
    document["result"] = condensed(stand(desk, state))
    return yaml.dump(
        document, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=_WIDTH, default_flow_style=None
    )


def transcript_from(events: Sequence[Event], shop: Sequence[str], target: str, started: str = "") -> Transcript:
    """A transcript that waits to be recorded."""
    return Transcript(tuple(Step(event, "") for event in events), started=started, shop=tuple(shop), target=target)


def events_of(state: State) -> list[Event]:
    """The events that lead to a state that came without any: leave and bench first, then answers and refusals."""
    first: list[Event] = [Allowed(what) for what in state.allowed]
    if state.celsius != USUAL_CELSIUS:
        first.append(AtBench(state.celsius))
    return [*first, *state.answers.values(), *(Declined(cue) for cue in state.declined)]


def concluded(glance: Glance) -> dict[str, Any]:
    """What was concluded at a step, in the words and figures that a record keeps."""
    klass = max(glance.class_chances, key=lambda name: glance.class_chances[name])
    found: dict[str, Any] = {"class": klass, "class_chance": round(glance.class_chances[klass], _DIGITS)}
    for name, chances in (("polymer", glance.polymers), ("group", glance.cells)):
        if chances:
            found[name] = chances[0].symbol
            found[f"{name}_chance"] = round(chances[0].probability, _DIGITS)
    found["asks"] = glance.asks or "nothing"
    return found


def condensed(result: Result) -> dict[str, Any]:
    """A result with what a person needs to judge it."""
    filled = result.filled
    document: dict[str, Any] = {
        "status": result.status,
        "stopped": result.stopped,
        "class_stated": result.class_name,
        "class": {name: round(p, _DIGITS) for name, p in result.class_chances.items()},
        "none_of_these": round(result.none_of_these, _DIGITS),
        "polymers": _chances(result.polymers),
        "groups": _chances(result.cells),
        "filled": {"chance": round(filled.probability, _DIGITS), "with": _chances(filled.fillers)},
        "gate": result.gate.as_json(),
        "part": result.part.as_json() if result.part else None,
        "marking": dict(result.marking)["text_for_people"] if result.marking else None,
        "rival": result.rival.name if result.rival else None,
        "refuted_by": result.refuter.text if result.refuter else None,
        "asks": result.next.cue if result.next else None,
        "because": [_reason(because) for because in result.because],
        "sits_badly": [b.text for b in result.contradictions],
        "repeat": result.repeat,
        "open": [said.text for said in result.open_points],
        "next_steps": [said.text for said in result.next_steps],
        "wrong_calls": [
            {"if_it_is": w.if_it_is, "chance": round(w.probability, _DIGITS), "minutes": w.minutes}
            for w in result.wrong_calls
        ],
        "cautions": [caution.id for caution in result.cautions],
        "offer": result.offer,
    }
    return {key: value for key, value in document.items() if value not in (None, "", [])}


def _reason(because: Because) -> dict[str, Any]:
    said = {"text": because.text, "from": list(because.facts), "rule": because.rule, "source": list(because.source)}
    return {key: value for key, value in said.items() if value}


def _chances(chances: Sequence[Chance]) -> dict[str, float]:
    """Symbol to chance; a symbol that stands for two materials has their sum."""
    found: dict[str, float] = {}
    for chance in chances:
        if chance.probability >= _LEAST:
            found[chance.symbol] = found.get(chance.symbol, 0.0) + chance.probability
    return {symbol: round(p, _DIGITS) for symbol, p in found.items()}


def _step(moment: Moment) -> dict[str, Any]:
    event = moment.event
    step: dict[str, Any]
    if isinstance(event, TakenBack):
        step = {"taken_back": moment.cue or "nothing"}
    elif isinstance(event, Noted):
        return {"noted": _one_line(event.text)}
    elif isinstance(event, Allowed):
        step = {"allowed": event.what}
    elif isinstance(event, AtBench):
        step = {"bench": event.celsius}
    elif isinstance(event, Declined):
        step = {"declined": event.cue}
    elif isinstance(event, PutOff):
        step = {"put_off": event.cue}
    elif isinstance(event, WhatIf):
        step = {"what_if": event.cue, "value": _value(event.value, None)}
    else:
        step = {"answered": event.cue, "value": _value(event.value, event.uncertainty)}
        if event.sure != "medium":
            step["sure"] = event.sure
    if moment.how:
        step["how"] = moment.how
    return {**step, "then": concluded(moment.after)}


def _value(value: AnswerValue, uncertainty: float | None) -> object:
    if isinstance(value, str):
        return _one_line(value)
    if isinstance(value, float):
        return value if uncertainty is None else {"value": value, "uncertainty": round(uncertainty, 6)}
    doubt = {} if uncertainty is None else {"uncertainty": round(uncertainty, 6)}
    return [item if isinstance(item, str) else {"density": item[0], "result": item[1], **doubt} for item in value]


def _one_line(text: str) -> str:
    """Free text as it is read back: signs that no file may hold are shown, white space is single."""
    return " ".join(escaped(" ".join(text.split())).split())


def step_name(step: Mapping[str, Any]) -> str:
    """A step of a document in a few words: `grind = smears`, `taken back: grind`."""
    kind = next(iter(step))
    what = str(step[kind])
    if kind not in ("answered", "what_if"):
        return f"{kind.replace('_', ' ')}: {what}"
    value = step.get("value", "")
    said = ", ".join(map(_short, value)) if isinstance(value, list) else _short(value)
    return f"{'what if ' if kind == 'what_if' else ''}{what} = {said}"


def _short(value: Any) -> str:
    """One answer, a liquid or a measured figure in a few words."""
    if not isinstance(value, Mapping):
        return str(value)
    if "density" in value:
        return f"{value.get('result')} at {value['density']}"
    return f"{value.get('value')} (uncertainty {value.get('uncertainty')})"
