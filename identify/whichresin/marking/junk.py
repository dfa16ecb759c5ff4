"""How likely a text is if it is no material marking: part number, date, cavity, tyre code, words."""

from __future__ import annotations

from collections.abc import Mapping
from math import exp, pi, sqrt

from .tables import JunkTable

SIZES = {"d": 10, "l": 26, "s": 8}
_UNREADABLE = 0.03  # how often a character of such a text cannot be read


def likelihood(text: str, table: JunkTable) -> tuple[float, str]:
    """P(text | no marking) and the kind that explains it best. `text` is tidied, blanks included."""
    best, kind, total = 0.0, "", 0.0
    rest = 1.0 - sum(share for _, share, _ in table.forms)
    for row in table.kinds:
        chance = rest * row.share * _chain(text, row.start, row.following)
        width = max(row.spread, 0.5)
        chance *= exp(-0.5 * ((len(text) - row.mean) / width) ** 2) / (width * sqrt(2 * pi))
        total += chance
        if chance > best:
            best, kind = chance, row.id
    for what, share, patterns in table.forms:
        chance = sum(share / len(patterns) * _like(text, pattern) for pattern in patterns if len(pattern) == len(text))
        total += chance
        if chance > best:
            best, kind = chance, what
    return total, kind


def _kind(character: str) -> str:
    if character.isdigit():
        return "d"
    return "l" if character.isalpha() else "s"


def _chain(text: str, start: Mapping[str, float], following: Mapping[str, Mapping[str, float]]) -> float:
    chance, before = 1.0, ""
    for character in text:
        if character == "?":
            chance *= _UNREADABLE
            continue
        kind = _kind(character)
        row = start if not before else following.get(before, {})
        chance *= row.get(kind, 0.01) / SIZES[kind]
        before = kind
    return chance


def _like(text: str, pattern: str) -> float:
    chance = 1.0
    for character, wanted in zip(text, pattern, strict=True):
        if character == "?":
            chance *= _UNREADABLE
        elif wanted == "#" and character.isdigit():
            chance /= 10
        elif wanted == "@" and character.isalpha():
            chance /= 26
        elif character != wanted.upper():
            return 0.0
    return chance
