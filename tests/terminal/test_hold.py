"""Which front end is taken, and that a broken full screen never costs an interview."""

from __future__ import annotations

import io
import sys

import pytest

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, Declined, Event
from whichresin.session.interview import Interview
from whichresin.terminal import hold as hold_module
from whichresin.terminal import screen as screen_module
from whichresin.terminal import words
from whichresin.terminal.guided import Guided


class Console(io.StringIO):
    """Typed lines and written text that say they are a terminal."""

    def isatty(self) -> bool:
        return True


def held(
    model: Model, monkeypatch: pytest.MonkeyPatch, typed: str, interview: Interview | None = None
) -> tuple[str, list[Event], bool]:
    out, told = Console(), list[Event]()
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(sys, "stdin", Console(typed))
    monkeypatch.setattr(sys, "stdout", out)
    _, left = hold_module.hold(interview or Interview(model), told.append)
    return out.getvalue(), told, left


def test_a_screen_that_cannot_be_made_is_said_once(shipped: Model, monkeypatch: pytest.MonkeyPatch) -> None:
    """An odd console at start: one sentence, then the first question in plain lines."""

    def refuse(**options: object) -> None:
        raise OSError("no such console")

    monkeypatch.setattr(screen_module, "Screen", refuse)
    text, told, left = held(shipped, monkeypatch, "grille\n\n1\n1\nq\n\n")
    assert text.startswith("The full screen does not work here (OSError: no such console)")
    assert text.count("does not work here") == 1 and words.PART_QUESTION in text
    assert len(told) == 4 and not left


def test_a_screen_that_breaks_in_the_middle_keeps_the_answers(shipped: Model, monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawing fails after two answers: the same interview goes on at the question where it was."""

    class Breaking:
        has_panel = True

        def __init__(self, **options: object) -> None:
            pass

        def hold(self, flow: object) -> None:
            flow.close()  # type: ignore[attr-defined]
            raise RuntimeError("the window went away")

    monkeypatch.setattr(screen_module, "Screen", Breaking)
    interview = Interview(shipped, None, [Answered("part", "grille"), Declined("marking")])
    text, told, left = held(shipped, monkeypatch, "1\n1\nq\n\n", interview)
    assert "RuntimeError: the window went away" in text
    assert words.PART_QUESTION not in text.split("plain lines.")[1]
    assert [event.cue for event in told if isinstance(event, Answered)] == ["duty", "condition"] and not left


@pytest.mark.parametrize(("term", "expected"), [("", False), ("dumb", False), ("xterm", True), ("vt100", True)])
def test_which_terminals_are_drawn_on(monkeypatch: pytest.MonkeyPatch, term: str, expected: bool) -> None:
    """A terminal without a name, or one that says it is dumb, gets plain lines."""
    monkeypatch.setenv("TERM", term)
    monkeypatch.setattr(sys, "stdin", Console())
    monkeypatch.setattr(sys, "stdout", Console())
    assert hold_module.capable() is expected
    monkeypatch.setattr(sys, "stdin", None)
    assert hold_module.capable() is False


def test_trouble_with_the_record_is_said_where_it_is_seen(shipped: Model, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk in the middle: the sentence stands in the interview, and the answer counts all the same."""
    out = Console()
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.setattr(sys, "stdin", Console("1\n1\nq\n\n"))
    monkeypatch.setattr(sys, "stdout", out)
    interview = Interview(shipped, None, [Answered("part", "grille"), Declined("marking")])
    result, _ = hold_module.hold(interview, lambda event: "the disk is full" if event.cue == "duty" else None)
    assert out.getvalue().count("the disk is full") == 1
    assert result.answered["duty"] == "none_of_these"


def test_the_hint_for_the_plan_stands_in_the_ending(shipped: Model) -> None:
    """What to do next is said where the interview ends."""
    flow = Guided(Interview(shipped), None, hint="The plan: ask for it")  # type: ignore[arg-type]
    lines = [line.text.strip() for line in flow.last_lines(flow._interview.closing(), 80)]
    assert "The plan: ask for it" in lines
