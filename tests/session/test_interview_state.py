"""An interview is a fold over events: going back, changing and volunteering in any order equals a fresh run."""

from __future__ import annotations

import json
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge.model import Cue, Model
from whichresin.session.events import Allowed, Answered, Declined, Event, TakenBack
from whichresin.session.interview import Interview, consult
from whichresin.session.state import State, effective, fold


def said(model: Model, state: State) -> str:
    return json.dumps(consult(model, state).as_json())


@st.composite
def events(draw: st.DrawFn, cues: list[Cue]) -> Event:
    """Any event that a front end could send."""
    what = draw(st.sampled_from(["answer"] * 6 + ["decline", "back", "allow"]))
    cue = draw(st.sampled_from(cues))
    if what == "back":
        return TakenBack()
    if what == "allow":
        return Allowed(draw(st.sampled_from(["burn", "solvent"])))
    if what == "decline":
        return Declined(cue.id)
    sure = draw(st.sampled_from(["low", "medium", "high"]))
    words = [value.id for value in cue.values]
    if cue.kind == "choice":
        return Answered(cue.id, draw(st.sampled_from(words)), sure)
    if cue.kind == "set":
        return Answered(
            cue.id, tuple(draw(st.lists(st.sampled_from(words), min_size=1, max_size=3, unique=True))), sure
        )
    if cue.kind == "number":
        return Answered(cue.id, draw(st.sampled_from([0.91, 1.05, 1.37, 2.17])), sure)
    if cue.kind == "liquids":
        pair = st.tuples(st.sampled_from([0.93, 1.1, 1.19]), st.sampled_from(["floats", "sinks"]))
        return Answered(cue.id, tuple(draw(st.lists(pair, min_size=1, max_size=2))), sure)
    return Answered(cue.id, draw(st.sampled_from(["fuel tank", "grille", "hood", "thing"])), sure)


@settings(max_examples=8)
@given(data=st.data())
def test_a_warm_interview_equals_a_fresh_one_after_every_event(shipped: Model, data: st.DataObject) -> None:
    """The engine and the workspace are kept between answers; nothing may stick to them (compared as JSON)."""
    cues = [cue for cue in shipped.cues.values() if cue.id != "marking"]
    interview = Interview(shipped)
    for event in data.draw(st.lists(events(cues), min_size=2, max_size=6)):
        interview.tell(event)
        assert json.dumps(interview.result.as_json()) == said(shipped, interview.state)


@settings(max_examples=6)
@given(data=st.data())
def test_the_order_of_answers_changes_nothing_but_their_listing(shipped: Model, data: st.DataObject) -> None:
    """A person may volunteer any answer at any time."""
    cues = [cue for cue in shipped.cues.values() if cue.id != "marking"]
    answers = {e.cue: e for e in data.draw(st.lists(events(cues), min_size=2, max_size=6)) if isinstance(e, Answered)}
    shuffled = data.draw(st.permutations(list(answers.values())))
    first = consult(shipped, State(answers=dict(answers))).as_json()
    second = consult(shipped, State(answers={a.cue: a for a in shuffled})).as_json()
    first.pop("answered"), second.pop("answered")
    assert first == second


def test_back_takes_the_last_answer_and_only_that(shipped: Model) -> None:
    """Twice back after two answers is the start; back once more changes nothing."""
    first, second = Answered("float_in_water", "sinks"), Answered("grind", "powder")
    assert fold([first, second, TakenBack()]) == fold([first])
    assert fold([first, second, TakenBack(), TakenBack(), TakenBack()]) == State()
    assert effective([first, TakenBack(), second]) == [second]


def test_changing_an_answer_keeps_its_place() -> None:
    """Going back to an earlier answer and changing it must not look like a new answer."""
    state = fold([Answered("grind", "powder"), Answered("nail", "marks"), Answered("grind", "smears")])
    assert list(state.answers) == ["grind", "nail"]
    assert state.answers["grind"].value == "smears"


def test_dont_know_is_neutral_and_is_not_asked_again(shipped: Model) -> None:
    """Not knowing is no evidence; but the same question may not come back."""
    state = fold([Answered("float_in_water", "sinks")])
    question = consult(shipped, replace(state, declined=("duty", "condition"))).next
    assert question is not None
    declined = replace(state, declined=("duty", "condition", question.cue))
    after = consult(shipped, declined)
    assert after.class_chances == consult(shipped, state).class_chances
    assert after.next is None or after.next.cue != question.cue


def test_burn_and_solvent_tests_are_never_proposed_without_leave(shipped: Model) -> None:
    """Walk through an interview of nothing but 'don't know': no opt-in cue may come up."""
    state = State()
    for _ in range(len(shipped.cues) + 1):
        result = consult(shipped, state)
        question = result.gate_question or result.next
        if question is None:
            break
        assert not shipped.cues[question.cue].opt_in
        state = fold([Declined(question.cue)], state)
    else:
        raise AssertionError("the interview does not end")
    assert result.status in ("unknown", "concluded")


def test_the_gate_comes_first_and_shuts_the_interview(shipped: Model) -> None:
    """What the part does is asked before what it is made of; a fuel tank ends the questions at once."""
    first = consult(shipped, State()).next
    assert first is not None and first.cue == "duty"
    result = consult(shipped, fold([Answered("duty", "fuel"), Answered("float_in_water", "floats")]))
    assert result.gate.state == "shut"
    assert result.next is None
    assert result.next_steps == ()
    assert any(caution.id == "ref-fuel-brake-pressure" for caution in result.cautions)


def test_no_answer_that_people_get_wrong_rules_a_polymer_out(shipped: Model) -> None:
    """No compound reaches 0 by one wrong answer, whatever the cue, with all that rules add to it."""
    interview = Interview(shipped)
    for cue in shipped.cues.values():
        for value in cue.values if cue.kind == "choice" else ():
            interview.tell(Answered(cue.id, value.id))
            assert all(p > 0 for p in interview.compound_chances())
            interview.tell(TakenBack())


def test_none_of_these_may_lead_a_foreseen_answer(shipped: Model) -> None:
    """A conducting, heavy piece without fibre: the outside hypothesis leads some outcomes and must have a name."""
    result = consult(
        shipped,
        fold(
            [
                Answered("duty", "none_of_these"),
                Answered("magnet_or_conductive", "conductive"),
                Answered("density_measured", 1.78),
                Answered("fibres_at_edge", "none_seen"),
            ]
        ),
    )
    assert result.none_of_these > 0.05


def test_why_reaches_down_to_answers_rules_and_sources(shipped: Model) -> None:
    """Every line of the tree is an answer in plain words, or a reason with its rule and where that comes from."""
    interview = Interview(shipped, State())
    for event in (Answered("duty", "none_of_these"), Answered("float_in_water", "sinks")):
        interview.tell(event)
    said = interview.reasons()
    assert any("Does a clean chip float in water? sinks" in line and "(answered)" in line for line in said)
    rules = {rule.id: rule for rule in shipped.rules}
    told = [line.rpartition(" [")[2].rstrip("]") for line in said if line.endswith("]")]
    assert told
    for one in told:
        rule, _, sources = one.partition("; ")
        assert sources == ", ".join(rules[rule].source)
