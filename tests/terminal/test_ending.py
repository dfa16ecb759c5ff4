"""How an interview ends: no advice on mending over a shut gate, nothing called settled that is not, nothing twice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, Event
from whichresin.session.interview import Interview
from whichresin.session.result import Result
from whichresin.terminal import words
from whichresin.terminal.ending import ending_lines, status_text


def ended(model: Model, *events: Event) -> tuple[str, Result]:
    """The ending after these events, as one text on one line, and the result it shows."""
    interview = Interview(model)
    for event in events:
        interview.tell(event)
    result = interview.closing()
    return " ".join(" ".join(line.text for line in ending_lines(result, 100)).split()), result


@pytest.mark.parametrize(
    "gate",
    [
        (Answered("duty", "lamp"),),
        (Answered("duty", "none_of_these"), Answered("condition", "crumbles")),
        (Answered("part", "fuel tank"),),
        (),
    ],
)
def test_no_ending_over_a_gate_that_is_not_open_tells_how_to_mend(shipped: Model, gate: tuple[Event, ...]) -> None:
    """Shut or not known: the repair group may be named, but neither its promoter nor its weld, in text or JSON."""
    text, result = ended(shipped, *gate, Answered("float_in_water", "floats"), Answered("look", ("waxy",)))
    assert result.gate.state != "open"
    means = shipped.cells[result.cells[0].id].means
    assert means and means not in text
    assert not any(cell.note for cell in result.cells)


def test_a_shut_gate_is_named_in_the_title(shipped: Model) -> None:
    """`Not settled yet` over a part that nobody may mend would invite more tests."""
    text, _ = ended(shipped, Answered("duty", "lamp"))
    assert words.STATUS_SHUT in text and words.STATUS["open"] not in text
    assert words.NEXT_STEPS not in text


def test_a_conclusion_that_only_leads_is_not_called_settled(shipped: Model) -> None:
    """Where the questions end without worth and the leader holds little, the title says that it is not sure."""
    sure, settled = ended(shipped, Answered("duty", "none_of_these"), Answered("condition", "sound"),
                          Answered("float_in_water", "floats"), Answered("look", ("waxy", "no_fibres")),
                          Answered("hot_needle", "melts_strings"))  # fmt: skip
    assert settled.status == "concluded" and words.STATUS["concluded"] in sure
    leads = replace(settled, cells=(replace(settled.cells[0], probability=0.6), *settled.cells[1:]))
    assert status_text(leads) == words.STATUS_LIKELY


def test_no_reason_stands_twice_and_each_piece_of_advice_has_its_own_line(shipped: Model) -> None:
    """Two rules' facts with one sentence are one reason; advice in one paragraph is not read."""
    _, result = ended(shipped, Answered("duty", "none_of_these"), Answered("condition", "sound"),
                      Answered("look", ("gel_coat_one_side", "woven_glass")),
                      Answered("fibres_at_edge", "weave_or_plies"))  # fmt: skip
    lines = [line.text for line in ending_lines(result, 300)]
    reasons = lines[lines.index(words.BECAUSE) :]
    said = [line for line in reasons if line.startswith("  - ")]
    assert len(said) == len(set(said))
    start = lines.index(words.NEXT_STEPS) + 2
    advice = lines[start : lines.index("", start)]
    assert len({step.because for step in result.next_steps}) > 2
    assert len(advice) == 1 + len({step.because for step in result.next_steps})
