"""A tray of plaques with known answers, from a YAML file that the teacher writes:

    tray: first tray of the workshop
    plaques:
      - {id: "1", compound: PP-TD20, proven_by: supplier's certificate}
      - {id: "2", compound: ABS, proven_by: own weighing, shows: {grind: smears}}

`shows` holds results that the teacher took from the plaque; the other tests are drawn from the knowledge.
"""

from __future__ import annotations

import os
from collections.abc import Mapping as Map
from dataclasses import dataclass, field

from whichresin.belief.likelihood import Answer
from whichresin.knowledge.model import Model
from whichresin.knowledge.positions import Mapping, Node, Scalar, Sequence, read
from whichresin.session.answers import BadAnswers, cue_answers
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed, nearest

_KEYS = ("tray", "about", "plaques")
_PLAQUE_KEYS = ("id", "compound", "proven_by", "shows")


class BadTray(ValueError):
    """A tray that cannot be used; the message is one sentence: file:line:column, what, what instead."""


@dataclass(frozen=True, slots=True)
class Plaque:
    """One plaque: its number, the place of its compound in the model, who proved it, and results taken from it."""

    id: str
    compound: int
    proven_by: str
    shows: Map[str, Answer] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tray:
    """All plaques of a file, in its order."""

    name: str
    plaques: tuple[Plaque, ...]

    def plaque(self, number: str) -> Plaque:
        """The plaque of this number. Raises BadTray."""
        for one in self.plaques:
            if one.id == number:
                return one
        held = listed(one.id for one in self.plaques)
        raise BadTray(f"there is no plaque {shown(number)} on the tray; it holds {held}")


def read_tray(model: Model, path: str | os.PathLike[str]) -> Tray:
    """Read a tray. Raises BadTray for the first fault."""
    reading = read(path)
    errors = [problem for problem in reading.problems if problem.level == "error"]
    if errors or reading.root is None:
        raise BadTray(str(errors[0]) if errors else f"{path}: the file is empty; see 'whichresin drill --help'")
    root = reading.root
    if not isinstance(root, Mapping):
        raise _bad(root, "a tray is a mapping with a list of 'plaques'")
    for key, _ in root.pairs:
        if key.text not in _KEYS:
            raise _bad(key, f"{shown(key.text)} is not a key of a tray{_near(key.text, _KEYS)}")
    rows = root.get("plaques")
    if not isinstance(rows, Sequence) or not rows.items:
        raise _bad(rows or root, "a tray needs a list of plaques, such as '- {id: \"1\", compound: ABS}'")
    places = {compound.id: place for place, compound in enumerate(model.compounds[:-1])}
    plaques = [_plaque(model, row, places) for row in rows.items]
    _check_twice(plaques, rows)
    name = root.get("tray")
    return Tray(name.text if isinstance(name, Scalar) else "", tuple(plaques))


def _plaque(model: Model, row: Node, places: Map[str, int]) -> Plaque:
    if not isinstance(row, Mapping):
        raise _bad(row, 'a plaque is a mapping such as {id: "1", compound: ABS}')
    for key, _ in row.pairs:
        if key.text not in _PLAQUE_KEYS:
            raise _bad(key, f"{shown(key.text)} is not a key of a plaque{_near(key.text, _PLAQUE_KEYS)}")
    number, compound = _text(row, "id"), _text(row, "compound")
    if compound.text not in places:
        near = nearest(compound.text, list(places))
        hint = f"; did you mean {shown(near)}?" if near else "; 'whichresin coverage' shows what is known"
        raise _bad(compound, f"there is no compound {shown(compound.text)}{hint}")
    proven = row.get("proven_by")
    return Plaque(
        number.text, places[compound.text], proven.text if isinstance(proven, Scalar) else "", _shows(model, row)
    )


def _shows(model: Model, row: Mapping) -> dict[str, Answer]:
    shows = row.get("shows")
    if shows is None:
        return {}
    if not isinstance(shows, Mapping):
        raise _bad(shows, "'shows' is a mapping of cue to result, such as {grind: smears}")
    try:
        return {cue: answer.value for cue, answer in cue_answers(model, shows).items()}
    except BadAnswers as error:
        raise BadTray(str(error)) from None


def _text(row: Mapping, key: str) -> Scalar:
    node = row.get(key)
    if not isinstance(node, Scalar) or not node.text:
        raise _bad(node or row, f"a plaque needs {shown(key)}")
    return node


def _check_twice(plaques: list[Plaque], rows: Sequence) -> None:
    seen: set[str] = set()
    for plaque, row in zip(plaques, rows.items, strict=True):
        if plaque.id in seen:
            raise _bad(row, f"plaque {shown(plaque.id)} stands twice; number them differently")
        seen.add(plaque.id)


def _near(word: str, known: tuple[str, ...]) -> str:
    near = nearest(word, list(known))
    return f"; did you mean {shown(near)}?" if near else f"; the keys are {', '.join(known)}"


def _bad(node: Node, sentence: str) -> BadTray:
    return BadTray(f"{node.file}:{node.line}:{node.column}: {sentence}")
