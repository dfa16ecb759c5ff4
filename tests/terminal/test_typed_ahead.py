"""Lines typed before the screen stands are taken in their order, each for its own question."""

from __future__ import annotations

import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from whichresin.terminal.page import Page
from whichresin.terminal.screen import Screen


@pytest.mark.parametrize("end", ["\n", "\r"])
def test_two_lines_typed_ahead_answer_two_questions(end: str) -> None:
    """On a slow machine part and marking are typed while the tool still loads: neither may run into the other."""
    said = []

    async def flow(screen: Screen) -> None:
        for question in ("part", "marking"):
            said.append(await screen.text(Page("text", question, "> ")))

    with create_pipe_input() as typed:
        typed.send_text(f"mower cover{end}PP-TD20{end}")
        screen = Screen(typed, DummyOutput())
        screen.hold(flow(screen))
    assert said == ["mower cover", "PP-TD20"]
