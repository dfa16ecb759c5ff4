"""Keys under which words are found again: what is left without a letter, which letters, patterns."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate, islice

Keys = dict[str, list[int]]  # ranks of words, ascending

_BETWEEN = "[-+/(),]*"


def put(table: Keys, key: str, rank: int) -> None:
    """Add a rank under a key; ranks come in ascending order."""
    known = table.get(key)
    if known is None:
        table[key] = [rank]
    elif known[-1] != rank:
        known.append(rank)


def without(word: str) -> set[str]:
    """What is left when one character is taken out."""
    return {word[:i] + word[i + 1 :] for i in range(len(word))}


def mask_of(bare: str) -> int:
    """The letters and digits that stand in a text, as bits."""
    bits = 0
    for character in bare:
        bits |= 1 << ord(character) - 48
    return bits


class Pattern:
    """Words of which several letters cannot be read, by a pattern over the whole list; at most so many."""

    def __init__(self, words: Sequence[str], most: int) -> None:
        self._list, self._most = "\n".join(words), most
        self._starts = list(accumulate((len(word) + 1 for word in words), initial=0))

    def find(self, text: str) -> list[int]:
        """Places in the list of the words that the text may be; `?` stands for any letter or digit."""
        parts = ["[A-Z0-9]" if c == "?" else c for c in text if c == "?" or c.isalnum()]
        hits = re.finditer(f"^{_BETWEEN}{_BETWEEN.join(parts)}{_BETWEEN}$", self._list, re.MULTILINE)
        return [bisect_left(self._starts, hit.start()) for hit in islice(hits, self._most)]
