"""A real addition made with the guide alone: a new plastic with what it answers, a cue, a rule and a record."""

from __future__ import annotations

from pathlib import Path

import pytest

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.model import Model
from whichresin.session.answers import read_answers
from whichresin.session.interview import consult
from whichresin.session.result import Result
from whichresin.training.check import Checked, check
from whichresin.training.exercised import untried

FOLDER = Path(__file__).parents[1] / "example_pack"
PACK = FOLDER / "soft-grips"
RECORD = FOLDER / "records" / "strimmer-grip.yaml"


@pytest.fixture(scope="module")
def checked() -> Checked:
    return check([str(PACK)])


@pytest.fixture(scope="module")
def compiled(checked: Checked) -> Compiled:
    assert checked.compiled is not None
    return checked.compiled


@pytest.fixture(scope="module")
def model(compiled: Compiled) -> Model:
    assert compiled.model is not None
    return compiled.model


def test_the_check_has_nothing_to_say(checked: Checked) -> None:
    """No error, no warning, no note: a pack that only adds takes the place of nothing."""
    assert [str(one) for one in checked.problems] == []


def test_every_condition_of_its_rule_is_exercised(compiled: Compiled) -> None:
    """What is asked of the shipped rules is asked of the example as well."""
    own = {one.id for one in compiled.rules if "soft-grips" in one.row.node.file}
    assert own == {"fused-skin-so-it-melts"}
    assert [one.part for one in untried(compiled) if one.rule in own] == []


def told(model: Model, path: Path) -> Result:
    return consult(model, read_answers(model, path).state)


@pytest.mark.parametrize("path", [RECORD, FOLDER / "jobs" / "strimmer-grip.yaml"], ids=["record", "answers"])
def test_the_part_of_the_record_is_named(path: Path, model: Model) -> None:
    """The certified grip is called what it is, repaired as what it is, and the pack's own rule gives its reason."""
    result = told(model, path)
    assert result.polymers[0].id == "TPS-SEBS"
    assert max(result.cells, key=lambda one: one.probability).id == "polyolefin"
    assert "fused-skin-so-it-melts" in {reason.rule for reason in result.because}


def test_without_the_pack_the_part_is_another(model: Model, shipped: Model) -> None:
    """The addition makes a difference: the shipped knowledge cannot name the part, and does not know the cue."""
    assert "TPS-SEBS" not in shipped.materials and "two_shot" not in shipped.cues
    assert {"TPS-SEBS", "TPS-SEBS-KD20", "TPS-SEBS-KD40"} <= {one.id for one in model.compounds}


def test_what_the_material_says_of_itself_counts(model: Model) -> None:
    """Its rows are narrowed to it, by filler where they say so, and no other material moves."""
    table = model.cues["grind"].table
    assert table is not None
    row = {one.id: table.rows[table.row_of[place]] for place, one in enumerate(model.compounds)}
    places = [value.id for value in model.cues["grind"].values]
    gummy, both = places.index("gummy"), places.index("powder_and_smear")
    assert row["TPS-SEBS"][gummy] > row["TPS-SEBS-KD20"][gummy] > row["PP"][gummy]
    assert row["TPS-SEBS-KD20"][both] > row["TPS-SEBS"][both]
