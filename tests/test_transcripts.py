"""Recorded interviews say what they said: the same bytes, and the conclusions that the scenario was written for."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from whichresin.knowledge.model import Model
from whichresin.session.replay import interviews_in, record_of, replay

FOLDER = Path(__file__).parents[1] / "transcripts"
INTERVIEWS = interviews_in(FOLDER)

# What each invented part is, by the one who invented it: class, symbol, filled, gate.
MEANT = {
    "talc-filled-cover": ("thermoplastic", "PP", True, "open"),
    "glass-filled-bracket": ("thermoplastic", "PA6", True, "open"),
    "laminate-hood": ("thermoset", "UP-GF", True, "open"),
    "abs-grille": ("thermoplastic", "ABS", False, "open"),
    "cross-linked-tank": ("thermoset", "PE-X", False, "shut"),
}


@pytest.mark.parametrize("path", INTERVIEWS, ids=lambda path: path.stem)
def test_replays_byte_for_byte(shipped: Model, path: Path) -> None:
    """A change of knowledge shows here first: read the difference, then `whichresin replay --rewrite transcripts`."""
    replayed = replay(shipped, path)
    assert replayed.differences == ()


@pytest.mark.parametrize("name", sorted(MEANT))
def test_concludes_what_the_part_is(name: str) -> None:
    """Class first, the polymer among the top three, filled or not, and the gate."""
    klass, symbol, filled, gate = MEANT[name]
    result = json.loads(record_of(FOLDER / f"{name}.yaml").read_text(encoding="utf-8"))
    assert result["class_stated"] == klass
    assert symbol in [polymer["symbol"] for polymer in result["polymers"][:3]]
    assert (result["filled"]["probability"] > 0.5) == filled
    assert result["gate"]["state"] == gate
    assert (result["next"] is None) or gate == "open"


def test_every_recorded_interview_is_meant_and_has_its_record() -> None:
    """A story without an expectation protects nothing; a record without a story is litter."""
    assert {path.stem for path in INTERVIEWS} == set(MEANT)
    assert {path.name for path in FOLDER.glob("*.json")} == {record_of(path).name for path in INTERVIEWS}
