"""A job sheet as one HTML page: nothing is fetched, nothing runs, it reads on a phone and prints on A4 in black."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from pathlib import Path

from whichresin.repair.sheet import LEVELS, TO_RECORD, Sheet, SheetCaution, SheetStep, still_holds
from whichresin.terminal.lines import percent

from .sheet_text import decision_text, product_text


def sheet_page(sheet: Sheet) -> str:
    """The page. Every text from a file or a person is escaped."""
    title = f"{sheet.title}: {sheet.part}" if sheet.part else sheet.title
    parts = [
        "<!DOCTYPE html>", '<html lang="en">', "<head>", '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        f"<title>{escape(title)}</title>", f"<style>{_style()}</style>", "</head>", "<body>",
        f"<h1>{escape(sheet.title)}</h1>", *_head(sheet), *_decision(sheet), *_identified(sheet), *_before(sheet),
        *_bring(sheet), *_steps(sheet.steps), *_signed(sheet), "</body>", "</html>",
    ]  # fmt: skip
    return "\n".join(parts) + "\n"


def _style() -> str:
    return (Path(__file__).parent / "sheet.css").read_text(encoding="utf-8")


def _head(sheet: Sheet) -> list[str]:
    rows = [("Part", sheet.part), ("Owner, machine", sheet.owner), ("Damage", sheet.damage), ("Date", ""),
            ("Room temperature, humidity", sheet.room)]  # fmt: skip
    cells = [
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(value) or "&nbsp;"}</td></tr>' for name, value in rows
    ]
    return ['<table class="head"><tbody>', *cells, "</tbody></table>"]


def _decision(sheet: Sheet) -> list[str]:
    lines = [f'<div class="decision"><p><strong>Decision: {escape(decision_text(sheet))}</strong></p>']
    lines += _list(sheet.because)
    if sheet.promoter:
        lines.append(f"<p>{escape(sheet.promoter)}</p>")
    if sheet.next_question:
        lines.append(f"<p>Ask next: <strong>{escape(sheet.next_question)}</strong></p>")
    lines.append("</div>")
    if sheet.must_not:
        lines += ["<h2>Do not</h2>", *_list(sheet.must_not)]
    return lines


def _identified(sheet: Sheet) -> list[str]:
    found = [(one.name, percent(one.probability), one.word) for one in (*sheet.cells, *sheet.polymers)]
    rows = [f"<tr>{''.join(f'<td>{escape(text)}</td>' for text in row)}</tr>" for row in found]
    lines = ["<h2>What it is made of</h2>", f"<p>Class: {escape(sheet.klass or 'not settled')}. "
             f"None of these: {escape(percent(sheet.none_of_these))}.</p>"]  # fmt: skip
    if rows:
        lines += ["<table><thead><tr><th>It may be</th><th>How likely</th><th>In words</th></tr></thead><tbody>", *rows,
                  "</tbody></table>"]  # fmt: skip
    if sheet.evidence:
        lines += ["<p>Because:</p>", *_list(sheet.evidence_shown)]
    if sheet.open:
        lines += ["<p>Still open:</p>", *_list(sheet.open)]
    return lines


def _before(sheet: Sheet) -> list[str]:
    return (
        [f"<h2>{'Before you begin' if sheet.steps else 'Take care'}</h2>", *map(_caution, sheet.cautions)]
        if sheet.cautions
        else []
    )


def _bring(sheet: Sheet) -> list[str]:
    lines: list[str] = []
    ticks = [*sheet.needs, *map(product_text, sheet.products)]
    if ticks:
        lines += ["<h2>Lay out</h2>", '<ul class="ticks">', *(f"<li>{_tick(text)}</li>" for text in ticks), "</ul>"]
    if sheet.quantities:
        lines += ["<h2>How much</h2>", "<table><thead><tr><th>What</th><th>Usual (from to)</th><th>What this leaves out"
                  "</th></tr></thead><tbody>"]  # fmt: skip
        for one in sheet.quantities:
            lines.append(
                f"<tr><td>{escape(one.name)}</td><td>{escape(one.text)}</td>"
                f'<td class="small">{escape(one.leaves_out)}</td></tr>'
            )
        lines.append("</tbody></table>")
    lines += _list(sheet.remarks)
    if sheet.not_reckoned and sheet.steps:
        lines.append(f'<p class="small">{escape(sheet.not_reckoned)}</p>')
    return lines


def _steps(steps: Iterable[SheetStep]) -> list[str]:
    lines: list[str] = []
    stage, before = None, None
    for step in steps:
        if step.stage != stage:
            stage = step.stage
            lines.append(f"<h2>{escape(stage or 'Steps')}</h2>")
        lines += _step(step, before)
        before = step
    return lines


def _step(step: SheetStep, before: SheetStep | None) -> list[str]:
    lines = ['<section class="step">']
    again = still_holds(step, before)
    if again:
        lines.append(f'<div class="caution again">{escape(again)}</div>')
    lines += [_caution(one) for one in step.cautions if one.full]
    lines += ['<div class="act">', f'<div class="do">{_tick(f"{step.number}. {step.do}")}</div>', '<div class="inner">']
    time = f' <span class="time"><strong>Time:</strong> {escape(step.time)}</span>' if step.time else ""
    lines.append(f"<p>{escape(step.why)}{time}</p>")
    if step.hold:
        lines.append(f'<div class="hold"><strong>Stop and look:</strong> {escape(step.hold)}'
                     f'<div class="answers">{_tick("all right, go on")}{_tick("not right")}</div></div>')  # fmt: skip
    if step.record:
        lines += ['<div class="records">', *map(_blank, step.record), "</div>"]
    return [*lines, "</div>", "</div>", "</section>"]


def _signed(sheet: Sheet) -> list[str]:
    names = ("Done by", "Checked by") if sheet.steps else ("Decided by",)
    lines = []
    if not sheet.steps:
        lines += [
            "<h2>Write down</h2>",
            '<section class="step">',
            *map(_blank, TO_RECORD[sheet.decision]),
            "</section>",
        ]
    lines += ['<div class="signed">', "<h2>Signed</h2>", '<section class="step">']
    lines += [_blank(f"{name}, date, signature") for name in names]
    told = "The owner was told what was and was not restored, and what the part may not be used for"
    lines += [_tick(told if sheet.steps else "The owner was told why, and who decides instead"), "</section>"]
    lines.append(f'<p class="small">Sheet {escape(sheet.id)}, made {escape(sheet.made)}, knowledge '
                 f"{escape(sheet.knowledge[:12])}.</p></div>")  # fmt: skip
    return lines


def _caution(caution: SheetCaution) -> str:
    head = f"<strong>{escape(LEVELS[caution.level])}: {escape(caution.hazard)}.</strong>"
    return f'<div class="caution">{head} {escape(caution.text)}</div>'


def _list(texts: Iterable[str]) -> list[str]:
    rows = [f"<li>{escape(text)}</li>" for text in texts]
    return ["<ul>", *rows, "</ul>"] if rows else []


def _tick(text: str) -> str:
    return f'<label><input type="checkbox"><span>{escape(text)}</span></label>'


def _blank(name: str) -> str:
    return f'<div class="blank"><span>{escape(name)}:</span><span class="line"></span></div>'
