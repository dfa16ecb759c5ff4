"""The live panel: class and leading polymers as bars, the rival, what would refute, answers, what follows, cautions."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.session.result import Chance

from . import words
from .fit import Section, fit
from .lines import percent
from .look import Look, Row, bar, cells, cut, rows_of
from .page import Known

_FEWEST = 0.01
# What gives way first when the panel is short; each name once a step.
_ORDER = (
    "gap", "gap2", "gap3", "bars", "answers", "follows", "cautions", "answers", "follows", "cautions", "bars",
    "rival", "against", "answers", "follows", "filled", "follows", "bars", "against", "answers", "class", "bars",
    "answers", "answers",
)  # fmt: skip


def panel_rows(known: Known, width: int, height: int, look: Look) -> list[Row]:
    """At most `height` rows of at most `width` columns; whatever is left out is counted, with the key that shows it."""
    sections = [
        Section("class", _class(known, width, look)),
        Section("bars", _bars(known, width, look)),
        Section("filled", [_filled(known, width), []]),
        Section("rival", _rival(known, width)),
        Section("against", _against(known, width)),
        Section("gap", [[[]], []]),
        Section("cautions", _cautions(known, width, look)),
        Section("gap2", [[[]], []]),
        Section("answers", _answers(known, width, look)),
        Section("gap3", [[[]], []]),
        Section("follows", _follows(known, width, look)),
    ]
    fit(sections, height, _ORDER)
    return [row for section in sections for row in section.rows][:height]


def strip_rows(known: Known, width: int, look: Look) -> list[list[Row]]:
    """The panel for a narrow screen, in versions from eight rows down to two."""
    first, _ = _class_text(known)
    short = [[(look.strong(), cut(first, width))]]
    told = ", ".join(f"{c.symbol} {percent(c.probability)}" for c in _leading(known)[:3])
    line = [[("", cut(f"{told}; more: s", width))]]
    rival, against = _rival(known, width)[-1], _against(known, width)[-1]
    bars = _bars(known, width, look)
    cautions = _cautions(known, width, look)[-1]
    return [
        [*short, *bars[-2], *_rival(known, width)[0], *_against(known, width)[0], *cautions],
        [*short, *line, *_rival(known, width)[0], *_against(known, width)[0], *cautions],
        [*short, *line, *rival, *against, *cautions],
        [*short, *line, *rival, *against],
        [*short, *line, *rival],
    ]


def _leading(known: Known) -> list[Chance]:
    listed = [chance for chance in known.result.polymers if chance.probability >= _FEWEST]
    return listed or list(known.result.polymers[:1])


def _class_text(known: Known) -> tuple[str, float]:
    """(class and how sure, the class's share)."""
    result = known.result
    if result.class_name == "undetermined":
        best = sorted(result.class_chances.items(), key=lambda pair: -pair[1])[:2]
        return "? " + ", ".join(f"{name} {percent(p)}" for name, p in best), best[0][1]
    share = result.class_chances[result.class_name]
    return f"{result.class_name} {percent(share)}, {result.class_word}", share


def _class(known: Known, width: int, look: Look) -> list[list[Row]]:
    """The class with its share, how sure that is at the end of its bar."""
    text, share = _class_text(known)
    if known.result.class_name == "undetermined":
        rows = rows_of(text, width, look.strong())
        return [[*rows, [("", bar(share, width, look))]], rows]
    head, word = text.split(", ", 1)
    under = f"{bar(share, max(4, width - cells(word) - 1), look)} {word}"
    return [[[(look.strong(), head)], [("", under)]], rows_of(text, width, look.strong())]


def _bars(known: Known, width: int, look: Look) -> list[list[Row]]:
    """Symbol, bar and number of the leaders, the rest in one figure."""
    found = _leading(known)
    names = min(14, max(cells(words.OTHERS), *(cells(chance.symbol) for chance in found)))
    room = width - names - 11 if width >= names + 15 else 0  # the figure goes before the bar
    versions: list[list[Row]] = []
    for most in (6, 4, 3, 2, 1):
        shown = found[:most]
        told = [(c.symbol, bar(c.probability, room, look), c.probability) for c in shown]
        rest = 1 - sum(c.probability for c in shown)
        if rest >= _FEWEST:
            told.append((words.OTHERS, " " * room, rest))
        versions.append(
            [[("", cut(f"{cut(name, names):<{names}} {drawn} {percent(p):>9}", width))] for name, drawn, p in told]
        )
    return versions


def _filled(known: Known, width: int) -> list[Row]:
    filled = known.result.filled
    what = f": {filled.fillers[0].name}" if filled.fillers and filled.probability >= 0.5 else ""
    return rows_of(f"filled {percent(filled.probability)}, {filled.word}{what}", width, "", "", "  ")


def _rival(known: Known, width: int) -> list[list[Row]]:
    rival = known.result.rival
    if rival is None:
        return [[]]
    text = f"{words.RIVAL_SHORT}: {rival.name} {percent(rival.probability)}"
    short = f"{cut(f'{words.RIVAL_SHORT}: {rival.name}', max(3, width - 10))} {percent(rival.probability)}"
    return [rows_of(text, width, "", "", "  "), [[("", short)]]]


def _against(known: Known, width: int) -> list[list[Row]]:
    if not known.against:
        return [[]]
    text = f"{words.AGAINST_IT}: {known.against}"
    rows = rows_of(text, width, "", "", "  ")
    two = [rows[0], [("", cut(rows[1][0][1] + "...", width - 3) + " s")]] if len(rows) > 2 else rows
    return [rows, two, [[("", cut(text, width - 2) + " s")]] if len(rows) > 1 else rows]


def _cautions(known: Known, width: int, look: Look) -> list[list[Row]]:
    if not known.cautions:
        return [[]]
    full: list[Row] = [[(look.strong(), words.CAUTIONS_SHORT)]]
    for level, hazard in known.cautions:
        full += rows_of(f"{words.LEVELS.get(level, level)}: {hazard}", width, "", "! ", "  ")
    level, hazard = known.cautions[0]
    first = f"! {words.LEVELS.get(level, level)}: {hazard}"
    more = len(known.cautions) - 1
    left = f" {words.MORE.format(count=more, key='s')}" if more else ""
    worst: Row = [(look.strong(), cut(first, width))]
    return [
        full,
        [worst, [("", left.strip())]] if more else [worst],
        [[(look.strong(), cut(first, width - cells(left)) + left)]],
    ]


def _answers(known: Known, width: int, look: Look) -> list[list[Row]]:
    """The answers, all or the latest few, and how many more there are."""
    texts = [f"{test}: {answer}" for test, answer in known.answers]
    return _list(words.ANSWERS_SHORT, texts, width, look, latest=True)


def _follows(known: Known, width: int, look: Look) -> list[list[Row]]:
    texts = [f"{said.text} ({said.rule})" for said in known.result.derived]
    return _list(words.FOLLOWS_SHORT, texts, width, look, latest=False)


def _list(title: str, texts: Sequence[str], width: int, look: Look, latest: bool) -> list[list[Row]]:
    if not texts:
        return [[]]
    full: list[Row] = [[(look.strong(), title)]]
    for text in texts:
        full += rows_of(text, width, "", "- ", "  ")
    versions = [full]
    for most in (5, 3, 2, 1):
        if most > len(texts):
            continue
        shown = texts[-most:] if latest else texts[:most]
        more = len(texts) - most
        head = f"{title}; {words.MORE.format(count=more, key='s')}" if more else title
        rows: list[Row] = [[(look.strong(), cut(head, width))], *([("", cut(f"- {text}", width))] for text in shown)]
        if len(rows) < len(versions[-1]):
            versions.append(rows)
    versions.append([[("", cut(f"{title}: {len(texts)}, s", width))]])
    return versions
