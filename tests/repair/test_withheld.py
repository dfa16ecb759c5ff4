"""A conclusion that was withheld is no leave to work: not on the screen, not on the page, not in the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jobs import TALC_COVER

from whichresin.knowledge.model import Model
from whichresin.repair.decide import make_plan
from whichresin.session.interview import Interview
from whichresin.session.planned import case_of
from whichresin.session.result import Result
from whichresin.terminal.ending import ending_lines, group_text, status_text
from whichresin.terminal.words import GROUP_LEFT_OPEN, STATUS_WITHHELD


@pytest.fixture(scope="module")
def suspicious(shipped: Model) -> Model:
    """The shipped knowledge with limits so low that every conclusion is withheld."""
    limits = replace(shipped.observer, strange_withholds=-40.0, strange_withholds_for={}, strange_stake_minutes=0.0)
    return replace(shipped, observer=limits)


def result_of(model: Model) -> Result:
    return Interview(model, TALC_COVER.state()).result


def test_a_withheld_conclusion_states_nothing(shipped: Model, suspicious: Model) -> None:
    """The same answers conclude by the shipped limits; withheld, no class and no meaning of a repair group is said."""
    assert result_of(shipped).status == "concluded" and not result_of(shipped).withheld
    held = result_of(suspicious)
    assert (held.status, held.withheld, held.class_name) == ("unknown", True, "undetermined")
    assert not any(cell.note for cell in held.cells)
    assert held.as_json()["withheld"] is True and "withheld" not in result_of(shipped).as_json()


@pytest.mark.parametrize("width", [40, 80])
def test_the_screen_says_why_and_what_to_do(suspicious: Model, width: int) -> None:
    """Plain words for why it is left open and what to do next; nothing that reads as leave to weld or to glue."""
    held = result_of(suspicious)
    assert status_text(held) == STATUS_WITHHELD and group_text(held) == GROUP_LEFT_OPEN
    said = " ".join(" ".join(line.text.split()) for line in ending_lines(held, width))
    for words in ("fit none of the plastics known here well enough", "Do not weld it, glue it", "laboratory"):
        assert words in said
    assert "Settled" not in said and "almost certain, " not in said.partition("Because")[0].partition("Filled")[0]


def test_no_repair_is_planned_on_it(shipped: Model, suspicious: Model) -> None:
    """What is repaired by the shipped limits has no steps, no way and no promise once the conclusion is withheld."""
    assert make_plan(case_of(shipped, TALC_COVER.state(), TALC_COVER.damage, TALC_COVER.context)).decision == "repair"
    plan = make_plan(case_of(suspicious, TALC_COVER.state(), TALC_COVER.damage, TALC_COVER.context))
    assert (plan.decision, plan.process, plan.steps, plan.options) == ("test_more", "none", (), ())
    told = " ".join(reason.text for reason in plan.because)
    assert "no repair is planned on them" in told and "infrared" in told
