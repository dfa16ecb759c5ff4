"""Closed lists of words. A word outside the list raises, and the error names the nearest word that is in
it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from .text import shown

_NEAR_ENOUGH = 0.6
_LONGEST = 60  # nothing that long is a slip of a word


class UnknownWord(ValueError):
    """A word that its list does not hold. `nearest` is the closest known word, or empty."""

    def __init__(self, found: str, list_name: str, known: tuple[str, ...]) -> None:
        self.found = found
        self.list_name = list_name
        self.known = known
        self.nearest = nearest(found, known)
        near = f"; did you mean {shown(self.nearest)}?" if self.nearest else ""
        super().__init__(f"{shown(found)} is not one of {listed(known)} ({list_name}){near}")


def nearest(found: str, known: Iterable[str]) -> str:
    """The known word most like `found` (or the only one that starts so), or an empty text.

    >>> nearest("polypropelene", ["polyester", "polypropylene"])
    'polypropylene'
    """
    from rapidfuzz.distance import OSA  # only when something is wrong: not paid for at every start

    if len(found) > _LONGEST:
        return ""
    wanted, words = found.casefold(), sorted(set(known))
    longer = [word for word in words if len(wanted) > 3 and word.casefold().startswith(wanted)]
    if len(longer) == 1:
        return longer[0]
    best, best_score = "", _NEAR_ENOUGH
    for word in words:
        score = OSA.normalized_similarity(wanted, word.casefold())
        if score > best_score:
            best, best_score = word, score
    return best


def listed(words: Iterable[str], limit: int = 12) -> str:
    """The words in a row for a sentence, cut after `limit`."""
    every = list(words)
    more = f" and {len(every) - limit} more" if len(every) > limit else ""
    return ", ".join(every[:limit]) + more


@dataclass(frozen=True, slots=True)
class WordList:
    """A closed list; `means` says what each word stands for, in the order of the file."""

    name: str
    means: Mapping[str, str]

    def __contains__(self, word: object) -> bool:
        return word in self.means

    def __iter__(self) -> Iterator[str]:
        return iter(self.means)

    def __len__(self) -> int:
        return len(self.means)

    def check(self, word: str) -> str:
        """The word itself; raises UnknownWord when the list does not hold it."""
        if word not in self.means:
            raise UnknownWord(word, self.name, tuple(self.means))
        return word


@dataclass(frozen=True, slots=True)
class Scale:
    """Words that stand for one number each, such as how often an answer is seen."""

    name: str
    numbers: Mapping[str, float]

    def number(self, word: str) -> float:
        """The word's number; raises UnknownWord."""
        if word not in self.numbers:
            raise UnknownWord(word, self.name, tuple(self.numbers))
        return self.numbers[word]
