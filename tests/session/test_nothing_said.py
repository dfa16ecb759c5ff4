"""Words that only say that there is no marking are no marking: read as one, `no` would speak for natural rubber."""

from __future__ import annotations

import io

import pytest

from whichresin.knowledge.model import Model
from whichresin.session.answers import answers_from_bytes
from whichresin.session.events import Answered
from whichresin.session.interview import Interview, consult
from whichresin.session.nothing_said import only_yes, says_nothing
from whichresin.session.state import fold
from whichresin.terminal import words
from whichresin.terminal.guided import Guided
from whichresin.terminal.plain import PlainFront, run_plainly

NOTHING = ["", "no", "None", "nope.", "n", "d", "don't know", "dont know", "can't read it", "not readable", "?", "??",
           "-", "no marking", "no idea", "worn off", "there is none", "n/a", "nothing to see"]  # fmt: skip
SOMETHING = ["PP", ">no<PA6", ">PA6", "NR", "no. 7", "PE-HD", "DIN", "not PP", "fuel tank", "no smoking sign", "?A66"]


@pytest.mark.parametrize("text", NOTHING)
def test_words_for_nothing_are_nothing(text: str) -> None:
    """As a beginner types them at `Is there a moulded marking?`."""
    assert says_nothing(text)


@pytest.mark.parametrize("text", SOMETHING)
def test_anything_more_is_something(text: str) -> None:
    """One word or sign beyond them, and the decoder hears it."""
    assert not says_nothing(text)


def dialogue(model: Model, *typed: str) -> tuple[str, Interview]:
    out, interview = io.StringIO(), Interview(model)
    front = PlainFront(io.StringIO("".join(f"{line}\n" for line in typed)), out, width=lambda: 80)
    run_plainly(Guided(interview, front, lambda event: None).run())
    return out.getvalue(), interview


@pytest.mark.parametrize("said", ["no", "don't know"])
def test_no_to_the_marking_question_is_heard_as_no(shipped: Model, said: str) -> None:
    """In the interview and in an answers file: no marking, no evidence, nothing to confirm."""
    _, interview = dialogue(shipped, "", said, "q")
    assert "marking" in interview.state.declined and interview.result.marking is None
    assert not any(step.name == "check_marking" for step in interview.result.next_steps)
    state = answers_from_bytes(shipped, f'marking: "{said}"\n'.encode(), "x.yaml").state
    assert "marking" in state.declined


def test_yes_to_the_marking_question_asks_for_its_text(shipped: Model) -> None:
    """`yes` is no marking either; what stands there is wanted."""
    assert only_yes("Yes") and not only_yes("yes, PP")
    text, interview = dialogue(shipped, "", "yes", ">PP<", "q")
    assert words.TYPE_THE_MARKING in " ".join(text.split())
    assert interview.state.text("marking") == ">PP<"


def test_a_scrawl_is_no_witness_that_a_test_must_confirm(shipped: Model) -> None:
    """What cannot be read asks for no bench test to agree with it."""
    scrawl = consult(shipped, fold([Answered("marking", "#~~"), Answered("duty", "none_of_these")]))
    clear = consult(shipped, fold([Answered("marking", ">PP<"), Answered("duty", "none_of_these")]))
    assert "marking-is-one-witness" not in {b.rule for b in scrawl.because}
    assert any(said.name == "check_marking" for said in (*clear.derived, *clear.next_steps))
    assert not any(said.name == "check_marking" for said in (*scrawl.derived, *scrawl.next_steps))
