"""Recorded interviews say what they said: the same bytes, and the ending that whoever knows the part wrote down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from whichresin.knowledge.model import Model
from whichresin.knowledge.positions import read
from whichresin.session.course import new_desk
from whichresin.session.replay import interviews_in, replay
from whichresin.session.transcript import plain
from whichresin.session.weighed import Desk

FOLDER = Path(__file__).parents[1] / "transcripts"
INTERVIEWS = interviews_in(FOLDER)


@pytest.fixture(scope="module")
def desk(shipped: Model) -> Desk:
    """One desk for all of them: what it keeps warm may change no conclusion."""
    return new_desk(shipped)


def document(path: Path) -> dict[str, Any]:
    root = read(path).root
    assert root is not None
    return plain(root)  # type: ignore[return-value]


@pytest.mark.parametrize("path", INTERVIEWS, ids=lambda path: path.stem)
def test_replays_to_the_same_conclusions(desk: Desk, path: Path) -> None:
    """A change of knowledge shows here first: read the difference, then `whichresin replay --rewrite transcripts`."""
    replayed = replay(desk, path)
    assert replayed.differences == ()


def ending(result: dict[str, Any], truth: dict[str, str]) -> str:
    """How an interview came out for one who knows what the part is."""
    if result["gate"]["state"] == "shut":
        return "referred"
    if result["status"] in ("unknown", "contradiction"):
        return str(result["status"])
    stated, first = result["class_stated"], list(result["polymers"])[:3]
    if stated not in ("undetermined", truth["class"]) or (
        result["status"] == "concluded" and truth["group"] != next(iter(result["groups"]))
    ):
        return "wrong"
    if stated == "undetermined" or result["status"] == "open":
        return "open"
    return "right" if truth["polymer"] in first else "polymer missed"


@pytest.mark.parametrize("path", INTERVIEWS, ids=lambda path: path.stem)
def test_ends_as_its_file_says(path: Path) -> None:
    """Each tells what the part really is and how the tool came out; a wrong ending is kept and called wrong."""
    told = document(path)
    assert {"class", "polymer", "group", "filled"} <= set(told["truth"])
    assert told["about"].startswith("Invented.")
    assert told["ends"] == ending(told["result"], told["truth"])
