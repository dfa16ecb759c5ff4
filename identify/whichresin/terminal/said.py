"""What was learned from an answer, and why a question is not asked, in sentences. Pure: nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.session.learned import Learned, Shift
from whichresin.session.result import Result
from whichresin.session.why_not import WhyNot

from . import words
from .lines import Line, percent, wrap
from .page import minutes_text
from .render import kept_back_lines

_MOST_BY_WORTH = 6


def learned_text(taught: Learned) -> str:
    """What an answer did to the belief, in words and numbers, and which rules fired."""
    parts = [f"{words.LEARNED}: {words.LEARNED_STEP[taught.step]}"]
    moved = ", ".join(_shift(s) for s in (taught.up, taught.down, _worth_saying(taught.klass), taught.filled) if s)
    if moved:
        parts[0] += f"; {moved}"
    parts += [words.FOLLOWS.format(text=said.text, rule=said.rule) for said in taught.follows]
    parts += [words.NO_LONGER.format(text=said.text) for said in taught.no_longer]
    return ". ".join(parts) + "."


def _worth_saying(shift: Shift) -> Shift | None:
    return shift if abs(shift.moved) >= 0.01 else None


def _shift(shift: Shift) -> str:
    before = percent(shift.before)
    if before.endswith(" %") and percent(shift.after).endswith(" %"):
        before = before.removesuffix(" %")
    return words.FROM_TO.format(name=shift.name, before=before, after=percent(shift.after))


def why_not_text(why: WhyNot) -> str:
    """Why one question is not asked now, with the rule or the worth that keeps it back."""
    minutes = minutes_text(why.cue.minutes)
    if why.said is not None:
        return words.BY_RULE.format(because=why.said.because, rule=why.said.rule) if why.said.rule else why.said.because
    if why.reason == "worth" and why.worth > 0:
        return words.WHY_NOT_WORTH.format(worth=why.worth, minutes=minutes, place=why.place, of=why.of)
    if why.reason == "worth":
        return words.WHY_NOT_NO_WORTH.format(worth=why.worth, minutes=minutes)
    return words.WHY_NOT[why.reason]


def why_not_lines(found: Sequence[WhyNot], width: int) -> list[Line]:
    """Tests that were named, each with what keeps it back."""
    lines: list[Line] = []
    for why in found:
        lines += wrap(why.cue.question, width, "strong", "  ", "  ")
        lines += wrap(why_not_text(why), width, "plain", "    ", "    ")
    return lines


def not_asked_lines(result: Result, asked: str, width: int) -> list[Line]:
    """All that rules or missing leave keep back, then what could be asked and is worth less than what is."""
    lines = kept_back_lines(result, width)
    others = [question for question in result.questions if question.cue != asked]
    if others:
        lines += [Line(""), *wrap(words.OTHERS_BY_WORTH, width, "plain", "  ", "  ")]
    for question in others[:_MOST_BY_WORTH]:
        lines += wrap(f"{question.question} ({question.worth:+.1f} minutes)", width, "plain", "  - ", "    ")
    left = len(others) - _MOST_BY_WORTH
    if left > 0:
        least = f"{others[-1].worth:+.1f}"
        lines += wrap(f"{left} more, down to {least} minutes; type a test's name to see its own.", width, "faint", "  ")
    return lines
