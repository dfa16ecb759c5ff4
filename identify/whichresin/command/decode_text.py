"""The decode result as plain lines: reading, odds, class, meaning. Readable at 80 and at 40 columns."""

from __future__ import annotations

from textwrap import wrap

from whichresin.marking.reading import Decoding, Reading
from whichresin.vocabulary.text import escaped

VERDICTS = {"clear": "clear", "likely": "likely, not certain", "ambiguous": "ambiguous", "unreadable": "unreadable"}
# Odds in words, from the highest; the same words as shared/words.yaml.
LEAST_SHOWN = 0.005
ODDS, MARKING, WORDS = 9, 22, 21  # columns


def page(results: list[Decoding], most: int, columns: int) -> str:
    """All results, one under the other."""
    width = max(30, min(columns, 100))
    return "\n".join(_one(result, most, width) for result in results)


def _one(result: Decoding, most: int, width: int) -> str:
    lines = wrap(f"{_short(escaped(result.text)) or '(empty)'}: {VERDICTS[result.verdict]} ({result.says})", width)
    if result.verdict == "unreadable":
        return "\n".join(lines) + "\n"
    shown = [r for r in result.readings[:most] if r.probability >= LEAST_SHOWN] or list(result.readings[:1])
    for reading in shown:
        lines += _reading(reading, width)
    left = result.unseen + sum(reading.probability for reading in result.readings[len(shown) :])
    if left >= LEAST_SHOWN:
        lines.append(f"{_percent(left):>{ODDS}}  anything else")
    if result.not_a_marking >= LEAST_SHOWN:
        lines.append(f"{_percent(result.not_a_marking):>{ODDS}}  no marking at all")
    lines += _indented(f"class: {result.klass or 'not certain, readings differ or do not tell'}", width)
    for part, means in result.parts:
        lines += _indented(f"{part}: {means}", width)
    if result.cut_short:
        lines += _indented("note: too little is clear; not everything that it could be was looked for", width)
    for note in result.departures:
        lines += _indented(f"note: {note}", width)
    return "\n".join(lines) + "\n"


def _reading(reading: Reading, width: int) -> list[str]:
    """Odds, marking, odds in words and class in columns; in a narrow window one under the other."""
    odds, words = f"{_percent(reading.probability):>{ODDS}}  ", odds_in_words(reading.probability)
    klass = "class not known" if reading.klass == "unknown" else reading.klass
    indent = " " * len(odds)
    head = f"{odds}{reading.text:<{MARKING}}  {words:<{WORDS}}  {klass}"
    if len(head) <= width and len(reading.text) <= MARKING:
        lines = [head]
    else:
        text = wrap(reading.text, width - len(odds), break_long_words=True)
        lines = [odds + text[0], *(indent + more for more in text[1:])]
        lines += wrap(f"{words}; {klass}", width, initial_indent=indent, subsequent_indent=indent)
    return lines + wrap(reading.meaning, width, initial_indent=indent, subsequent_indent=indent)


def odds_in_words(probability: float) -> str:
    """The odds as a word of shared/words.yaml."""
    steps = (
        (0.97, "almost certain"),
        (0.9, "very likely"),
        (0.75, "likely"),
        (0.5, "more likely than not"),
        (0.25, "possible"),
    )
    return next(
        (word for least, word in steps if probability >= least), "unlikely" if probability >= 0.05 else "very unlikely"
    )


def _percent(share: float) -> str:
    if share >= 0.995:
        return "over 99 %"
    return "under 1 %" if share < 0.01 else f"{share:.0%}".replace("%", " %")


def _indented(text: str, width: int) -> list[str]:
    return wrap(text, width, initial_indent="  ", subsequent_indent="    ")


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."
