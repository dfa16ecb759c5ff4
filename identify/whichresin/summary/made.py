"""The page of a transcript, worked out with the knowledge at hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from whichresin.knowledge.model import Model
from whichresin.session.consult import closed, glance, stand
from whichresin.session.course import course, new_desk
from whichresin.session.result import Result
from whichresin.session.state import State
from whichresin.session.transcript import Transcript, told_state

from . import words
from .sheet import Sheet, sheet


@dataclass(frozen=True, slots=True)
class Made:
    """The result, and the page that shows it."""

    result: Result
    sheet: Sheet


def made(model: Model, transcript: Transcript, beside: Iterable[str] = ()) -> Made:
    """Result and page of a transcript; `beside` are lines on where it was made, such as the name of the shop."""
    desk = new_desk(model)
    start = State(shop=transcript.shop, target=transcript.target)
    first = glance(desk, start)
    moments = course(desk, start, transcript.events)
    state = told_state(transcript)
    result = closed(desk, state, stand(desk, state))
    said = [*filter(None, (transcript.started, *beside))]
    key = transcript.knowledge.get("key", "")
    if key not in ("", model.key):
        said.append(words.OTHER_KNOWLEDGE.format(key=key))
    return Made(result, sheet(model, result, first, moments, transcript.about, said))
