"""How much a piece of text can weigh at best, judged by its length: what no word can beat need not be looked for."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations_with_replacement

from .damage import EXTRA, LOOK_ALIKE, LOST, RANDOM, UNREADABLE, Channel

# kinds of damage, and how many letters longer the word is; a sign may be taken for a letter
_KINDS = ((LOOK_ALIKE, 0), (RANDOM, 0), (LOST, 1), (EXTRA, -1), (RANDOM, -1))


class Bounds:
    """Bounds for the words of one part, by how many letters and digits a piece has and how many were damaged."""

    def __init__(self, bare: Sequence[str], priors: Sequence[float], channel: Channel) -> None:
        self._channel = channel
        longest = max(map(len, bare), default=0)
        self._tops = [0.0] * (longest + 5)
        for word, prior in zip(bare, priors, strict=True):
            self._tops[len(word)] = max(self._tops[len(word)], prior)
        self._top = max(self._tops)
        self._prices: dict[tuple[int, int], list[float]] = {}
        self._reach: dict[tuple[int, int, int], float] = {}
        self._shares: dict[tuple[int, int, int], float] = {}

    def reach(self, damages: int, unsure: int, size: int) -> float:
        """No word weighs more, price included, for a piece of `size` letters that can be read."""
        key = (damages, unsure, size)
        known = self._reach.get(key)
        if known is None:
            prices = self.prices(damages, unsure)
            if damages + unsure > 2:
                known = self._top * max(prices)
            else:
                near = range(max(0, size - 2), min(len(self._tops), size + 5))
                known = max((self._tops[n] * prices[n - size + 2] for n in near), default=0.0)
            self._reach[key] = known
        return known

    def share(self, damages: int, unsure: int, size: int) -> float:
        """The same without the price: how often a word is met, times the shares that its damages have of their kind."""
        key = (damages, unsure, size)
        known = self._shares.get(key)
        if known is None:
            known = 0.0
            for kinds in combinations_with_replacement(_KINDS, damages):
                share = 1.0
                for kind, _ in kinds:
                    share *= self._channel.dearest_weight[kind]
                for signs in range(unsure + 1):
                    near = size + sum(longer for _, longer in kinds) + unsure - signs
                    if damages + unsure > 2:
                        known = max(known, self._top * share)
                    elif 0 <= near < len(self._tops):
                        known = max(known, self._tops[near] * share)
            self._shares[key] = known
        return known

    def prices(self, damages: int, unsure: int) -> list[float]:
        """The highest price of so many damages and unreadable characters, by how many letters longer the word is than
        the readable ones of the text, from 2 fewer to 4 more."""
        known = self._prices.get((damages, unsure))
        if known is None:
            known = [0.0] * 7
            for kinds in combinations_with_replacement(_KINDS, damages):
                code = sum(kind for kind, _ in kinds)
                for signs in range(unsure + 1):  # an unreadable character may have been a sign
                    more = sum(longer for _, longer in kinds) + unsure - signs
                    weight = self._channel.highest(code + unsure * UNREADABLE)
                    for kind, _ in kinds:
                        weight *= self._channel.dearest_weight[kind]
                    if -2 <= more <= 4:
                        known[more + 2] = max(known[more + 2], weight)
            self._prices[damages, unsure] = known
        return known
