"""The decode result as plain lines: reading, odds, class, meaning. Readable at 80 and at 40 columns."""

from __future__ import annotations

from textwrap import wrap

from whichresin.marking.reading import Decoding, Reading
from whichresin.vocabulary.text import escaped

VERDICTS = {"clear": "clear", "likely": "likely, not certain", "ambiguous": "ambiguous", "unreadable": "unreadable"}
# Odds in words, from the highest; the same words as shared/words.yaml.
LEAST_SHOWN = 0.005


def page(results: list[Decoding], most: int, columns: int) -> str:
    """All results, one under the other."""
    width = max(30, min(columns, 100))
    return "\n".join(_one(result, most, width) for result in results)


def _one(result: Decoding, most: int, width: int) -> str:
    lines = wrap(f"{_short(escaped(result.text))}: {VERDICTS[result.verdict]} ({result.says})", width)
    if result.verdict == "unreadable":
        return "\n".join(lines) + "\n"
    shown = [r for r in result.readings[:most] if r.probability >= LEAST_SHOWN] or list(result.readings[:1])
    for reading in shown:
        lines += _reading(reading, width)
    left = sum(r.probability for r in result.readings if r not in shown)
    if left >= LEAST_SHOWN:
        lines.append(f"  other readings {_percent(left)}")
    if result.not_a_marking >= LEAST_SHOWN:
        lines.append(f"  no marking at all {_percent(result.not_a_marking)}")
    lines += _indented(f"class: {result.klass or 'not certain, readings differ or do not tell'}", width)
    for part, means in result.parts:
        lines += _indented(f"{part}: {means}", width)
    if result.cut_short:
        lines += _indented("note: too little is clear; not everything that it could be was looked for", width)
    for note in result.departures:
        lines += _indented(f"note: {note}", width)
    return "\n".join(lines) + "\n"


def _reading(reading: Reading, width: int) -> list[str]:
    head = f"  {reading.text}  {odds_in_words(reading.probability)}, {_percent(reading.probability)}  {reading.klass}"
    if len(head) > width:
        lines = [
            f"  {reading.text}",
            f"    {odds_in_words(reading.probability)}, {_percent(reading.probability)}",
            f"    {reading.klass}",
        ]
    else:
        lines = [head]
    return lines + wrap(reading.meaning, width, initial_indent="    ", subsequent_indent="    ")


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
