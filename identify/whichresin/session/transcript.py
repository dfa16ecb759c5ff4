"""A recorded interview as it stands in a file: events in order, and what was concluded when it was recorded.

    transcript: 1
    about: what the scenario is
    knowledge: {version: 0.1.0, key: 1f0c...}
    shop: [welder]
    steps:
    - {answered: grind, value: smears, then: {class: thermoplastic, ...}}
    - {taken_back: grind, then: {...}}
    result: {...}

A step is one event: answered, declined, put_off, allowed, bench (degrees
Celsius), taken_back, noted or what_if. `then` and `result` are
written by the recorder (`record.py`); a transcript without them is one that waits to be recorded.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field

from whichresin.knowledge.model import Model
from whichresin.knowledge.positions import Mapping, Node, Scalar, Sequence, read
from whichresin.vocabulary.text import shown

from .events import Allowed, Answered, AtBench, Declined, Event, Noted, PutOff, TakenBack, WhatIf
from .state import TARGETS, State, fold
from .typed import bench_celsius
from .values import SURENESS, BadAnswers, bad, near, root_of, text_of, value_of, word_in

FORMAT = 1
ALLOWANCES = ("burn", "solvent")
_KEYS = (
    "transcript", "about", "truth", "ends", "started", "knowledge", "shop", "target", "steps", "result",
)  # fmt: skip
_STEP_KEYS = ("value", "sure", "how", "then")
_KINDS = ("answered", "declined", "put_off", "allowed", "bench", "taken_back", "noted", "what_if")

Plain = str | list["Plain"] | dict[str, "Plain"]


@dataclass(frozen=True, slots=True)
class Step:
    """One event and what was concluded after it, as texts. `event` is None where the model has no such question or
    answer any more; `fault` then says so."""

    event: Event | None
    then: Plain
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Transcript:
    """A recorded interview. `truth` is what the part really is, where somebody knows; `ends` how it came out."""

    steps: tuple[Step, ...]
    about: str = ""
    truth: dict[str, str] = field(default_factory=dict)
    ends: str = ""
    started: str = ""
    knowledge: dict[str, str] = field(default_factory=dict)
    shop: tuple[str, ...] = ()
    target: str = "decision"
    result: Plain = ""

    @property
    def events(self) -> list[Event]:
        """The events that the model still understands, in order."""
        return [step.event for step in self.steps if step.event is not None]


def told_state(transcript: Transcript) -> State:
    """The state that the events lead to."""
    return fold(transcript.events, State(shop=transcript.shop, target=transcript.target))


def read_transcript(model: Model, path: str | os.PathLike[str], strict: bool = True) -> Transcript:
    """Read a transcript. Raises BadAnswers for a file that is none and, unless not `strict`, for an event that the
    model does not understand."""
    root = root_of(read(path))
    if root.get("transcript") is None:
        raise bad(
            root,
            "this is no transcript of an interview (it has no 'transcript: 1'); "
            "'whichresin interview --answers FILE --record NEW' makes one of an answers file",
        )
    return transcript_of(model, root, strict)


def is_transcript(path: str | os.PathLike[str]) -> bool:
    """Whether a file is a transcript and not an answers file. Raises BadAnswers for a file that cannot be read."""
    return root_of(read(path)).get("transcript") is not None


def transcript_of(model: Model, root: Mapping, strict: bool = True) -> Transcript:
    """A transcript from the mapping of its file."""
    texts = {"about": "", "ends": "", "started": ""}
    named: dict[str, dict[str, str]] = {"truth": {}, "knowledge": {}}
    shop: tuple[str, ...] = ()
    target = "decision"
    result: Plain = ""
    steps: tuple[Step, ...] = ()
    for key, value in root.pairs:
        name = key.text
        if name not in _KEYS:
            raise bad(key, f"{shown(name)} is not a key of a transcript{near(name, _KEYS)}")
        if name == "transcript" and text_of(value) != str(FORMAT):
            found = shown(text_of(value))
            raise bad(value, f"this is a transcript of format {found}; this version reads format {FORMAT}")
        if name in texts:
            texts[name] = text_of(value)
        elif name in named:
            named[name] = _texts_by_name(value)
        elif name == "shop":
            shop = tuple(text_of(item) for item in _items(value))
        elif name == "target":
            target = word_in(value, TARGETS, "target")
        elif name == "steps":
            steps = tuple(_step(model, item, strict) for item in _items(value))
        elif name == "result":
            result = plain(value)
    return Transcript(
        steps,
        texts["about"],
        named["truth"],
        texts["ends"],
        texts["started"],
        named["knowledge"],
        shop,
        target,
        result,
    )


def plain(node: Node) -> Plain:
    """A tree of texts: what was written, without its places."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key.text: plain(value) for key, value in node.pairs}


def _step(model: Model, node: Node, strict: bool) -> Step:
    if not isinstance(node, Mapping) or not node.pairs or node.pairs[0][0].text not in _KINDS:
        raise bad(node, f"a step starts with its event: one of {', '.join(_KINDS)}")
    (kind, what), rest = node.pairs[0], node.pairs[1:]
    for key, _ in rest:
        if key.text not in _STEP_KEYS:
            raise bad(key, f"{shown(key.text)} is not a key of a step{near(key.text, _STEP_KEYS)}")
    then = node.get("then")
    written = plain(then) if then is not None else ""
    try:
        return Step(_event(model, kind.text, what, node), written)
    except BadAnswers as error:
        if strict:
            raise
        return Step(None, written, f"{kind.text} {text_of(what)}: {error}")


def _event(model: Model, kind: str, what: Node, node: Mapping) -> Event:
    word = text_of(what)
    if kind == "taken_back":
        return TakenBack()
    if kind == "noted":
        return Noted(word)
    if kind == "allowed":
        return Allowed(word_in(what, ALLOWANCES, "allowed"))
    if kind == "bench":
        try:
            return AtBench(bench_celsius(word))
        except ValueError as error:
            raise bad(what, str(error)) from None
    cue = model.cues.get(word)
    if cue is None:
        raise bad(what, f"there is no cue {shown(word)}{near(word, model.cues)}")
    if kind == "declined":
        return Declined(cue.id)
    if kind == "put_off":
        return PutOff(cue.id)
    said = node.get("value")
    if said is None:
        raise bad(node, f"{kind} {cue.id} has no value")
    value, uncertainty = value_of(cue, said)
    if kind == "what_if":
        return WhatIf(cue.id, value)
    sure = node.get("sure")
    return Answered(cue.id, value, word_in(sure, SURENESS, "sure") if sure is not None else "medium", uncertainty)


def _texts_by_name(node: Node) -> dict[str, str]:
    if not isinstance(node, Mapping):
        raise bad(node, "names and words were expected here, such as {class: thermoset}")
    return {key.text: text_of(value) for key, value in node.pairs}


def _items(node: Node) -> tuple[Node, ...]:
    return node.items if isinstance(node, Sequence) else (node,)
