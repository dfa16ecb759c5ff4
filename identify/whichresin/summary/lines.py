"""The page of an interview as lines of text."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.terminal import words as spoken
from whichresin.terminal.lines import Line, wrap

from . import words
from .sheet import Reason, Sheet, Step


def sheet_lines(sheet: Sheet, width: int) -> list[Line]:
    """Everything on the page, wrapped to a width; the cautions stand before what they belong to."""
    lines = _heading(sheet.title, width)
    for text in filter(None, (sheet.about, *sheet.made)):
        lines += wrap(text, width, "faint")
    lines.append(Line(""))
    for label, text in sheet.verdict:
        between = "" if label.endswith("?") else ":"
        lines += wrap(f"{label}{between} {text}", width, "plain", "", "  ")
    if sheet.cautions:
        lines += _heading(spoken.CAUTIONS, width)
        for level, text in sheet.cautions:
            lines += wrap(f"{level}: {text}", width, "caution", "! ", "  ")
    lines += _section(spoken.SITS_BADLY, sheet.badly, width)
    lines += _heading(words.COURSE, width)
    for step in sheet.steps:
        lines += _step(step, width)
    if sheet.reasons:
        lines += _heading(spoken.BECAUSE, width)
        for reason in sheet.reasons:
            lines += wrap(reason.text, width, "plain", "- ", "  ")
            lines += wrap(grounds(reason), width, "faint", "  ", "  ")
    lines += _section(spoken.STILL_OPEN, sheet.open_points, width)
    lines += _section(spoken.NEXT_STEPS, sheet.next_steps, width)
    lines += _section(spoken.IF_WRONG, sheet.if_wrong, width)
    lines += _section(spoken.WOULD_CHANGE, sheet.would_change, width)
    lines += _section(words.NOTES, sheet.notes, width)
    lines += _section(words.SOURCES, [f"{id}: {text}" for id, text in sheet.sources], width)
    return [*lines, Line(""), *wrap(words.FLOOR, width, "faint")]


def grounds(reason: Reason) -> str:
    """What a reason rests on: answers or facts, the rule, the sources."""
    rule = [words.RULE.format(rule=reason.rule)] if reason.rule else []
    return " | ".join([", ".join(reason.rests_on), *rule, ", ".join(reason.sources)])


def _step(step: Step, width: int) -> list[Line]:
    mark = f"{step.number:>3} " if step.counts else "    "
    said = f"{step.question} {step.said}".strip() + (f" ({step.how})" if step.how else "")
    lines = wrap(said, width, "plain", mark, "    ")
    return lines + wrap(f"-> {step.klass}, {step.leader}", width, "faint", "    ", "    ")


def _heading(text: str, width: int) -> list[Line]:
    return [Line(""), *wrap(text, width, "strong"), Line("-" * min(width, max(20, len(text))), "faint")]


def _section(title: str, texts: Sequence[str], width: int) -> list[Line]:
    lines = _heading(title, width) if texts else []
    for text in texts:
        lines += wrap(text, width, "plain", "- ", "  ")
    return lines
