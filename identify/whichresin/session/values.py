"""Single answers read text-first by the kind of their cue; every fault is one sentence with its place."""

from __future__ import annotations

import math
from collections.abc import Iterable

from whichresin.knowledge.model import Cue, Model
from whichresin.knowledge.positions import Mapping, Node, Reading, Scalar, Sequence
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed, nearest

from .events import Answered, AnswerValue, Declined
from .nothing_said import says_nothing

DONT_KNOW = ("dont_know", "unknown", "")
SURENESS = ("low", "medium", "high")
_DENSITY_LOW, _DENSITY_HIGH = 0.2, 5.0  # g/cm3: outside, it is no plastic piece and probably a slip of the decimal
_LONGEST_TEXT = 200
_LIQUID_KEYS = ("density", "result", "uncertainty")


class BadAnswers(ValueError):
    """An answers file that cannot be used; the message is one sentence: file:line:column, what, what instead."""


def root_of(reading: Reading) -> Mapping:
    """The mapping that a file holds. Raises BadAnswers for the first fault found on reading it."""
    errors = [problem for problem in reading.problems if problem.level == "error"]
    if errors or reading.root is None:
        problem = errors[0]
        hint = f"; {problem.hint}" if problem.hint else ""
        place = f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file
        raise BadAnswers(f"{place}: {problem.sentence}{hint}")
    if not isinstance(reading.root, Mapping):
        raise bad(reading.root, "answers must be a mapping such as 'float_in_water: sinks', not a list or one word")
    return reading.root


def value_of(cue: Cue, node: Node) -> tuple[AnswerValue, float | None]:
    """(value, standard uncertainty in g/cm3 or None) of one answer. Raises BadAnswers with its place."""
    if cue.kind == "choice":
        return word_in(node, [v.id for v in cue.values], cue.id), None
    if cue.kind == "set":
        words = [v.id for v in cue.values]
        items = node.items if isinstance(node, Sequence) else (node,)
        if not items:
            raise bad(node, f"{cue.id} is empty; name at least one of {listed(words)}, or leave the cue out")
        return tuple(dict.fromkeys(word_in(item, words, cue.id) for item in items)), None
    if cue.kind == "number":
        if isinstance(node, Mapping):
            return _measured(cue, node)
        return _density(node, cue.id), None
    if cue.kind == "liquids":
        items = node.items if isinstance(node, Sequence) else (node,)
        read = [_liquid(item, cue.id) for item in items]
        doubts = [doubt for _, doubt in read if doubt is not None]
        return tuple(pair for pair, _ in read), max(doubts, default=None)  # one doubt counts for all: the widest
    text = text_of(node)
    if len(text) > _LONGEST_TEXT:
        raise bad(node, f"{cue.id} is longer than {_LONGEST_TEXT} characters; give the words that matter")
    return text, None


def event_of_words(model: Model, text: str) -> Answered | Declined:
    """One answer typed as `cue=value`; several words or liquids are separated by commas, a liquid is `1.10:floats`.

    Raises BadAnswers with one sentence.
    """
    name, equals, said = (part.strip() for part in text.partition("="))
    cue = model.cues.get(name)
    if cue is None:
        raise BadAnswers(f"there is no cue {shown(name)}{near(name, model.cues)}")
    if not equals:
        raise BadAnswers(f"{shown(name)} has no value; write {name}=VALUE")
    if said in DONT_KNOW or (cue.kind == "text" and says_nothing(said)):
        return Declined(cue.id)
    items = [_typed(cue, item.strip()) for item in said.split(",")] if cue.kind in ("set", "liquids") else None
    try:
        value, _ = value_of(cue, Sequence(tuple(items), name, 1, 1) if items else Scalar(said, name, 1, 1))
    except BadAnswers as error:
        raise BadAnswers(str(error).partition(": ")[2]) from None
    return Answered(cue.id, value)


def _typed(cue: Cue, item: str) -> Node:
    if cue.kind == "set":
        return Scalar(item, cue.id, 1, 1)
    density, _, result = item.partition(":")
    pairs = (("density", density.strip()), ("result", result.strip()))
    return Mapping(
        tuple((Scalar(key, cue.id, 1, 1), Scalar(word, cue.id, 1, 1)) for key, word in pairs), cue.id, 1, 1
    )


def _measured(cue: Cue, node: Mapping) -> tuple[AnswerValue, float | None]:
    for key, _ in node.pairs:
        if key.text not in ("value", "uncertainty"):
            raise bad(key, f"{shown(key.text)} is not a key of {cue.id}; use value and uncertainty")
    value, uncertainty = node.get("value"), node.get("uncertainty")
    if value is None:
        raise bad(node, f"{cue.id} has no value; write value: 1.14")
    if uncertainty is None:
        return _density(value, cue.id), None
    spread = number_in(uncertainty, "uncertainty")
    if not 0 < spread <= 1:
        raise bad(uncertainty, "uncertainty must be above 0 and at most 1 g/cm3")
    return _density(value, cue.id), spread


def _liquid(node: Node, cue: str) -> tuple[tuple[float, str], float | None]:
    if not isinstance(node, Mapping):
        raise bad(node, f"{cue} wants entries such as {{density: 1.10, result: floats}}")
    for key, _ in node.pairs:
        if key.text not in _LIQUID_KEYS:
            raise bad(key, f"{shown(key.text)} is not a key of {cue}{near(key.text, _LIQUID_KEYS)}")
    density, result, uncertainty = (node.get(key) for key in _LIQUID_KEYS)
    if density is None or result is None:
        raise bad(node, f"{cue} wants both density and result in every entry")
    word = word_in(result, ("floats", "neutral", "hangs", "sinks"), "result")
    doubt = None
    if uncertainty is not None:
        doubt = number_in(uncertainty, "uncertainty")
        if not 0 < doubt <= 0.2:
            raise bad(uncertainty, "the uncertainty of a liquid must be above 0 and at most 0.2 g/cm3")
    return (_density(density, cue), "neutral" if word == "hangs" else word), doubt


def _density(node: Node, name: str) -> float:
    value = number_in(node, name)
    if not _DENSITY_LOW <= value <= _DENSITY_HIGH:
        raise bad(node, f"{name} {value:g} is outside {_DENSITY_LOW:g} to {_DENSITY_HIGH:g} g/cm3; check the figure")
    return value


def number_in(node: Node, name: str) -> float:
    """A finite number; BadAnswers for anything else."""
    text = text_of(node)
    try:
        value = float(text) if "_" not in text else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise bad(node, f"{shown(text)} is not a number; {name} wants a figure such as 1.14")
    return value


def word_in(node: Node, words: Iterable[str], name: str) -> str:
    """One of the known words; BadAnswers names the nearest of them."""
    known = list(words)
    text = text_of(node)
    if text not in known:
        close = nearest(text, known)
        hint = f"did you mean {shown(close)}?" if close else f"use one of {listed(known, 20)}"
        raise bad(node, f"{shown(text)} is not an answer to {name}; {hint}")
    return text


def text_of(node: Node) -> str:
    """A text with its white space made single; BadAnswers for a list or mapping."""
    if not isinstance(node, Scalar):
        raise bad(node, "one word or text was expected here, not a list or mapping")
    return " ".join(node.text.split())


def near(found: str, known: Iterable[str]) -> str:
    """The end of a sentence on an unknown word: the nearest known one, or what is known."""
    close = nearest(found, known)
    return f"; did you mean {shown(close)}?" if close else f"; known are {listed(known)}"


def bad(node: Node, sentence: str) -> BadAnswers:
    """The error for what stands at a node."""
    return BadAnswers(f"{node.file}:{node.line}:{node.column}: {sentence}")
