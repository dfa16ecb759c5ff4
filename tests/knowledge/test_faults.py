"""The check's lines, word for word and place for place: one seeded fault a case."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
import yaml
from small_knowledge import Small

import whichresin
from whichresin.knowledge.codes import CODES
from whichresin.training.checks import ALL

CASES = yaml.safe_load((Path(__file__).parent / "faults.yaml").read_text(encoding="utf-8"))
PACKAGE = Path(whichresin.__file__).parent
# Codes that no single change of one file of knowledge can bring about: see test_positions and test_layers.
ELSEWHERE = {
    "cannot-read", "empty-file", "no-such-file", "not-a-file", "not-text", "nothing-there", "overrides", "pack-needs",
    "stray-file",
    "too-deep",
    "too-large", "too-many-aliases", "too-many-nodes", "unknown-file",
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_each_fault_is_told_where_and_how(small: Small, case: dict[str, object]) -> None:
    """A trainer corrects a file by what one line says: the place, what was found, what was expected."""
    small.change(str(case["file"]), str(case["old"]), str(case["new"]))
    assert small.lines() == case["says"]


def test_the_small_knowledge_itself_is_sound(small: Small) -> None:
    """The cases above mean something only if the unchanged knowledge says nothing."""
    assert small.lines() == []


def test_all_faults_are_told_in_one_run_and_sorted(small: Small) -> None:
    """Nobody wants to run a check once per mistake."""
    small.change("knowledge/cues/grind.yaml", "minutes: 2", "minutes: two")
    small.change("knowledge/materials/polymers/pp.yaml", "weldable: yes", "weldable: maybe")
    small.change("knowledge/rules/water.yaml", "    because: Fuel.\n", "")
    found = [line.rpartition(" ")[2] for line in small.lines()]
    assert found == ["[bad-number]", "[unknown-word]", "[missing-key]"]


def test_every_code_has_its_line_and_its_case() -> None:
    """A code that nobody explains, or a check that nothing shows to work, is worth nothing to an author."""
    used: set[str] = set()
    for path in [*(PACKAGE / "knowledge").glob("*.py"), *(PACKAGE / "training").glob("*.py")]:
        if path.name == "codes.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in CODES:
                used.add(node.value)
    assert used == set(CODES)
    shown = {line.rpartition("[")[2].rstrip("]") for case in CASES for line in case["says"]}
    assert shown <= set(CODES) | set(ALL)
    assert set(CODES) - shown == ELSEWHERE
    assert set(ALL) - shown == {"unused-cue", "unused-source"}  # need more than one change: test_pages
