"""Putting a question off, what an answer taught, and why a question is not asked."""

from __future__ import annotations

from whichresin.knowledge.model import Model
from whichresin.session.events import Allowed, Answered, Declined, PutOff, TakenBack
from whichresin.session.interview import Interview, consult
from whichresin.session.learned import learned
from whichresin.session.state import State, fold

GATE = [Answered("duty", "none_of_these"), Answered("condition", "sound")]


def asked(interview: Interview) -> str | None:
    question = interview.result.gate_question or interview.result.next
    return question.cue if question else None


def test_a_question_put_off_comes_back_when_the_others_run_out(shipped: Model) -> None:
    """'Ask me later' is not 'I don't know': the question makes way, and returns before the interview ends."""
    interview = Interview(shipped, None, GATE)
    first = asked(interview)
    assert first is not None
    interview.tell(PutOff(first))
    assert asked(interview) not in (first, None)
    while (cue := asked(interview)) not in (first, None):
        interview.tell(Declined(str(cue)))
    assert cue == first


def test_putting_everything_off_goes_round_and_never_sticks(shipped: Model) -> None:
    """Every question comes up once before the first comes up again."""
    interview = Interview(shipped, None, GATE)
    seen: list[str] = []
    while (cue := asked(interview)) not in seen:
        assert cue is not None
        seen.append(cue)
        interview.tell(PutOff(cue))
    assert cue == seen[0] and len(seen) > 3


def test_a_gate_question_put_off_is_still_asked(shipped: Model) -> None:
    """What the part does may wait for a bench test, and is asked before anything is called settled."""
    interview = Interview(shipped)
    assert asked(interview) == "duty"
    interview.tell(PutOff("duty"))
    assert asked(interview) == "condition"
    interview.tell(Answered("condition", "sound"))
    for cue, value in (("float_in_water", "floats"), ("grind", "smears"), ("hot_needle", "melts_strings")):
        interview.tell(Answered(cue, value))
    while (cue := asked(interview)) not in ("duty", None):
        interview.tell(Declined(str(cue)))
    assert cue == "duty"
    assert interview.result.gate.state == "not_known"


def test_back_brings_a_question_that_was_put_off_at_once() -> None:
    """Putting off is a step like an answer; an answer or a refusal ends it."""
    assert fold([PutOff("grind"), TakenBack()]) == State()
    assert fold([PutOff("grind"), Answered("grind", "powder")]).put_off == ()
    assert fold([PutOff("grind"), Declined("grind")]) == State(declined=("grind",))
    assert fold([Declined("grind"), PutOff("grind")]) == State(put_off=("grind",))
    assert fold([Answered("grind", "powder"), PutOff("grind")]) == fold([Answered("grind", "powder")])


def test_putting_off_is_no_evidence(shipped: Model) -> None:
    """The belief with a question put off is the belief without it."""
    assert consult(shipped, fold([*GATE, PutOff("grind")])).polymers == consult(shipped, fold(GATE)).polymers


def test_what_an_answer_taught_is_the_difference_of_two_results(shipped: Model) -> None:
    """'Sinks' takes down what floats, and says 'heavier than water' by its rule; nothing else is claimed."""
    before = consult(shipped, fold(GATE))
    after = consult(shipped, fold([*GATE, Answered("float_in_water", "sinks")]))
    taught = learned(before, after)
    assert taught.down is not None and taught.down.name.startswith("PE")
    assert taught.down.before in {c.probability for c in before.polymers} and taught.down.moved < 0
    assert [(said.name, said.value) for said in taught.follows] == [("water_side", "heavier")]
    assert taught.follows[0].rule == "sinks-so-heavier-than-water"
    assert learned(after, before).no_longer == taught.follows
    nothing = learned(after, after)
    assert (nothing.step, nothing.up, nothing.down, nothing.follows) == ("none", None, None, ())


def test_why_a_question_is_not_asked_names_the_rule_the_leave_or_the_worth(shipped: Model) -> None:
    """Every cue has a reason for not being asked now, or is the one asked."""
    interview = Interview(shipped, None, [*GATE, Answered("foam_core", "yes"), Declined("nail"), PutOff("knife")])
    reasons = {cue: interview.why_not(cue) for cue in shipped.cues}
    assert reasons["hot_needle"].reason == "kept_back"
    assert reasons["hot_needle"].said is not None and reasons["hot_needle"].said.rule == "needle-ban-holds"
    assert reasons["beilstein"].said is not None and "off" in reasons["beilstein"].said.because
    assert (reasons["nail"].reason, reasons["knife"].reason) == ("declined", "put_off")
    assert reasons["duty"].reason == "answered"
    assert sum(why.reason == "asked" for why in reasons.values()) == 1
    worth = [why for why in reasons.values() if why.reason == "worth"]
    assert worth and all(1 <= why.place <= why.of for why in worth)


def test_over_a_shut_gate_the_reason_is_the_gate(shipped: Model) -> None:
    """A fuel tank: no test is proposed, and that is the reason given."""
    interview = Interview(shipped, None, [Answered("duty", "fuel"), Allowed("burn")])
    assert interview.why_not("nail").reason == "shut"


def test_the_questions_ahead_end_with_the_interview(shipped: Model) -> None:
    """What is foreseen one by one is what `questions_left` counts."""
    interview = Interview(shipped, None, GATE)
    ahead = [question.cue for question in interview.steps_ahead()]
    assert len(ahead) == interview.questions_left() and len(set(ahead)) == len(ahead)
    assert ahead[0] == asked(interview)
