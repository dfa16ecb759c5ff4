"""An answers file, read text-first and turned into a state; every fault is one sentence with its place."""

from __future__ import annotations

import os
from collections.abc import Mapping as Figures
from dataclasses import dataclass, field, replace

from whichresin.knowledge.model import Model
from whichresin.knowledge.positions import Mapping, Node, Reading, Scalar, Sequence, read, read_bytes
from whichresin.vocabulary.text import shown

from .events import Answered
from .nothing_said import says_nothing
from .state import TARGETS, State
from .transcript import told_state, transcript_of
from .values import DONT_KNOW, SURENESS, bad, near, number_in, root_of, text_of, value_of, word_in
from .values import BadAnswers as BadAnswers

_RESERVED = (
    "answers", "part", "marking", "sure", "allow_burn", "allow_solvent", "shop", "target", "damage", "context",
    "about", "size", "temperature",
)  # fmt: skip
_YES, _NO = ("yes", "true", "on"), ("no", "false", "off")
_COLDEST, _WARMEST = 5.0, 35.0  # C, a bench at which liquids are known


@dataclass(frozen=True, slots=True)
class AnswersFile:
    """What an answers file holds: the state it leads to, and words that belong to the plan."""

    state: State
    damage: str = ""
    context: str = ""
    about: str = ""
    size: Figures[str, float] = field(default_factory=dict)  # of damage and repair, mm; repair/size.py
    celsius: float | None = None  # of the shop, where the file says it


def read_answers(model: Model, path: str | os.PathLike[str]) -> AnswersFile:
    """Read an answers file, or the answers of a transcript. Raises BadAnswers with one sentence on the first fault."""
    return _from_reading(model, read(path))


def answers_from_bytes(model: Model, data: bytes, name: str) -> AnswersFile:
    """As `read_answers`, from bytes in hand (standard input)."""
    return _from_reading(model, read_bytes(data, name))


def _from_reading(model: Model, reading: Reading) -> AnswersFile:
    root = root_of(reading)
    if root.get("transcript") is not None:
        transcript = transcript_of(model, root)
        return AnswersFile(told_state(transcript), about=transcript.about)
    return _from_mapping(model, root)


def _from_mapping(model: Model, root: Mapping) -> AnswersFile:
    wrapped = root.get("answers")
    if wrapped is not None and not isinstance(wrapped, Mapping):
        raise bad(wrapped, "answers must be a mapping of cue to value")
    cues: list[tuple[Scalar, Node]] = list(wrapped.pairs) if isinstance(wrapped, Mapping) else []
    free = {"damage": "", "context": "", "about": ""}
    state = State()
    sizes: dict[str, float] = {}
    celsius: float | None = None
    sure: Node | None = None
    for key, value in root.pairs:
        name = key.text
        if name in ("answers", "sure"):
            sure = value if name == "sure" else sure
        elif name in ("part", "marking"):
            cues.insert(0, (key, value))
        elif name in free:
            free[name] = text_of(value)
        elif name in ("allow_burn", "allow_solvent"):
            if _yes_or_no(value):
                state = replace(state, allowed=tuple(sorted({*state.allowed, *allowance(name.removeprefix("allow_"))})))
        elif name == "shop":
            state = replace(state, shop=tuple(dict.fromkeys(map(shop_word, _texts(value)))))
        elif name == "temperature":
            celsius = _bench_celsius(value)
            state = replace(state, celsius=celsius)
        elif name == "size":
            sizes = _sizes(value)
        elif name == "target":
            state = replace(state, target=word_in(value, TARGETS, "target"))
        elif wrapped is None:
            cues.append((key, value))
        else:
            raise bad(key, f"{shown(name)} is not a key of an answers file{near(name, _RESERVED)}")
    sureness = _sureness(model, sure)
    for key, value in cues:
        state = _answer(model, state, key, value, sureness)
    return AnswersFile(state, **free, size=sizes, celsius=celsius)


def cue_answers(model: Model, root: Mapping) -> dict[str, Answered]:
    """The answers in a mapping of cue to value inside some other file. Raises BadAnswers for the first fault."""
    state = State()
    for key, value in root.pairs:
        state = _answer(model, state, key, value, {})
    return dict(state.answers)


def _answer(model: Model, state: State, key: Scalar, node: Node, sureness: dict[str, str]) -> State:
    cue = model.cues.get(key.text)
    if cue is None:
        raise bad(key, f"there is no cue {shown(key.text)}{near(key.text, (*model.cues, *_RESERVED))}")
    if isinstance(node, Scalar) and (node.text in DONT_KNOW or (cue.kind == "text" and says_nothing(node.text))):
        return replace(state, declined=(*state.declined, cue.id))
    value, uncertainty = value_of(cue, node)
    return state.with_answer(Answered(cue.id, value, sureness.get(cue.id, "medium"), uncertainty))


def _bench_celsius(node: Node) -> float:
    value = number_in(node, "temperature")
    if not _COLDEST <= value <= _WARMEST:
        raise bad(
            node,
            f"temperature {value:g} is outside {_COLDEST:g} to {_WARMEST:g} C: bring bench and liquids to room "
            "temperature, in degrees Celsius",
        )
    return value


def _sureness(model: Model, node: Node | None) -> dict[str, str]:
    if node is None:
        return {}
    if not isinstance(node, Mapping):
        raise bad(node, "sure must be a mapping of cue to low, medium or high")
    found = {}
    for key, value in node.pairs:
        if key.text not in model.cues:
            raise bad(key, f"there is no cue {shown(key.text)}{near(key.text, model.cues)}")
        found[key.text] = word_in(value, SURENESS, "sure")
    return found


def _sizes(node: Node) -> dict[str, float]:
    """Figures by key; whether they can be is judged where they are used."""
    from whichresin.repair.size import KEYS

    if not isinstance(node, Mapping):
        raise bad(node, "size must be a mapping in mm, such as {length: 150, width: 0, thickness: 3, sides: 2}")
    for key, _ in node.pairs:
        if key.text not in KEYS:
            raise bad(key, f"{shown(key.text)} is not a size{near(key.text, KEYS)}")
    return {key.text: number_in(value, key.text) for key, value in node.pairs}


def _yes_or_no(node: Node) -> bool:
    text = text_of(node).lower()
    if text not in (*_YES, *_NO):
        raise bad(node, f"{shown(text)} is neither yes nor no")
    return text in _YES


def _texts(node: Node) -> list[str]:
    return [text_of(item) for item in node.items] if isinstance(node, Sequence) else [text_of(node)]


def allowance(what: str) -> tuple[str, ...]:
    """What leave for a kind of test covers: leave to burn covers a drop of solvent, the lesser hazard, too."""
    return ("burn", "solvent") if what == "burn" else (what,)


def shop_word(text: str) -> str:
    """An item of the shop as one word: 'Plastic welder' is plastic_welder."""
    return "_".join(text.lower().replace("-", " ").replace("_", " ").split())
