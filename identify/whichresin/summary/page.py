"""The page of an interview as one HTML file: no network, no script, readable on a phone, printable on A4."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from whichresin.terminal import words as spoken
from whichresin.vocabulary.text import escaped

from . import words
from .chart import chart
from .sheet import Reason, Sheet, Step

_STYLE = """
:root { color-scheme: light dark; --ink: #1a1a1a; --soft: #595959; --ground: #fff; --rule: #c4c4c4; --warn: #fff3d6; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #eee; --soft: #b5b5b5; --ground: #171717; --rule: #4a4a4a; --warn: #3b2f10; } }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 46rem; padding: 1rem; font: 1rem/1.45 system-ui, sans-serif; color: var(--ink);
  background: var(--ground); overflow-wrap: break-word; }
h1 { font-size: 1.5rem; line-height: 1.2; margin: 0 0 .3rem; }
h2 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid var(--rule); break-after: avoid; }
p, ul, ol, dl { margin: .4rem 0; }
ul, ol { padding-left: 1.2rem; }
li { margin: .3rem 0; break-inside: avoid; }
dt { font-weight: bold; margin-top: .5rem; }
dd { margin: 0; }
@media (min-width: 34rem), print { .facts { display: grid; grid-template-columns: 10.5rem 1fr; gap: .25rem .8rem; }
  .facts dt { margin: 0; } }
.soft { color: var(--soft); font-size: .875rem; }
.caution { background: var(--warn); border-left: .3rem solid var(--ink); padding: .5rem .7rem; margin: .5rem 0;
  break-inside: avoid; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .35rem .4rem .35rem 0; border-bottom: 1px solid var(--rule); }
td:first-child { width: 2rem; }
td:nth-child(3), th:nth-child(3) { white-space: nowrap; font-size: .875rem; width: 1%; padding-right: 0; }
tr { break-inside: avoid; }
@media screen and (max-width: 34rem) { thead { display: none; }
  tr { display: grid; grid-template-columns: 2rem 1fr; border-bottom: 1px solid var(--rule); }
  td { border: 0; padding: .3rem 0 0; } td:nth-child(3) { grid-column: 2; padding-bottom: .3rem; width: auto; } }
.tried td { font-style: italic; }
svg { display: block; width: 100%; max-width: 36rem; height: auto; color: var(--ink); break-inside: avoid; }
svg text, svg circle { fill: currentColor; }
svg .line { fill: none; stroke: currentColor; stroke-width: 1.6; }
svg .grid { stroke: var(--rule); stroke-width: .6; }
svg .lead { stroke: currentColor; stroke-width: .5; }
@page { size: A4; margin: 16mm 15mm; }
@media print {
  :root { --ink: #000; --soft: #333; --ground: #fff; --rule: #aaa; --warn: #fff; }
  body { max-width: none; padding: 0; font-size: 10pt; line-height: 1.35; }
  a { color: inherit; text-decoration: none; }
  .caution { border: 1.5pt solid #000; border-left-width: 5pt; } }
"""
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def page(sheet: Sheet) -> str:
    """The whole file. Every text is escaped: notes and part words are free text."""
    body = [f"<h1>{_safe(sheet.title)}</h1>"]
    body += [f'<p class="soft">{_safe(text)}</p>' for text in filter(None, (sheet.about, *sheet.made))]
    body.append('<dl class="facts">')
    body += [f"<dt>{_safe(label)}</dt><dd>{_safe(text)}</dd>" for label, text in sheet.verdict]
    body.append("</dl>")
    if sheet.cautions:
        body.append(_heading(spoken.CAUTIONS))
        body += [
            f'<p class="caution"><strong>{_safe(level)}.</strong> {_safe(text)}</p>' for level, text in sheet.cautions
        ]
    body += _list(spoken.SITS_BADLY, sheet.badly)
    body += [_heading(words.PICTURE), chart(sheet.points), f'<p class="soft">{_safe(words.PICTURE_NOTE)}</p>']
    body += [_heading(words.COURSE), *_table(sheet.steps)]
    body += _reasons(sheet.reasons)
    for title, texts in (
        (spoken.STILL_OPEN, sheet.open_points),
        (spoken.NEXT_STEPS, sheet.next_steps),
        (spoken.IF_WRONG, sheet.if_wrong),
        (spoken.WOULD_CHANGE, sheet.would_change),
        (words.NOTES, sheet.notes),
    ):
        body += _list(title, texts)
    if sheet.sources:
        body.append(_heading(words.SOURCES))
        body += [
            f'<p class="soft" id="{_anchor(id)}"><strong>{_safe(id)}</strong>: {_safe(text)}</p>'
            for id, text in sheet.sources
        ]
    body.append(f'<p class="soft">{_safe(words.FLOOR)}</p>')
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{_safe(sheet.title)}</title>",
            f"<style>{_STYLE}</style>",
            "</head>",
            "<body>",
            *body,
            "</body>",
            "</html>",
            "",
        ]
    )


def _table(steps: Sequence[Step]) -> Iterable[str]:
    yield "<table><thead><tr><th>#</th><th>Question and answer</th><th>Then</th></tr></thead><tbody>"
    for step in steps:
        how = f' <span class="soft">({_safe(step.how)})</span>' if step.how else ""
        said = f" <strong>{_safe(step.said)}</strong>" if step.said else ""
        row = "<tr>" if step.counts else '<tr class="tried">'
        number = str(step.number) if step.counts else ""
        yield (
            f"{row}<td>{number}</td><td>{_safe(step.question)}{said}{how}</td>"
            f"<td>{_safe(step.klass)}<br>{_safe(step.leader)}</td></tr>"
        )
    yield "</tbody></table>"


def _reasons(reasons: Sequence[Reason]) -> Iterable[str]:
    if not reasons:
        return
    yield _heading(spoken.BECAUSE)
    yield "<ul>"
    for reason in reasons:
        rule = f" | {_safe(words.RULE.format(rule=reason.rule))}" if reason.rule else ""
        sources = ", ".join(
            _safe(id) if " " in id else f'<a href="#{_anchor(id)}">{_safe(id)}</a>' for id in reason.sources
        )
        yield (
            f'<li>{_safe(reason.text)}<br><span class="soft">{_safe(", ".join(reason.rests_on))}{rule} | {sources}'
            "</span></li>"
        )
    yield "</ul>"


def _list(title: str, texts: Sequence[str]) -> list[str]:
    return [_heading(title), "<ul>", *(f"<li>{_safe(text)}</li>" for text in texts), "</ul>"] if texts else []


def _heading(text: str) -> str:
    return f"<h2>{_safe(text)}</h2>"


def _anchor(id: str) -> str:
    return "source-" + "".join(c if c.isalnum() else "-" for c in id)


def _safe(text: str) -> str:
    """Text that no reader of HTML and no terminal takes for anything else."""
    return escape(escaped(text), quote=True).replace(" %", "&nbsp;%")
