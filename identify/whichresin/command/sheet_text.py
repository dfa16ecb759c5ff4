"""A job sheet as plain lines: for a terminal, a printer, or to be read aloud."""

from __future__ import annotations

from whichresin.repair.sheet import LEVELS, TO_RECORD, Sheet, SheetCaution, SheetStep, still_holds
from whichresin.terminal.lines import Line, percent, wrap

_BLANK = "_" * 24


def sheet_lines(sheet: Sheet, width: int) -> list[Line]:
    """The whole sheet in lines of at most `width` columns."""
    lines = wrap(f"{sheet.title}", width, "strong")
    lines += [Line(""), *_head(sheet, width), *_decision(sheet, width)]
    if sheet.cautions:
        lines += _title("Before you begin" if sheet.steps else "Take care", width)
        for caution in sheet.cautions:
            lines += _caution(caution, width, "")
    lines += _bring(sheet, width)
    stage, before = "", None
    for step in sheet.steps:
        if step.stage != stage:
            stage = step.stage
            lines += _title(stage, width)
        lines += _step(step, before, width)
        before = step
    if not sheet.steps:
        lines += _title("Write down", width)
        for name in TO_RECORD[sheet.decision]:
            lines += wrap(f"{name}: {_BLANK}", width, rest="  ")
    lines += _title("Signed", width)
    names = ("Done by", "Checked by", "Told the owner what was and was not restored") if sheet.steps else (
        "Decided by", "Told the owner",
    )  # fmt: skip
    for name in names:
        lines += wrap(f"[ ] {name}: {_BLANK} date {'_' * 10}", width, rest="    ")
    lines += [Line(""), *wrap(f"Sheet {sheet.id}, made {sheet.made}, knowledge {sheet.knowledge[:12]}", width, "faint")]
    return lines


def _title(text: str, width: int) -> list[Line]:
    return [Line(""), *wrap(text, width, "strong")]


def _head(sheet: Sheet, width: int) -> list[Line]:
    lines = []
    for name, value in (("Part", sheet.part), ("Owner, machine", sheet.owner), ("Damage", sheet.damage)):
        lines += wrap(f"{name}: {value or _BLANK}", width, rest="  ")
    lines += wrap(f"Room: {sheet.room or '____ C'}, humidity: ____ %, date: {'_' * 10}", width)
    lines += _title("What it is made of", width)
    lines += wrap(f"Class: {sheet.klass or 'not settled'}", width)
    for chance in sheet.cells:
        lines += wrap(f"{chance.name}: {percent(chance.probability)}, {chance.word}", width, first="  ", rest="    ")
    said = ", ".join(f"{one.name} {percent(one.probability)}" for one in sheet.polymers)
    lines += wrap(f"Most likely plastics: {said or 'none named'}", width, rest="  ")
    lines += wrap(f"None of these: {percent(sheet.none_of_these)}", width)
    for text in sheet.evidence_shown:
        lines += wrap(text, width, first="- ", rest="  ")
    for text in sheet.open:
        lines += wrap(f"Still open: {text}", width, rest="  ")
    return lines


def _decision(sheet: Sheet, width: int) -> list[Line]:
    lines = _title(f"Decision: {decision_text(sheet)}", width)
    for text in sheet.because:
        lines += wrap(text, width, first="- ", rest="  ")
    if sheet.promoter:
        lines += wrap(sheet.promoter, width)
    if sheet.next_question:
        lines += wrap(f"Ask next: {sheet.next_question}", width)
    if sheet.must_not:
        lines += _title("Do not", width)
        for text in sheet.must_not:
            lines += wrap(text, width, first="- ", rest="  ")
    return lines


def decision_text(sheet: Sheet) -> str:
    """The decision in words."""
    if sheet.decision == "repair":
        return f"repair, {sheet.process_text}"
    return {
        "refer": "refer it to the maker's procedure, local codes and licensed practice",
        "replace": "replace the part",
        "test_more": "test more",
    }[sheet.decision]


def _bring(sheet: Sheet, width: int) -> list[Line]:
    lines: list[Line] = []
    if sheet.needs or sheet.products:
        lines += _title("Lay out", width)
    for need in sheet.needs:
        lines += wrap(f"[ ] {need}", width, rest="    ")
    for one in sheet.products:
        lines += wrap(f"[ ] {product_text(one)}", width, rest="    ")
    if sheet.quantities:
        lines += _title("How much", width)
        for quantity in sheet.quantities:
            lines += wrap(f"{quantity.name}: {quantity.text}", width, rest="  ")
            lines += wrap(f"left out: {quantity.leaves_out}", width, "faint", first="  ", rest="  ")
    for remark in sheet.remarks:
        lines += wrap(remark, width, first="! ", rest="  ")
    if sheet.not_reckoned and sheet.steps:
        lines += wrap(sheet.not_reckoned, width)
    return lines


def product_text(one: object) -> str:
    """A product in one line."""
    name, kind, ratio, lot, expires, page, invented = (
        getattr(one, key) for key in ("name", "kind", "ratio", "lot", "expires", "sheet", "invented")
    )
    details = [kind, f"ratio {ratio}" if ratio else "", f"lot {lot}" if lot else "lot ________"]
    details += [f"good until {expires}" if expires else "good until ________", page]
    return f"{name} ({', '.join(filter(None, details))}){', invented example' if invented else ''}"


def _caution(caution: SheetCaution, width: int, indent: str) -> list[Line]:
    text = f"{LEVELS[caution.level]}: {caution.hazard}. {caution.text}"
    return wrap(text, width, "caution", first=f"{indent}! ", rest=f"{indent}  ")


def _step(step: SheetStep, before: SheetStep | None, width: int) -> list[Line]:
    lines = [Line("")]
    again = still_holds(step, before)
    if again:
        lines += wrap(again, width, "caution", first="    ! ", rest="      ")
    for caution in step.cautions:
        lines += _caution(caution, width, "    ") if caution.full else []
    lines += wrap(f"[ ] {step.number}. {step.do}", width, "strong", rest="    ")
    lines += wrap(f"Why: {step.why}", width, first="    ", rest="    ")
    if step.time:
        lines += wrap(f"Time: {step.time}", width, first="    ", rest="    ")
    if step.hold:
        lines += wrap(f"STOP and look: {step.hold}", width, "strong", first="    ", rest="    ")
        lines += wrap("[ ] all right, go on  [ ] not right", width, "strong", first="    ", rest="    ")
    for name in step.record:
        lines += wrap(f"{name}: {_BLANK}", width, first="    ", rest="    ")
    return lines
