"""A compact trie over words with weights: nodes are numbers, a child's number is higher than its parent's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Trie:
    """`kids[n]`: children by character; `words[n]`: the words that end at n; `best[n]`: the highest weight below."""

    kids: list[dict[str, int]]
    words: list[tuple[int, ...]]
    best: list[float]

    def __len__(self) -> int:
        return len(self.kids)


def build(words: Iterable[tuple[str, float]]) -> Trie:
    """The trie of the words; word `i` is the i-th of the input. Weights must not be negative."""
    kids: list[dict[str, int]] = [{}]
    ends: list[list[int]] = [[]]
    best: list[float] = [0.0]
    for index, (word, weight) in enumerate(words):
        node = 0
        best[0] = max(best[0], weight)
        for character in word:
            child = kids[node].get(character)
            if child is None:
                child = len(kids)
                kids[node][character] = child
                kids.append({})
                ends.append([])
                best.append(0.0)
            node = child
            if weight > best[node]:
                best[node] = weight
        ends[node].append(index)
    return Trie(kids, [tuple(e) for e in ends], best)
