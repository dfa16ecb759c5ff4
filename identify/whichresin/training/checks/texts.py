"""Texts that a person reads on a narrow screen or hears from a screen reader."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.positions import Mapping, Scalar
from whichresin.knowledge.schema import Row
from whichresin.vocabulary.text import shown

from .base import Finding, check

# Symbols that screen readers say as a word. Everything else of Unicode's symbol classes is skipped or spelled out
# by one reader and not by the next.
_SAID = frozenset("+=<>%&/°$€£×±µ^|~")
_RUN = re.compile(r"([^\w\s])\1{2,}")
_UNDERSCORED = re.compile(r"\w_\w")
_SHOWN = ("name", "question", "how", "fooled_by", "lesson", "text", "wear", "because", "gate_reason", "hazard", "means")


@check(
    "hard-to-say",
    "warning",
    "a name or text holds what a screen reader cannot say",
    "Write it in words: 'to' instead of an arrow, 'foam pores' instead of foam_pores, no drawn lines.",
)
def hard_to_say(compiled: Compiled) -> Iterator[Finding]:
    """Pictures made of letters, arrows, emoji and words joined by underscores are read out letter by letter, or
    not at all. Somebody works by ear, with the hands full."""
    for row in _rows(compiled):
        yield from _hard_in(row)
    for name, entry in compiled.tree.facts.items():
        node = entry.row.raw("values")
        for word, value in node.pairs if isinstance(node, Mapping) else ():
            fault = _fault(value.text) if isinstance(value, Scalar) else ""
            if fault:
                sentence = f"the words for {shown(word.text)} of fact {shown(name)} hold {fault}"
                yield Finding(value, f"{sentence}, which a screen reader cannot say")


@lru_cache(maxsize=8192)  # asked again after every change elsewhere
def _hard_in(row: Row) -> tuple[Finding, ...]:
    faults = ((key, _fault(row.text(key))) for key in _SHOWN if key in row.nodes)
    return tuple(
        Finding(row.at(key), f"{key} holds {fault}, which a screen reader cannot say") for key, fault in faults if fault
    )


def _fault(text: str) -> str:
    if text and not any(letter.isalnum() for letter in text):
        return "neither letter nor digit"
    for letter in "" if text.isascii() else text:
        if letter not in _SAID and unicodedata.category(letter) in ("So", "Sm", "Sk", "Co", "Cn"):
            return shown(letter)
    run = _RUN.search(text)
    if run is not None:
        return shown(run.group())
    joined = _UNDERSCORED.search(text)
    return "a word with an underscore" if joined is not None else ""


def _rows(compiled: Compiled) -> Iterator[Row]:
    tree = compiled.tree
    for kind in (tree.polymers, tree.fillers, tree.parts, tree.rules, tree.cells, tree.cautions):
        for entry in kind.values():
            yield entry.row
    for entry in tree.cues.values():
        yield entry.row
        yield from entry.row.rows("values")


@check(
    "same-text",
    "warning",
    "two answers of a cue read the same on the screen",
    "Say what makes them different.",
)
def same_text(compiled: Compiled) -> Iterator[Finding]:
    """Two answers that cannot be told apart by reading are chosen by chance."""
    for name, entry in compiled.tree.cues.items():
        first: dict[str, str] = {}
        for value in entry.row.rows("values"):
            text = " ".join(value.text("text").casefold().split())
            other = first.setdefault(text, value.text("id"))
            if text and other != value.text("id"):
                sentence = f"answers {shown(other)} and {shown(value.text('id'))} of cue {shown(name)} read the same"
                yield Finding(value.at("text"), sentence)
