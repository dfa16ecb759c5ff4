"""The 30 published cases through the whole interview: file, rules, marking, belief; as a user would give them.

Outside facts: tests/cases/identification_cases.yaml, each case with the tables it was put together from.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
import yaml
from test_identification_cases import CASES, members

from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.session.answers import answers_from_bytes
from whichresin.session.interview import consult


@pytest.fixture(scope="module")
def model() -> Model:
    found = load().model
    assert found is not None
    return found


@pytest.mark.parametrize("case", CASES["cases"], ids=lambda case: case["id"])
def test_published_case_as_an_answers_file(model: Model, case: Mapping[str, Any]) -> None:
    """The class first, the expected polymer among the three likeliest, and no false alarm of contradiction."""
    text = yaml.safe_dump({"answers": case["observations"], "allow_burn": True})
    result = consult(model, answers_from_bytes(model, text.encode(), case["id"]).state)
    chances = result.class_chances
    assert max(chances, key=lambda name: chances[name]) == case["class"]
    assert members(model, case) & {polymer.id for polymer in result.polymers[:3]}
    assert result.contradictions == ()
