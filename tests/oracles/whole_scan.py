"""The whole scan: every composition of a part of the grammar scored by all its alignments, none left out.

The part holds the commonest heads and all their endings, at least three million compositions. For one seen text the
forward sum f[j] (the chance that the true characters so far became the first j seen ones) is carried through all words
at once, one array row a word: first through all heads, then from each head's row through all endings. Nothing is
pruned, so the best composition is the best there is. numpy does the arithmetic; no code is shared with the search.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from whichresin.marking.damage import LETTERS, SEEN, SIGNS
from whichresin.marking.language import Language
from whichresin.marking.tables import Tables, Wear

HEADS = 450
TRUE = LETTERS + SIGNS


class Scan:
    """Scores every composition of `language`, the part of the grammar with the commonest heads."""

    def __init__(self, tables: Tables) -> None:
        whole = tables.language
        self.table = tables.channel
        heads = tuple(sorted(whole.heads, key=lambda head: -head.weight)[:HEADS])
        self.language: Language = replace(whole, heads=heads)
        self.profiles = np.array([head.profile for head in heads])
        self.priors = np.array([head.weight for head in heads])
        self.head_words = [head.text for head in heads]
        self.end_words = [end.text for end in self.language.endings]
        self.end_priors = np.array([end.weights for end in self.language.endings])  # ending x profile

    def best(self, seen: str) -> tuple[int, float]:
        """(name of the best composition as the search names it, its share of all weight)."""
        total = self.weights(seen)
        h, e = np.unravel_index(int(total.argmax()), total.shape)
        return int(h) << 32 | self.language.endings[int(e)].what, float(total[h, e] / total.sum())

    def weights(self, seen: str) -> np.ndarray:
        """Prior times P(seen | composition), [head, ending]."""
        wears, size = self.table.wear, len(seen)
        start = np.zeros((len(wears), 1, size + 1))
        start[:, 0, 0] = 1.0
        every = np.broadcast_to(np.eye(size + 1), (len(wears), size + 1, size + 1))
        heads = self._through(self.head_words, start, seen, False)[:, :, 0, :]  # [head, wear, j]
        ends = self._through(self.end_words, every, seen, True)[:, :, :, size]  # [ending, wear, j]
        shares = np.array([wear.share for wear in wears])[None, :, None]
        total = (heads * shares).reshape(len(heads), -1) @ ends.reshape(len(ends), -1).T
        total *= self.priors[:, None]
        for profile in range(self.language.profiles):
            rows = self.profiles == profile
            total[rows] *= self.end_priors[:, profile][None, :]
        return total

    def _through(self, words: list[str], starts: np.ndarray, seen: str, last: bool) -> np.ndarray:
        """Chance [word, wear, start row, j] that the word, from each start row, leaves j seen characters used up.

        The extra characters before a true one belong to it; with `last`, those after the last one are added.
        """
        wears, size = self.table.wear, len(seen)
        gaps = np.stack([self._gaps(seen, wear) for wear in wears])
        none = np.array([1 - wear.extra for wear in wears])[:, None, None]
        steps = {x: gaps @ np.stack([self._step(x, seen, wear) for wear in wears]) * none for x in TRUE}
        intact = np.array([self._intact(wear) for wear in wears])[:, None, None] * none
        runs = [
            (true, gaps @ self._run(run, seen) * chance * intact ** len(true))
            for true, run, chance in self.table.several
            if run in seen
        ]
        end = gaps * none if last else np.broadcast_to(np.eye(size + 1), gaps.shape)
        rows: dict[str, np.ndarray] = {"": starts}  # words that begin alike share them
        found = np.empty((len(words), len(wears), starts.shape[1], size + 1))
        for w, word in enumerate(words):
            for length in range(1, len(word) + 1):
                if word[:length] not in rows:
                    row = rows[word[: length - 1]] @ steps[word[length - 1]]
                    for true, run in runs:
                        if word[:length].endswith(true):
                            row = row + rows[word[: length - len(true)]] @ run
                    rows[word[:length]] = row
            found[w] = rows[word] @ end
        return found

    def _gaps(self, seen: str, wear: Wear) -> np.ndarray:
        """gaps[i, j]: extra characters lead from i to j."""
        gaps = np.eye(len(seen) + 1)
        for i in range(len(seen) + 1):
            for j in range(i, len(seen)):
                gaps[i, j + 1] = gaps[i, j] * (wear.extra / len(SEEN) + self.table.breaks.get(seen[j], 0.0))
        return gaps

    @staticmethod
    def _intact(wear: Wear) -> float:
        return 1 - wear.unreadable - wear.look_alike - wear.random - wear.lost

    @staticmethod
    def _run(run: str, seen: str) -> np.ndarray:
        step = np.zeros((len(seen) + 1, len(seen) + 1))
        for j in range(len(seen)):
            if seen.startswith(run, j):
                step[j, j + len(run)] = 1.0
        return step

    def _step(self, x: str, seen: str, wear: Wear) -> np.ndarray:
        """step[i, j]: the true character x takes the seen text from i to j (it is gone, or became one character)."""
        table, intact = self.table, self._intact(wear)
        habits = table.habits.get(x, {})
        step = np.eye(len(seen) + 1) * (wear.lost + intact * habits.get("", 0.0))
        row = {k: v for k, v in table.look_alikes.get(x, {}).items() if k in SEEN and k != x}
        strange = [k for k in LETTERS if k not in row and k != x]
        signs = {"?": 1 - table.signs.get(".", 0.0) - table.signs.get(" ", 0.0)}
        signs |= {sign: table.signs[sign] for sign in (".", " ") if sign in table.signs}
        for j, y in enumerate(seen):
            chance = intact * ((1 - sum(habits.values())) if x == y else habits.get(y, 0.0))
            if y in row:
                chance += wear.look_alike * row[y] / sum(row.values())
            elif y in strange:
                chance += wear.random / len(strange)
            step[j, j + 1] = chance + wear.unreadable * signs.get(y, 0.0)
        return step
