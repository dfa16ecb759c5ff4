"""A page laid out for a screen of any size. Pure: page and size in, rows out; a resize is another call.

What gives way when the screen is short stands in `_ORDER`. The question, the answers and the class never do: answers
that find no room come up with the space bar, and the last row says how many there are. Whatever is left out is named
with the key that shows it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from . import words
from .fit import Section, fit
from .lines import Line
from .look import Look, Row, beside, cells, cut, rows_of
from .page import Page
from .panel import panel_rows, strip_rows

WIDE = 70  # columns from which the panel stands beside the question
_ROOMY = 100  # and from which it is more than just wide enough
_PANEL = 28
_WITHOUT_PANEL = ("consent", "ending", "list", "read", "text")  # pages that need the room
_HANGING = "    "
_TYPING_ROOM = 16
_TYPED = ("text", "list", "number", "liquids")  # kinds that end with Enter
_ORDER = (
    "hazard", "fooled", "why", "gaps", "gaps2", "band", "remarks", "how", "lasting", "cost", "lesson", "strip", "how",
    "strip", "lasting", "cost", "strip", "remarks", "why", "wear", "how", "strip",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Drawn:
    """The rows of a screen, its last one for what is typed left out; `more` tells that the space bar shows more."""

    rows: list[Row]
    shown: int  # rows or answers of the long part that are on this screen
    more: int  # and how many come after them


def compose(
    page: Page,
    columns: int,
    rows: int,
    look: Look,
    remarks: Sequence[Line] = (),
    lasting: Sequence[Line] = (),
    skip: int = 0,
    marked: str = "",
) -> Drawn:
    """The screen for a page. `skip` rows of the long part are past already; `marked` are answers that are ticked."""
    columns, room = max(columns, 12), max(rows - 1, 3)
    wide = columns >= WIDE and page.known is not None and page.kind not in _WITHOUT_PANEL
    panel = max(_PANEL, columns * 3 // 8 if columns >= _ROOMY else 0) if wide else 0
    width = columns - panel - (3 if wide else 0) - 1
    top = [
        Section("header", [_header(page, columns)]),
        Section("band", _band(page, columns, look)),
        Section("lasting", _short(lasting, columns - 1, look)),
        Section("remarks", _short(remarks, columns - 1, look)),
    ]
    left = _left(page, width, look)
    strip = [] if wide or page.known is None or page.kind in _WITHOUT_PANEL else [page.known]
    bottom = [
        *(Section("strip", [[[("", look.rule * (columns - 1))], *v] for v in strip_rows(k, columns - 1, look)])
          for k in strip),
        Section("keys", _keys(page, columns - 1, look)),
        Section("prompt", _long_prompt(page, columns)),
    ]  # fmt: skip
    long = _long(page, width, look, marked)
    everything = [*top, *left, *bottom]
    fit(everything, room - sum(len(item) for item in long), _ORDER)
    used = sum(len(section.rows) for section in everything)
    kept, shown, more = _take(long, max(1, room - used), skip, page.body is None)
    head = [row for section in top for row in section.rows]
    foot = [row for section in bottom for row in section.rows]
    body = [row for section in left for row in section.rows] + kept
    if wide and page.known is not None:
        height = max(room - len(head) - len(foot), 1)
        side = panel_rows(page.known, panel - 1, height, look)
        body += [[] for _ in range(min(height, max(len(side), len(body))) - len(body))]
        edge = columns - panel - 2
        bar = ("", f"{look.side} ")
        body = [beside(row, [bar, *(side[i] if i < len(side) else [])], edge) for i, row in enumerate(body)]
    body += [[] for _ in range(room - len(head) - len(foot) - len(body))]
    return Drawn([*head, *body, *foot][:room], shown, more)


def _header(page: Page, columns: int) -> list[Row]:
    """What is being looked at on the left, how far one is on the right."""
    number = words.QUESTION_NUMBER.format(number=page.number) if page.number else ""
    right = ", ".join(filter(None, (number, page.left)))
    left = cut(f" {words.NAME}   {page.part}".rstrip(), max(8, columns - cells(right) - 3))
    return [beside([("", left)], [("", right)], columns - cells(right) - 1)] if right else [[("", left)]]


def _band(page: Page, columns: int, look: Look) -> list[list[Row]]:
    """The question: a dark band on a light ground, a light one on a dark ground; between rules without attributes."""
    lines = ["".join(text for _, text in row) for row in rows_of(page.question, columns - 4, "", "  ", "  ")]
    if look.attributes:
        rows: list[Row] = [[(look.band(), line + " " * (columns - cells(line)))] for line in lines]
        blank: Row = [(look.band(), " " * columns)]
        return [[blank, *rows, blank], rows]
    rule: Row = [("", look.rule * columns)]
    return [[rule, *([("", line)] for line in lines), rule], [*([("", line)] for line in lines), rule]]


def _short(lines: Sequence[Line], width: int, look: Look) -> list[list[Row]]:
    """A remark in full, on its first two rows, on its first."""
    if not lines:
        return [[]]
    rows: list[Row] = []
    for line in lines:
        style = look.strong() if line.style in ("strong", "caution") else ""
        rows += rows_of(line.text.strip(), width, style, " ", "   ")
    versions: list[list[Row]] = [rows]
    for most in (2, 1):
        if most < len(rows):
            style, text = rows[most - 1][0]
            versions.append([*rows[: most - 1], [(style, cut(text + " " * width, width - 3).rstrip(". ") + "...")]])
    return versions


def _left(page: Page, width: int, look: Look) -> list[Section]:
    """Everything about the test but its answers."""
    gap: list[list[Row]] = [[[]], []]
    how = rows_of(f"{words.HOW}: {page.how}" if page.how else "", width, "", " ", " ")
    hows = [how]
    for most in (3, 1):
        if most < len(how):
            last = cut(how[most - 1][0][1] + " " * width, width - 12).rstrip()
            if not last.endswith("..."):
                last += " ..."
            hows.append([*how[: most - 1], [("", f"{last} h: all")]])
    if how:
        hows.append([])
    hazard = f"{words.HAZARDS}: {page.hazard}" if page.hazard else ""
    wear = f"{words.WEAR}: {page.wear}" if page.wear else ""
    fooled = f"{words.FOOLED_BY}: {page.fooled_by}" if page.fooled_by else ""
    hazards = rows_of(hazard, width, look.strong(), " ! ", "   ")
    return [
        Section("gaps", gap),
        Section("hazard", [hazards, [[(look.strong(), cut(f" ! {hazard}", width - 3) + " h")]]] if hazards else [[]]),
        Section("wear", [rows_of(wear, width, look.strong(), " ! ", "   "), []] if wear else [[]]),
        Section("how", hows),
        Section("cost", [rows_of(page.cost, width, "", " ", " "), [[("", cut(f" {page.cost}", width))]], []]),
        Section("lesson", _optional(page.lesson, width)),
        Section("fooled", _optional(fooled, width)),
        Section("why", _why(page.why, width)),
        Section("gaps2", gap),
    ]


def _why(text: str, width: int) -> list[list[Row]]:
    """In full, or in one row: something is always said of why this is asked."""
    rows = rows_of(text, width, "", " ", " ")
    return [rows, [[("", cut(f" {text}", width - 3) + " w")]], []] if len(rows) > 1 else [rows, [], []]


def _optional(text: str, width: int) -> list[list[Row]]:
    return [rows_of(text, width, "", " ", " "), []] if text else [[]]


def _keys(page: Page, width: int, look: Look) -> list[list[Row]]:
    """The keys with their words, on as few rows as the width allows."""
    return [_packed(page.keys, width, look)] if page.keys else [[]]


def prompt_fits(page: Page, columns: int) -> bool:
    """Whether the prompt leaves room on its own row for what is typed; else it stands above that row."""
    room = _TYPING_ROOM if page.kind in _TYPED else 2
    return cells(page.sureness + page.prompt) + room <= columns


def _long_prompt(page: Page, columns: int) -> list[list[Row]]:
    prompt = page.sureness + page.prompt
    return [[]] if prompt_fits(page, columns) else [rows_of(prompt.strip(), columns - 1, "", " ", " ")]


def _packed(keys: Mapping[str, str], width: int, look: Look) -> list[Row]:
    rows: list[Row] = [[]]
    used = 0
    for key, word in keys.items():
        size = cells(key) + cells(word) + 1
        if rows[-1] and used + 2 + size > width:
            rows.append([])
            used = 0
        rows[-1] += [("", "  " if rows[-1] else " "), (look.strong(), key), ("", f" {word}")]
        used += size + 2
    return rows


def _long(page: Page, width: int, look: Look, marked: str) -> list[list[Row]]:
    """The part that may take several screens, as items that are never torn: answers, cautions, a text."""
    items: list[list[Row]] = []
    if page.body is not None:
        for line in page.body(max(20, width)):
            style = look.strong() if line.style in ("strong", "caution") else ""
            if line.style == "caution" and line.text.startswith(_HANGING) and items:
                items[-1].append([(style, line.text)])  # a caution stays in one piece
            else:
                items.append([[(style, line.text)]])
    for key, text in page.answers:
        mark = ("[x] " if key in marked else "[ ] ") if page.kind == "set" else ""
        rows = rows_of(f"{mark}{text}", width - 5, "", "", "    " if mark else "")
        items.append([[("", "  "), (look.strong(), key), ("", "  "), *rows[0]],
                      *([("", "     "), *row] for row in rows[1:])])  # fmt: skip
    return items


def _take(items: Sequence[Sequence[Row]], room: int, skip: int, spread: bool) -> tuple[list[Row], int, int]:
    """As many whole items from `skip` on as fit, a row kept for the count where some are left out.

    `spread`: with room to spare a blank row stands after each.
    """
    if not skip and 0 < sum(len(item) + 1 for item in items) <= room and spread:
        return [row for item in items for row in [*item, []]], len(items), 0
    rest = items[skip:]
    if sum(len(item) for item in rest) + (1 if skip else 0) <= room and not skip:
        return [row for item in rest for row in item], len(rest), 0
    taken: list[Row] = []
    count = 0
    for item in rest:
        if count and len(taken) + len(item) > room - 1:
            break
        taken += item
        count += 1
    more = len(rest) - count
    said = words.MORE_HERE.format(count=more) if more else words.FROM_START if skip else ""
    return [*taken, *([[("", f" {said}")]] if said else [])], count, more
