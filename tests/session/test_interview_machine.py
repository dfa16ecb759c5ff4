"""Random interviews against the plainest model there is: a list of what still counts."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, Declined, Event, Noted, PutOff, TakenBack
from whichresin.session.interview import Interview, consult
from whichresin.session.journal import Journal, read
from whichresin.session.state import State, still_fits

CUES = ("duty", "condition", "float_in_water", "grind", "nail", "flex", "hot_needle")
places = st.integers(0, 30)


class InterviewMachine(RuleBasedStateMachine):
    """Answer, change, put off, refuse, go back, try out, note, stop and resume, in any order.

    The model keeps a list of (cue, what) pairs; going back drops the last of them, and an interview is what is left.
    """

    model: Model

    def __init__(self) -> None:
        super().__init__()
        self._folder = tempfile.TemporaryDirectory()
        self.interview = Interview(self.model)
        self.journal = Journal.start(Path(self._folder.name), self.model.key, State())
        self.steps: list[Event] = []
        self.notes: list[str] = []

    def teardown(self) -> None:
        self.journal.close()
        self._folder.cleanup()

    def _tell(self, event: Event) -> None:
        self.journal.write(event)
        self.interview.tell(event)

    @rule(cue=st.sampled_from(CUES), place=places, sure=st.sampled_from(["low", "medium"]))
    def answer_or_change(self, cue: str, place: int, sure: str) -> None:
        values = self.model.cues[cue].values
        event = Answered(cue, values[place % len(values)].id, sure)
        self._tell(event)
        self.steps.append(event)

    @rule(cue=st.sampled_from(CUES))
    def dont_know(self, cue: str) -> None:
        self._tell(Declined(cue))
        self.steps.append(Declined(cue))

    @rule(cue=st.sampled_from(CUES))
    def put_off(self, cue: str) -> None:
        self._tell(PutOff(cue))
        self.steps.append(PutOff(cue))

    @rule()
    def back(self) -> None:
        self._tell(TakenBack())
        del self.steps[-1:]

    @rule(text=st.sampled_from(["hairline", "old paint"]))
    def note(self, text: str) -> None:
        self._tell(Noted(text))
        self.notes.append(text)

    @rule(cue=st.sampled_from(CUES))
    def what_if(self, cue: str) -> None:
        """Trying an answer must show what giving it would show, and change nothing (the invariants look)."""
        value = self.model.cues[cue].values[0].id
        tried = self.interview.what_if(Answered(cue, value))
        assert tried.answered[cue] == value

    @rule()
    def stop_and_resume(self) -> None:
        self.journal.close()
        recorded = read(self.journal.path)
        assert all(still_fits(self.model, event) for event in recorded.events)
        self.journal = Journal.reopen(recorded)
        self.interview = Interview(self.model, State(), recorded.events)

    @precondition(lambda self: len(self.steps) % 3 == 2)
    @rule()
    def look(self) -> None:
        """The warm interview says what a fresh one says."""
        fresh = consult(self.model, self.interview.state)
        assert json.dumps(self.interview.result.as_json()) == json.dumps(fresh.as_json())

    @invariant()
    def the_state_is_what_the_plain_model_says(self) -> None:
        answers: dict[str, Event] = {}
        declined: list[str] = []
        put_off: list[str] = []
        for event in self.steps:
            assert isinstance(event, Answered | Declined | PutOff)
            if isinstance(event, PutOff) and event.cue in answers:
                continue
            declined, put_off = ([c for c in cues if c != event.cue] for cues in (declined, put_off))
            if isinstance(event, Answered):
                answers[event.cue] = event
                continue
            answers.pop(event.cue, None)
            (declined if isinstance(event, Declined) else put_off).append(event.cue)
        state = self.interview.state
        assert dict(state.answers) == answers
        assert (list(state.declined), list(state.put_off)) == (declined, put_off)
        assert list(state.notes) == self.notes


@pytest.mark.usefixtures("shipped")
def test_any_order_of_powers_keeps_the_interview_true(shipped: Model) -> None:
    """Answer, change, undo, put off, what-if and resume in any order lead where the plain model leads."""
    from hypothesis.stateful import run_state_machine_as_test

    InterviewMachine.model = shipped
    run_state_machine_as_test(InterviewMachine, settings=settings(max_examples=12, stateful_step_count=12))
