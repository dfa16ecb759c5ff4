"""Markings drawn from the prior and damaged by a stated channel, for the decode benchmarks."""

from __future__ import annotations

import random
from bisect import bisect
from itertools import accumulate

from whichresin.marking.damage import LETTERS
from whichresin.marking.language import Language
from whichresin.marking.tables import Tables, Wear

Key = tuple[int, int, int]


class Sampler:
    """Draws compositions by their prior, and damages text."""

    def __init__(self, tables: Tables, seed: int, language: Language | None = None) -> None:
        self.tables, self.random = tables, random.Random(seed)
        self.language: Language = language or tables.language
        language = self.language
        self._heads = list(accumulate(head.weight for head in language.heads))
        profiles = range(language.profiles)
        self._fillers = [list(accumulate(word.weights[p] for word in language.fillers)) for p in profiles]
        self._tails = [list(accumulate(tail.weights[p] for tail in language.tails)) for p in profiles]

    def composition(self) -> Key:
        head = self._pick(self._heads)
        profile = self.language.heads[head].profile
        return head, self._pick(self._fillers[profile]), self._pick(self._tails[profile])

    def text(self, key: Key) -> str:
        head, filler, tail = key
        return self.language.heads[head].text + self.language.fillers[filler].text + self.language.tails[tail].text

    def wear(self) -> Wear:
        """One kind of wear, by its share."""
        return self.random.choices(self.tables.channel.wear, [w.share for w in self.tables.channel.wear])[0]

    def through(self, text: str, wear: Wear) -> str:
        """The text after the stated channel, habits and breaks included."""
        draw, channel = self.random.random, self.tables.channel
        seen = ""
        for true in text:
            while draw() < wear.extra:
                seen += self.random.choice(LETTERS)
            if draw() < channel.breaks.get(" ", 0.0):
                seen += " "
            u = draw()
            for kind in ("unreadable", "look_alike", "random", "lost"):
                u -= getattr(wear, kind)
                if u < 0:
                    seen += self._damaged(true, kind)
                    break
            else:
                seen += self._written(true)
        return seen

    def exactly(self, text: str, damages: int, kind: str = "") -> str:
        """The text with so many damages, of one kind or of all in the proportions of typical wear."""
        places = self.random.sample(range(len(text)), min(damages, len(text)))
        typical = next(w for w in self.tables.channel.wear if w.id == "typical")
        kinds = ("unreadable", "look_alike", "random", "lost", "extra")
        shares = [getattr(typical, k) for k in kinds]
        seen = ""
        for place, true in enumerate(text):
            what = (kind or self.random.choices(kinds, shares)[0]) if place in places else ""
            if what == "extra":
                seen += self.random.choice(LETTERS) + true
            else:
                seen += self._damaged(true, what) if what else true
        return seen

    def _damaged(self, true: str, kind: str) -> str:
        row = self.tables.channel.look_alikes.get(true)
        if kind == "unreadable":
            return "?"
        if kind == "look_alike" and row:
            names = [y for y in row if y in LETTERS]
            return self.random.choices(names, [row[y] for y in names])[0]
        if kind == "lost":
            return ""
        return self.random.choice([y for y in LETTERS[:26] if y != true])

    def _written(self, true: str) -> str:
        habits = self.tables.channel.habits.get(true, {})
        u = self.random.random()
        for seen, share in habits.items():
            u -= share
            if u < 0:
                return seen
        return true

    def _pick(self, sums: list[float]) -> int:
        return min(bisect(sums, self.random.random() * sums[-1]), len(sums) - 1)
