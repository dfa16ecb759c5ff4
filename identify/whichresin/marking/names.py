"""Spoken and spelled-out names: "nylon six glass thirty", "polypropelene", "poly carbonate ABS blend".

Words are matched to the names of names.yaml with spelling mistakes (rapidfuzz); a phrase of several words beats its
words. The text is cut into phrases from left to right, keeping the few best ways.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from .composition import Composition, FillerPart, Marking
from .tables import Tables

if TYPE_CHECKING:
    from .decoder import Weighed

MOST_WORDS = 12
LONGEST_PHRASE = 4
KEPT = 8
_WORD = re.compile(r"[A-Za-z]+|\d+")


class Meant(NamedTuple):
    """What a phrase stands for: kind polymer, filler, joins, ignored or retarded."""

    kind: str
    what: str
    times: float


@dataclass(frozen=True, slots=True)
class Heard:
    """What was understood so far."""

    weight: float
    polymers: tuple[str, ...] = ()
    fillers: tuple[tuple[str, int | None], ...] = ()
    number: int | None = None
    retarded: bool = False


class NameTable:
    """Names ready for search."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        rows = tables.names
        self._meant: dict[str, list[Meant]] = {}
        for say, symbol, times in rows.polymers:
            for phrase in say:
                self._meant.setdefault(_key(phrase), []).append(Meant("polymer", symbol, times))
        for say, code, times in rows.fillers:
            for phrase in say:
                self._meant.setdefault(_key(phrase), []).append(Meant("filler", code, times))
        for kind, words in rows.words.items():
            for word in words:
                self._meant.setdefault(_key(word), []).append(Meant(kind, word, 1.0))
        self._phrases = list(self._meant)
        self._shares = {head.text: head.weight for head in tables.language.heads}
        self._known: dict[str, list[tuple[str, float]]] = {}

    def worth_a_look(self, text: str) -> bool:
        """Whether the text holds words rather than a symbol."""
        words = [word for word in _WORD.findall(text) if word.isalpha()]
        if not 1 <= len(words) <= MOST_WORDS or len(text) > 120:
            return False
        longest = max(map(len, words))
        return longest >= 7 or (longest >= 4 and " " in text.strip())

    def readings(self, text: str) -> list[Weighed]:
        """What the words can mean, with weights on the scale of the search."""
        from .decoder import Weighed

        words = self._numbers([word.lower() for word in _WORD.findall(text)])
        if not words or len(words) > MOST_WORDS:
            return []
        ways: list[list[Heard]] = [[Heard(self._tables.names.base)]] + [[] for _ in words]
        for start in range(len(words)):
            ways[start] = sorted(ways[start], key=lambda heard: -heard.weight)[:KEPT]
            for heard in ways[start]:
                for end in range(start + 1, min(len(words), start + LONGEST_PHRASE) + 1):
                    ways[end].extend(self._take(heard, words[start:end]))
        found = []
        for heard in sorted(ways[-1], key=lambda h: -h.weight)[:KEPT]:
            if heard.polymers:
                marking = self._marking(heard)
                prior = self._shares.get("+".join(marking.polymers), 1e-6) * 0.1
                found.append(Weighed(marking, heard.weight * prior, prior, 0, "read as a spoken name"))
        return found

    def _numbers(self, words: list[str]) -> list[str]:
        """Number words as digits: thirty, twenty five, six six."""
        table, digits = self._tables.names.numbers, []
        for word in words:
            value = table.get(word)
            if value is None:
                digits.append(word)
            elif (
                value < 10
                and digits
                and digits[-1].isdigit()
                and int(digits[-1]) in range(20, 91, 10)
                and digits[-1][-1] == "0"
            ):
                digits[-1] = str(int(digits[-1]) + value)
            else:
                digits.append(str(value))
        return digits

    def _take(self, heard: Heard, words: list[str]) -> list[Heard]:
        """Ways to understand these words as one phrase."""
        if len(words) == 1 and words[0].isdigit():
            return self._number(heard, int(words[0]))
        found = []
        for phrase, chance in self._matches("".join(words)):
            if len(words) > 1 and chance < 0.005:
                continue
            for meant in self._meant[phrase]:
                weight = heard.weight * chance * meant.times * (0.6 if meant.kind == "ignored" else 1.0)
                found += self._understood(heard, meant, weight)
        if not found and len(words) == 1:
            found.append(replace(heard, weight=heard.weight * 1e-4))  # a word that says nothing here
        return found

    def _understood(self, heard: Heard, meant: Meant, weight: float) -> list[Heard]:
        if meant.kind == "polymer":
            symbol, _, filler = (
                meant.what.partition("-") if meant.what not in self._tables.polymers else (meant.what, "", "")
            )
            if symbol in heard.polymers:
                return [replace(heard, weight=weight * 0.05)]
            fillers = heard.fillers + (((filler, None),) if filler and not heard.fillers else ())
            return [replace(heard, weight=weight, polymers=(*heard.polymers, symbol), fillers=fillers)]
        if meant.kind == "filler":
            if any(code == meant.what for code, _ in heard.fillers):
                return [replace(heard, weight=weight)]
            return [replace(heard, weight=weight, fillers=(*heard.fillers, (meant.what, heard.number)), number=None)]
        if meant.kind == "retarded":
            return [replace(heard, weight=weight, retarded=True)]
        return [replace(heard, weight=weight)]

    def _number(self, heard: Heard, value: int) -> list[Heard]:
        if not 1 <= value <= 99:
            return [replace(heard, weight=heard.weight * 1e-4)]
        open_fillers = [i for i, (_, percent) in enumerate(heard.fillers) if percent is None]
        if open_fillers:
            fillers = list(heard.fillers)
            fillers[open_fillers[-1]] = (fillers[open_fillers[-1]][0], value)
            return [replace(heard, weight=heard.weight * 0.8, fillers=tuple(fillers))]
        return [replace(heard, weight=heard.weight * 0.3, number=value)]

    def _matches(self, word: str) -> list[tuple[str, float]]:
        known = self._known.get(word)
        if known is None:
            from rapidfuzz import process
            from rapidfuzz.distance import OSA

            rows = self._tables.names
            hits = process.extract(
                word, self._phrases, scorer=OSA.normalized_similarity, limit=6, score_cutoff=rows.enough
            )
            # short words have no room for mistakes: they would be other words
            known = [
                (phrase, rows.typo ** (edits if len(phrase) > 4 else 2 * edits))
                for phrase, _, _ in hits
                for edits in (OSA.distance(word, phrase),)
            ]
            if len(self._known) > 5000:
                self._known.clear()
            self._known[word] = known
        return known

    def _marking(self, heard: Heard) -> Marking:
        parts = []
        for code, percent in heard.fillers:
            row = self._tables.fillers[code]
            parts.append(FillerPart(row.code, row.material, row.form, percent))
        return Marking((Composition(heard.polymers, tuple(parts), retarded=heard.retarded),))


def _key(phrase: str) -> str:
    return "".join(_WORD.findall(phrase.lower()))
