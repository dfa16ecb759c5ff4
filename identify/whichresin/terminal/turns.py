"""What would change a conclusion, in sentences. Pure: nothing is computed here."""

from __future__ import annotations

from whichresin.session.result import Result
from whichresin.session.would_change import Move, NextTest, Turned

from . import words
from .lines import percent

_LEAST_SAVED = 1.0  # minutes; less is not worth a line
_MOST_MOVES = 4
_STEADY = 0.05


def would_change_texts(result: Result) -> list[str]:
    """The answers that would turn it, the one to repeat, and what the next test could do."""
    found = result.would_change
    if found is None:
        return []
    texts = [_turned(found.decision, words.TURNS_DECISION)]
    if found.klass.answers != found.decision.answers or found.klass.then_text != found.decision.then_text:
        texts.append(_turned(found.klass, words.TURNS_CLASS))
    if found.repeat is not None and found.repeat.saves_minutes >= _LEAST_SAVED:
        minutes = found.repeat.saves_minutes
        texts.append(words.WORTH_REPEATING.format(question=found.repeat.question, minutes=minutes))
    if found.next_test is not None:
        texts.append(_next(found.next_test))
    return texts


def _turned(turned: Turned, start: str) -> str:
    if not turned.answers:
        return words.TURNS_NOT.format(now=turned.now_text)
    answers = [words.INSTEAD.format(instead=a.instead, said=a.said, question=a.question) for a in turned.answers]
    return start.format(now=turned.now_text, then=turned.then_text, answers=" and ".join(answers))


def _next(test: NextTest) -> str:
    farthest = max((_how_far(test, move) for move in test.moves), default=0.0)
    if farthest < _STEADY:
        return words.STEADY.format(percent=percent(_STEADY))
    likely = sorted(test.moves, key=lambda move: -move.probability)[:_MOST_MOVES]
    moves = [
        words.MOVE.format(
            text=m.text, percent=percent(m.probability), leader=m.leader, leads=percent(m.leader_probability)
        )
        for m in likely
    ]
    return words.WOULD_TELL.format(question=test.question, moves="; ".join(moves))


def _how_far(test: NextTest, move: Move) -> float:
    """How far a result moves the belief in today's leader, as far as it is foreseen."""
    if move.today is not None:
        return abs(move.today - test.leader_probability)
    if move.leader != test.leader_text:
        return move.leader_probability
    return abs(move.leader_probability - test.leader_probability)
