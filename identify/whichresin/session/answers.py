"""An answers file, read text-first and turned into a state; every fault is one sentence with its place."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable
from dataclasses import dataclass, replace

from whichresin.knowledge.model import Cue, Model
from whichresin.knowledge.positions import Mapping, Node, Reading, Scalar, Sequence, read, read_bytes
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed, nearest

from .events import Answered, AnswerValue
from .state import TARGETS, State

SURENESS = ("low", "medium", "high")
DONT_KNOW = ("dont_know", "unknown", "")
_RESERVED = (
    "answers", "part", "marking", "sure", "allow_burn", "allow_solvent", "shop", "target", "damage", "context",
    "about",
)  # fmt: skip
_YES, _NO = ("yes", "true", "on"), ("no", "false", "off")
_DENSITY_LOW, _DENSITY_HIGH = 0.2, 5.0  # g/cm3: outside, it is no plastic piece and probably a slip of the decimal
_LONGEST_TEXT = 200


class BadAnswers(ValueError):
    """An answers file that cannot be used; the message is one sentence: file:line:column, what, what instead."""


@dataclass(frozen=True, slots=True)
class AnswersFile:
    """What an answers file holds: the state it leads to, and words that belong to the plan."""

    state: State
    damage: str = ""
    context: str = ""
    about: str = ""


def read_answers(model: Model, path: str | os.PathLike[str]) -> AnswersFile:
    """Read an answers file. Raises BadAnswers with one sentence for the first fault."""
    return _from_reading(model, read(path))


def answers_from_bytes(model: Model, data: bytes, name: str) -> AnswersFile:
    """As `read_answers`, from bytes in hand (standard input)."""
    return _from_reading(model, read_bytes(data, name))


def _from_reading(model: Model, reading: Reading) -> AnswersFile:
    errors = [problem for problem in reading.problems if problem.level == "error"]
    if errors or reading.root is None:
        problem = errors[0]
        hint = f"; {problem.hint}" if problem.hint else ""
        place = f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file
        raise BadAnswers(f"{place}: {problem.sentence}{hint}")
    if not isinstance(reading.root, Mapping):
        raise _bad(reading.root, "answers must be a mapping such as 'float_in_water: sinks', not a list or one word")
    return _from_mapping(model, reading.root)


def _from_mapping(model: Model, root: Mapping) -> AnswersFile:
    wrapped = root.get("answers")
    if wrapped is not None and not isinstance(wrapped, Mapping):
        raise _bad(wrapped, "answers must be a mapping of cue to value")
    cues: list[tuple[Scalar, Node]] = list(wrapped.pairs) if isinstance(wrapped, Mapping) else []
    free = {"damage": "", "context": "", "about": ""}
    state = State()
    sure: Node | None = None
    for key, value in root.pairs:
        name = key.text
        if name in ("answers", "sure"):
            sure = value if name == "sure" else sure
        elif name in ("part", "marking"):
            cues.insert(0, (key, value))
        elif name in free:
            free[name] = _text(value)
        elif name in ("allow_burn", "allow_solvent"):
            if _yes_or_no(value):
                state = replace(state, allowed=tuple(sorted({*state.allowed, *allowance(name.removeprefix("allow_"))})))
        elif name == "shop":
            state = replace(state, shop=tuple(dict.fromkeys(map(shop_word, _texts(value)))))
        elif name == "target":
            state = replace(state, target=_word(value, TARGETS, "target"))
        elif wrapped is None:
            cues.append((key, value))
        else:
            raise _bad(key, f"{shown(name)} is not a key of an answers file{_near(name, _RESERVED)}")
    sureness = _sureness(model, sure)
    for key, value in cues:
        state = _answer(model, state, key, value, sureness)
    return AnswersFile(state, **free)


def _answer(model: Model, state: State, key: Scalar, node: Node, sureness: dict[str, str]) -> State:
    cue = model.cues.get(key.text)
    if cue is None:
        raise _bad(key, f"there is no cue {shown(key.text)}{_near(key.text, (*model.cues, *_RESERVED))}")
    if isinstance(node, Scalar) and node.text in DONT_KNOW:
        return replace(state, declined=(*state.declined, cue.id))
    value, uncertainty = _value(cue, node)
    return state.with_answer(Answered(cue.id, value, sureness.get(cue.id, "medium"), uncertainty))


def _value(cue: Cue, node: Node) -> tuple[AnswerValue, float | None]:
    if cue.kind == "choice":
        return _word(node, [v.id for v in cue.values], cue.id), None
    if cue.kind == "set":
        words = [v.id for v in cue.values]
        items = node.items if isinstance(node, Sequence) else (node,)
        if not items:
            raise _bad(node, f"{cue.id} is empty; name at least one of {listed(words)}, or leave the cue out")
        return tuple(dict.fromkeys(_word(item, words, cue.id) for item in items)), None
    if cue.kind == "number":
        if isinstance(node, Mapping):
            return _measured(cue, node)
        return _density(node, cue.id), None
    if cue.kind == "liquids":
        items = node.items if isinstance(node, Sequence) else (node,)
        return tuple(_liquid(item, cue.id) for item in items), None
    text = _text(node)
    if len(text) > _LONGEST_TEXT:
        raise _bad(node, f"{cue.id} is longer than {_LONGEST_TEXT} characters; give the words that matter")
    return text, None


def _measured(cue: Cue, node: Mapping) -> tuple[AnswerValue, float | None]:
    for key, _ in node.pairs:
        if key.text not in ("value", "uncertainty"):
            raise _bad(key, f"{shown(key.text)} is not a key of {cue.id}; use value and uncertainty")
    value, uncertainty = node.get("value"), node.get("uncertainty")
    if value is None:
        raise _bad(node, f"{cue.id} has no value; write value: 1.14")
    if uncertainty is None:
        return _density(value, cue.id), None
    spread = _number(uncertainty, "uncertainty")
    if not 0 < spread <= 1:
        raise _bad(uncertainty, "uncertainty must be above 0 and at most 1 g/cm3")
    return _density(value, cue.id), spread


def _liquid(node: Node, cue: str) -> tuple[float, str]:
    if not isinstance(node, Mapping):
        raise _bad(node, f"{cue} wants entries such as {{density: 1.10, result: floats}}")
    for key, _ in node.pairs:
        if key.text not in ("density", "result"):
            raise _bad(key, f"{shown(key.text)} is not a key of {cue}{_near(key.text, ('density', 'result'))}")
    density, result = node.get("density"), node.get("result")
    if density is None or result is None:
        raise _bad(node, f"{cue} wants both density and result in every entry")
    return _density(density, cue), _word(result, ("floats", "sinks"), "result")


def _density(node: Node, name: str) -> float:
    value = _number(node, name)
    if not _DENSITY_LOW <= value <= _DENSITY_HIGH:
        raise _bad(node, f"{name} {value:g} is outside {_DENSITY_LOW:g} to {_DENSITY_HIGH:g} g/cm3; check the figure")
    return value


def _number(node: Node, name: str) -> float:
    text = _text(node)
    try:
        value = float(text) if "_" not in text else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise _bad(node, f"{shown(text)} is not a number; {name} wants a figure such as 1.14")
    return value


def _sureness(model: Model, node: Node | None) -> dict[str, str]:
    if node is None:
        return {}
    if not isinstance(node, Mapping):
        raise _bad(node, "sure must be a mapping of cue to low, medium or high")
    found = {}
    for key, value in node.pairs:
        if key.text not in model.cues:
            raise _bad(key, f"there is no cue {shown(key.text)}{_near(key.text, model.cues)}")
        found[key.text] = _word(value, SURENESS, "sure")
    return found


def _word(node: Node, words: Iterable[str], name: str) -> str:
    known = list(words)
    text = _text(node)
    if text not in known:
        near = nearest(text, known)
        hint = f"did you mean {shown(near)}?" if near else f"use one of {listed(known, 20)}"
        raise _bad(node, f"{shown(text)} is not an answer to {name}; {hint}")
    return text


def _yes_or_no(node: Node) -> bool:
    text = _text(node).lower()
    if text not in (*_YES, *_NO):
        raise _bad(node, f"{shown(text)} is neither yes nor no")
    return text in _YES


def _texts(node: Node) -> list[str]:
    return [_text(item) for item in node.items] if isinstance(node, Sequence) else [_text(node)]


def _text(node: Node) -> str:
    if not isinstance(node, Scalar):
        raise _bad(node, "one word or text was expected here, not a list or mapping")
    return " ".join(node.text.split())


def allowance(what: str) -> tuple[str, ...]:
    """What leave for a kind of test covers: leave to burn covers a drop of solvent, the lesser hazard, too."""
    return ("burn", "solvent") if what == "burn" else (what,)


def shop_word(text: str) -> str:
    """An item of the shop as one word: 'Plastic welder' is plastic_welder."""
    return "_".join(text.lower().replace("-", " ").replace("_", " ").split())


def _near(found: str, known: Iterable[str]) -> str:
    near = nearest(found, known)
    return f"; did you mean {shown(near)}?" if near else f"; known are {listed(known)}"


def _bad(node: Node, sentence: str) -> BadAnswers:
    return BadAnswers(f"{node.file}:{node.line}:{node.column}: {sentence}")
