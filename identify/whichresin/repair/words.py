"""Free words for damage, surroundings and shop: matched to the vocabulary, longest phrase first.

Pure text in, facts out. A denied word ('no radar') tells nothing of what it denies; a word that fits nothing is
told back. Words that hint at a guarded duty are read the same way: they can only make the plan more careful.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from whichresin.knowledge.repair_model import SaidValue, WordGroup, Words
from whichresin.vocabulary.text import shown

_BREAKS = frozenset({".", ",", ";", ":", "but", "with", "although", "|"})
_TOKEN = re.compile(r"[^\W\d_][\w'’-]*|\d+|[.,;:|]")
_NUMBER = r"[-+]?\d+(?:[.,]\d+)?(?:\s*/\s*\d+)?"
_CELSIUS = re.compile(rf"({_NUMBER})\s*(?:°\s*|degrees?\s+)?(?:c|celsius)\b", re.IGNORECASE)
_FAHRENHEIT = re.compile(rf"({_NUMBER})\s*(?:°\s*|degrees?\s+)?(?:f|fahrenheit)\b", re.IGNORECASE)
_TYPO = 80.0  # rapidfuzz score from which a misspelt word is taken for a known one; from memory
_SHORTEST_GUESSED = 5
_SURFACES = {"thick": "wall", "thickness": "wall", "wall": "wall", "wide": "width", "width": "width"}
_LEAST_C, _MOST_C = -40.0, 60.0


class BadWords(ValueError):
    """Words that cannot be meant; the message is one sentence: what, and what to write instead."""


@dataclass(frozen=True, slots=True)
class Said:
    """What one field says: values by fact, how each was understood, and what was not."""

    facts: Mapping[str, tuple[str, ...]]
    meanings: tuple[str, ...]
    not_understood: tuple[str, ...]
    lengths_mm: tuple[float, ...] = ()
    width_mm: float | None = None
    wall_mm: float | None = None
    celsius: float | None = None


@dataclass(frozen=True, slots=True)
class _Phrase:
    tokens: tuple[str, ...]
    group: WordGroup
    value: SaidValue


Phrases = dict[tuple[str, ...], list[_Phrase]]


def understand(words: Words, field: str, text: str) -> Said:
    """Read one field (part, damage, context or shop). Raises BadWords for sizes that cannot be."""
    rest = text.replace("\u201d", '"').replace("\u201c", '"').replace("''", '"').replace("\u2033", '"')
    rest, celsius = _temperature(rest) if field == "context" else (rest, None)
    lengths: tuple[float, ...] = ()
    width = wall = None
    if field in ("damage", "context"):
        rest, lengths, width, wall = _lengths(words, field, rest)
    tokens = [token.lower().replace("’", "'") for token in _TOKEN.findall(rest)]
    facts, meanings, unknown = _match(words, field, tokens)
    said = [f"{value:g} mm" for value in lengths]
    said += [f"{name} {value:g} mm" for name, value in (("width", width), ("wall", wall)) if value is not None]
    said += [f"{celsius:g} C"] if celsius is not None else []
    return Said(facts, (*meanings, *said), unknown, lengths, width, wall, celsius)


def understand_shop(words: Words, items: Iterable[str]) -> Said:
    """Read a list of what the shop has, one item at a time, so that words of two items never join."""
    return understand(words, "shop", " | ".join(item.replace("_", " ") for item in items))


def size_of(words: Words, longest_mm: float) -> str:
    """The name of a size: the largest one whose limit is reached."""
    fitting = [(limit, name) for name, limit in words.sizes_mm.items() if longest_mm >= limit]
    return max(fitting)[1] if fitting else ""


def _temperature(text: str) -> tuple[str, float | None]:
    for pattern, scale in ((_CELSIUS, 1.0), (_FAHRENHEIT, 5.0 / 9.0)):
        found = pattern.search(text)
        if found is not None:
            value = _value(found.group(1))
            celsius = value if scale == 1.0 else (value - 32.0) * scale
            if not _LEAST_C <= celsius <= _MOST_C:
                raise BadWords(
                    f"{shown(found.group())} is no temperature to work at; write the room's, such as 18 C"
                )
            return text[: found.start()] + " " + text[found.end() :], round(celsius, 1)
    return text, None


def _lengths(
    words: Words, field: str, text: str
) -> tuple[str, tuple[float, ...], float | None, float | None]:
    """Lengths in millimetres, and the text without them. A number of a damage without a unit is refused."""
    units = "|".join(re.escape(unit) for unit in sorted(words.lengths_mm, key=len, reverse=True))
    unit = rf"({units})(?!\w)"
    pair = re.compile(rf"(?<![\w.])({_NUMBER})\s*(?:{unit})?\s*(?:x|×|\*|by)\s*({_NUMBER})\s*{unit}", re.IGNORECASE)
    single = re.compile(rf"(?<![\w.])({_NUMBER})\s*-?\s*{unit}(?:\s+(thick|wide))?", re.IGNORECASE)
    lengths: list[float] = []
    surfaces: dict[str, float] = {}

    def take_pair(found: re.Match[str]) -> str:
        last = found.group(4)
        for number, own in ((found.group(1), found.group(2) or last), (found.group(3), last)):
            lengths.append(_length(words, number, own))
        return " "

    def take(found: re.Match[str]) -> str:
        value = _length(words, found.group(1), found.group(2))
        before = re.findall(r"[a-z]+", found.string[: found.start()].lower())[-1:]
        named = (found.group(3) or "").lower() or (before[0] if before and before[0] != "wide" else "")
        if named in _SURFACES:
            surfaces[_SURFACES[named]] = value
        else:
            lengths.append(value)
        return " "

    text = pair.sub(take_pair, text)
    rest = single.sub(take, text)
    bare = re.search(rf"(?<![\w.-])({_NUMBER})(?!\s*[\w])", rest)
    if field == "damage" and bare is not None:
        raise BadWords(f"{shown(bare.group())} has no unit in the damage; write 40 mm, 4 cm or 2 in")
    return rest, tuple(sorted(lengths, reverse=True)), surfaces.get("width"), surfaces.get("wall")


def _length(words: Words, number: str, unit: str) -> float:
    value = round(_value(number) * words.lengths_mm[unit.lower()], 3)
    if not 0 < value <= words.longest_mm:
        most = f"{words.longest_mm / 1000:g} m"
        raise BadWords(f"{shown(number + ' ' + unit)} is no size of a damage; write a length above 0 and up to {most}")
    return value


def _value(number: str) -> float:
    whole, _, part = number.replace(",", ".").replace(" ", "").partition("/")
    return float(whole) / float(part) if part and float(part) else float(whole)


def _match(
    words: Words, field: str, tokens: Sequence[str]
) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...], tuple[str, ...]]:
    phrases = _phrases(words, field)
    every = _phrases(words, "")  # what a denial may reach over
    longest = max((len(key) for key in phrases), default=0)
    facts: dict[str, dict[str, None]] = {}
    meanings: dict[str, None] = {}
    unknown: dict[str, None] = {}
    place = 0
    while place < len(tokens):
        hit = next(
            (key for size in range(longest, 0, -1) if (key := tuple(tokens[place : place + size])) in phrases), None
        )
        found = hit or _guess(tokens[place], phrases, words)
        if found is None:
            token = tokens[place]
            known = token in words.fillers or token in words.denials or token in _BREAKS or token.isdigit()
            if not known:
                unknown[token] = None
            place += 1
            continue
        said = " ".join(found)
        denied = _denied(words, tokens, place, every)
        for phrase in phrases[found]:
            if denied:
                meanings[f"not {said}"] = None
                continue
            facts.setdefault(phrase.group.name, {})[phrase.value.id] = None
            told = phrase.value.text if hit else f"{phrase.value.text} (read {shown(tokens[place])} as {said})"
            meanings[told] = None
        place += len(found) if hit else 1
    return {name: tuple(values) for name, values in facts.items()}, tuple(meanings), tuple(unknown)


def _phrases(words: Words, field: str) -> Phrases:
    return _phrases_of(words.groups, field)


@lru_cache(maxsize=32)
def _phrases_of(groups: tuple[WordGroup, ...], field: str) -> Phrases:
    """Every phrase that the field reads, by its words; of all fields for ""."""
    found: Phrases = {}
    for group in groups:
        for value in group.values if not field or field in group.reads else ():
            for text in value.words:
                tokens = tuple(token.lower() for token in _TOKEN.findall(text))
                found.setdefault(tokens, []).append(_Phrase(tokens, group, value))
    return found


def _guess(token: str, phrases: Mapping[tuple[str, ...], object], words: Words) -> tuple[str, ...] | None:
    """A single known word that a misspelt one is likely to mean."""
    if len(token) < _SHORTEST_GUESSED or token in words.fillers or token in words.denials:
        return None
    from rapidfuzz import fuzz, process

    single = [key[0] for key in phrases if len(key) == 1 and len(key[0]) >= _SHORTEST_GUESSED - 1]
    near = process.extractOne(token, single, scorer=fuzz.ratio, score_cutoff=_TYPO)
    return (near[0],) if near else None


def _denied(
    words: Words, tokens: Sequence[str], place: int, phrases: Mapping[tuple[str, ...], object]
) -> bool:
    """Whether a denial stands before the phrase with nothing but small words, or other such phrases, between."""
    denials = [tuple(_TOKEN.findall(text)) for text in words.denials]
    here = place
    while here > 0:
        if any(tuple(tokens[max(0, here - len(one)) : here]) == one for one in denials):
            return True
        token = tokens[here - 1]
        if token in _BREAKS:
            return False
        small = token in words.fillers or token == "any"
        if not small and not any((tuple(tokens[start:here])) in phrases for start in range(max(0, here - 4), here)):
            return False
        here -= 1
    return False
