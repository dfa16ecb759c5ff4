"""Hold a guided interview on the best front end that works here: the full screen, else plain lines."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from typing import TextIO

from whichresin.session.events import Event
from whichresin.session.interview import Interview
from whichresin.session.result import Result
from whichresin.vocabulary.text import escaped

from . import words
from .front import Front
from .guided import Guided
from .lines import wants_attributes, write
from .plain import PlainFront, run_plainly


def hold(
    interview: Interview,
    on_event: Callable[[Event], str | None],
    plain: bool = False,
    greeted: bool = False,
    tutor: bool = False,
    hint: str = "",
    notice: str = "",
) -> tuple[Result, bool]:
    """Hold the interview on standard input and output; (last result, whether it was left in the middle).

    `plain` asks for plain lines; they are taken without asking where there is no capable terminal, and when the
    full screen cannot be drawn. `greeted`: title and first question stand on the screen already. `notice` was written
    already, and is said again where the full screen would hide it.
    """

    def guided(front: Front) -> Guided:
        return Guided(interview, front, on_event, tutor, hint, notice)

    if not plain and capable():
        try:
            from .screen import Screen

            screen = Screen(attributes=wants_attributes(sys.stdout))
            flow = guided(screen)
            result = screen.hold(flow.run())
        except BrokenPipeError:
            raise
        except Exception as error:  # whatever a terminal library may trip over, the interview goes on
            reason = escaped(f"{type(error).__name__}: {error}" if str(error) else type(error).__name__)
            sys.stdout.write(words.CANNOT_DRAW.format(reason=reason) + "\n")
            greeted = False
        else:
            _leave_on_paper(flow, result, sys.stdout)
            return result, flow.left
    attributes = wants_attributes(sys.stdout)
    flow = guided(PlainFront(sys.stdin, sys.stdout, attributes, greeted=greeted))
    result = run_plainly(flow.run(greeted))
    if flow.left:
        _leave_on_paper(flow, result, sys.stdout)
    return result, flow.left


def capable() -> bool:
    """Whether this is a terminal that a screen can be drawn on."""
    if sys.stdin is None or sys.stdout is None:
        return False
    return sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM", "") not in ("", "dumb")


def _leave_on_paper(flow: Guided, result: Result, out: TextIO) -> None:
    """What the person goes home with: the ending, in lines that stay."""
    width = max(20, min(100, shutil.get_terminal_size((80, 24)).columns - 1))
    write(flow.last_lines(result, width), out, wants_attributes(out))
