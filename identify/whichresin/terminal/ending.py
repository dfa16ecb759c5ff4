"""The end of an interview: what it is, how sure, what it means for the repair, what is open; then the reasons."""

from __future__ import annotations

from whichresin.session.present import STATED_AT
from whichresin.session.result import Result

from . import words
from .lines import Line, percent, wrap
from .render import bar, caution_lines, class_text, doubt_lines, filled_text, gate_lines, heading, section
from .turns import would_change_texts

_TOP = 4


def ending_lines(result: Result, width: int, hint: str = "") -> list[Line]:
    """The whole ending; `hint` says what to do next, such as how to get the repair plan."""
    lines = heading(f"{words.ENDING}: {status_text(result)}", width)
    lines += conclusion_lines(result, width)
    if result.cautions:
        lines += heading(words.CAUTIONS, width)
        lines += caution_lines([(c.level, c.text) for c in result.cautions], width)
    lines += _repair_lines(result, width)
    lines += section(words.SITS_BADLY, [b.text for b in result.contradictions], width)
    lines += section(words.STILL_OPEN, [s.text for s in result.open_points] or [words.NOTHING_OPEN], width)
    if hint:
        lines += [Line(""), *wrap(hint, width, "strong", "  ", "  ")]
    lines += section(words.BECAUSE, list(dict.fromkeys(b.text for b in result.because)), width)
    lines += section(words.IF_WRONG, _wrong_calls(result), width)
    return lines + section(words.WOULD_CHANGE, would_change_texts(result), width)


def conclusion_lines(result: Result, width: int) -> list[Line]:
    """May it be repaired, the class, the polymers, the filler, each with how sure that is, and what speaks against."""
    lines = gate_lines(result, width)
    lines += wrap(f"{words.CLASS}: {class_text(result)}", width, "strong", "  ", "  ")
    if result.withheld:
        lines += wrap(words.NEAREST, width, "plain", "  ", "  ")
    for chance in result.polymers[:_TOP]:
        if chance.probability >= 0.02:
            lines += bar(chance, width)
    if result.none_of_these >= 0.05:
        lines += wrap(f"None of the plastics known here: {percent(result.none_of_these)}", width, "plain", "  ", "  ")
    lines += wrap(filled_text(result), width, "plain", "  ", "  ")
    lines += doubt_lines(result, width)
    if result.stopped:
        lines += wrap(result.stopped, width, "faint", "  ", "  ")
    if result.next is not None:
        lines += wrap(f"Would ask next: {result.next.question}", width, "plain", "  ", "  ")
    return lines


def status_text(result: Result) -> str:
    """How it came out, in one sentence: what may not be mended or is only likely is not called settled."""
    if result.gate.state == "shut" and result.next is None:
        return words.STATUS_SHUT
    if result.withheld:
        return words.STATUS_WITHHELD
    if result.status == "concluded" and result.cells and result.cells[0].probability < STATED_AT:
        return words.STATUS_LIKELY
    return words.STATUS[result.status]


def group_text(result: Result) -> str:
    """The likeliest repair group and what it means, or that it is left open; "" where nothing is believed."""
    if result.withheld:
        return words.GROUP_LEFT_OPEN
    return "".join(f"{c.name} ({c.word}, {percent(c.probability)}). {c.note}".strip() for c in result.cells[:1])


def _repair_lines(result: Result, width: int) -> list[Line]:
    """What the plastic means for the repair, one thing a line; nothing over a shut gate reads as leave to repair."""
    if not result.cells or result.gate.state == "shut":
        return []
    said = [f"Repair group: {group_text(result)}"]
    if result.withheld:
        said.append(words.WITHHELD_NEXT)
    steps: dict[str, list[str]] = {}
    for step in result.next_steps:
        steps.setdefault(step.because, []).append(step.text)
    for because, texts in steps.items():
        together = "; ".join(texts)
        said.append(f"{together[:1].upper()}{together[1:]}. {because}")
    return section(words.NEXT_STEPS, said, width)


def _wrong_calls(result: Result) -> list[str]:
    return [
        f"{call.if_it_is} ({percent(call.probability)}): about {call.minutes:g} minutes of work lost"
        for call in result.wrong_calls
    ]
