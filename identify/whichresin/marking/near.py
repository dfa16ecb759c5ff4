"""Words near a piece of text: exact look-ups of what is left when one or two characters are taken out of both.

Two texts that differ by one character agree once that character is taken out of each, so words are kept by themselves
and by what is left without one and without two of their letters and digits. Signs are left out on both sides, since
people write them as they like. What is found that way is then weighed exactly (see align.py). Words rarer than `rare`
are not looked for with two characters taken out, unless they are unreadable.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate, combinations_with_replacement, islice
from math import log10

from .align import Aligner
from .damage import EXTRA, LENGTH, LOOK_ALIKE, LOST, RANDOM, SIGNS, UNREADABLE

_WITH_UNSURE = str.maketrans("", "", SIGNS + " .&=|[]")
_ALONE = str.maketrans("", "", SIGNS + " .?&=|[]")
_NEVER_LAST = "-+/=&|[("  # no word ends so, nor does a worn one look so
# kinds of damage, and how many letters longer the word is; a sign may be taken for a letter
_KINDS = ((LOOK_ALIKE, 0), (RANDOM, 0), (LOST, 1), (EXTRA, -1), (RANDOM, -1))
_BETWEEN = "[-+/(),]*"
STEPS = 2  # in a decade; what is kept for one cut serves all in the same step
MOST_KEPT = 40_000
MOST_WORDS = 400  # of one piece that are weighed, commonest first
MOST_FAR = 150  # the same where two characters are damaged or unreadable

# bound on the weight with prior, weight with prior, damage code with length, word
Entry = tuple[float, float, int, int]


class Nearby:
    """The words of one part of the grammar. `priors` are the highest under any profile; with `trailing`, extra
    characters may stand after a word."""

    def __init__(
        self, words: Sequence[str], priors: Sequence[float], aligner: Aligner, trailing: bool, rare: float = 0.0
    ) -> None:
        self.words, self.priors, self.trailing = words, priors, trailing
        self.top = max(priors, default=0.0)
        self.starts = {word[1:3] for word in words if word}
        self._aligner, self._channel = aligner, aligner.channel
        self._intact = [aligner.intact(word) for word in words]
        self._order = sorted(range(len(words)), key=lambda i: (-priors[i], i))  # rank -> word
        self._rank_prior = [priors[i] for i in self._order]
        self._rank_word = [words[i] for i in self._order]
        self._rank_bare = bare = [word.translate(_ALONE) for word in self._rank_word]
        self.longest = max(map(len, bare), default=0)
        self._whole: dict[str, list[int]] = {}
        self._one: dict[str, list[int]] = {}
        self._two: dict[str, list[int]] = {}
        self._run_ranks: dict[str, list[int]] = {}  # as written with characters run together
        runs = [(true, seen) for rows in self._channel.joined.values() for seen, true, _ in rows]
        for rank, word in enumerate(bare):
            _put(self._whole, word, rank)
            without = _without(word)
            for rest in without:
                _put(self._one, rest, rank)
            if self._rank_prior[rank] >= rare:
                for less in {more for rest in without for more in _without(rest)}:
                    _put(self._two, less, rank)
            text = self._rank_word[rank]
            for true, seen in runs:
                at = text.find(true)
                while at >= 0:
                    _put(self._run_ranks, (text[:at] + seen + text[at + len(true) :]).translate(_ALONE), rank)
                    at = text.find(true, at + 1)
        self._list = "\n".join(self._rank_word)
        self._list_starts = list(accumulate((len(word) + 1 for word in self._rank_word), initial=0))
        self._known: dict[tuple[str, int, int], tuple[int, list[Entry]]] = {}
        self.work = 0  # words weighed, or that would have been without memory; the same whatever is remembered
        self._rank_signs = [len(word) - len(b) for word, b in zip(self._rank_word, bare, strict=True)]
        self._rank_fall = [-prior for prior in self._rank_prior]
        self._bounds_known: dict[tuple[int, int], list[float]] = {}

    def find(self, text: str, damages: int, cut: float) -> list[Entry]:
        """Words that the whole text may be, with exactly so many damages, weighing at least `cut`; best first.

        A list kept for one cut serves all of about its size, so it may hold some that weigh less.
        """
        fineness = steps_under(cut, damages)
        key = (text, damages, fineness)
        found = self._known.get(key)
        if found is None:
            if len(self._known) > MOST_KEPT:
                self._known.clear()
            before = self.work
            entries = self._find(text, damages, 10.0 ** (-fineness / STEPS) if damages else 0.0)
            self._known[key] = (self.work - before, entries)
            return entries
        self.work += found[0]
        return found[1]

    def _find(self, text: str, damages: int, cut: float) -> list[Entry]:
        bare = text.translate(_ALONE)
        size = len(bare)
        if not damages and len(text) == size and bare not in self._whole and bare not in self._run_ranks:
            return []
        if size > self.longest + damages + 2 or (
            not damages and text and not self.trailing and text[-1] in _NEVER_LAST
        ):
            return []
        unsure = text.count("?")
        loose = text.count(".") + text.count(" ")
        asked = text.translate(_WITH_UNSURE) if unsure else bare
        fewer: set[str] = set()  # where unreadable characters are taken for signs
        if unsure:
            fewer = {bare} if unsure == 1 else {asked[:i] + asked[i + 1 :] for i, c in enumerate(asked) if c == "?"}
        bounds = self._bounds(damages, unsure)
        if not max(bounds):
            return []
        least = cut / max(bounds)
        priors, words, order, intact, bares, signs = (
            self._rank_prior, self._rank_word, self._order, self._intact, self._rank_bare,
            self._rank_signs,
        )  # fmt: skip
        runs = self._run_ranks.get(bare, ())
        marks = len(text) - size - unsure - loose  # signs that can be read
        found: list[Entry] = []
        ways, highest, trailing = self._aligner.ways, self._channel.highest, self.trailing
        seen = 0
        most = MOST_WORDS if damages + unsure < 2 else MOST_FAR
        for rank in self._candidates(text, bare, unsure, loose, damages, least):
            prior = priors[rank]
            word_bare = bares[rank]
            if word_bare != bare:
                more = len(word_bare) - size
                if more > damages + unsure + loose or (
                    damages and prior * (bounds[more + 2] if -2 <= more <= 4 else 0.0) < cut and not loose
                ):
                    continue
                left = damages - max(0, marks - signs[rank])  # a sign too many is a damage of its own
                if left < 0 or not (
                    within(word_bare, asked, left)
                    or (more < damages + unsure and any(within(word_bare, less, left) for less in fewer))
                    or (loose and more > 0)
                    or rank in runs
                ):
                    continue
            elif prior < least:
                continue
            seen += 1
            if seen > most:
                break
            true = words[rank]
            for code, weight, count in ways(true, text, trailing, damages):
                if count == damages:
                    word = order[rank]
                    weight *= intact[word] * prior
                    bound = weight * highest(code)
                    if bound >= cut and weight > 0.0:
                        found.append((bound, weight, code + LENGTH * len(true), word))
        self.work += seen + 1
        found.sort(reverse=True)
        return found

    def _bounds(self, damages: int, unsure: int) -> list[float]:
        """The highest price of so many damages and unreadable characters, by how many letters longer the word is than
        the readable ones of the text, from 2 fewer to 4 more."""
        known = self._bounds_known.get((damages, unsure))
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
            self._bounds_known[damages, unsure] = known
        return known

    def _candidates(self, text: str, bare: str, unsure: int, loose: int, damages: int, least: float) -> list[int]:
        """Ranks of the words that could be within reach, commonest first."""
        most = damages + unsure
        if most > 2 and unsure:
            if damages == 0:
                return self._pattern(text)
            most = 2
        if loose and most < 2:
            most += 1
        rests: Iterable[str] = (bare,)
        if damages:
            rests = {bare, *_without(bare)}
            if damages > 1:
                rests |= {more for rest in _without(bare) for more in _without(rest)}
        limit = bisect_right(self._rank_fall, -least) if damages else len(self.words)
        ranks = set(self._run_ranks.get(bare, ()))
        for table in (self._whole, self._one, self._two)[: most + 1]:
            for rest in rests:
                known = table.get(rest)
                if known and known[0] < limit:
                    ranks.update(known if known[-1] < limit else known[: bisect_left(known, limit)])
        return sorted(ranks)

    def _pattern(self, text: str) -> list[int]:
        """Words of many unreadable characters, by a pattern over the whole list."""
        parts = ["[A-Z0-9]" if c == "?" else c for c in text if c == "?" or c.isalnum()]
        pattern = f"^{_BETWEEN}{_BETWEEN.join(parts)}{_BETWEEN}$"
        found = islice(re.finditer(pattern, self._list, re.MULTILINE), MOST_FAR)
        return [bisect_left(self._list_starts, match.start()) for match in found]


def within(true: str, seen: str, damages: int) -> bool:
    """Whether so many damages can lead from `true` to `seen`, letters and digits only; `?` fits any character."""
    long, wide = len(true), len(seen)
    least = long if long < wide else wide
    i = 0
    while i < least and (true[i] == seen[i] or seen[i] == "?"):
        i += 1
    end, least = 0, least - i
    while end < least and (true[-1 - end] == seen[-1 - end] or seen[-1 - end] == "?"):
        end += 1
    long -= i + end
    wide -= i + end
    if long <= damages and wide <= damages:
        return True
    if damages < 2:
        return False
    if damages > 2:
        return abs(long - wide) <= damages
    a, b = true[i : i + long], seen[i : i + wide]
    more = long - wide
    if more == 0:
        return _same(a[1:-1], b[1:-1]) or _same(a[1:], b[:-1]) or _same(a[:-1], b[1:])
    if more == 1:
        return _same(a[1:-1], b[1:]) or _same(a[1:-1], b[:-1])
    if more == -1:
        return _same(a[1:], b[1:-1]) or _same(a[:-1], b[1:-1])
    return _same(a[1:-1], b) if more == 2 else more == -2 and _same(a, b[1:-1])


def _same(true: str, seen: str) -> bool:
    return true == seen or (
        "?" in seen and len(true) == len(seen) and all(y in (x, "?") for x, y in zip(true, seen, strict=True))
    )


def steps_under(cut: float, damages: int) -> int:
    """How many steps under 1 hold `cut`; without damages all are kept."""
    if not damages or cut <= 0.0:
        return 30 * STEPS if damages else 0
    return max(0, int(-STEPS * log10(cut)) + 1)


def _without(word: str) -> set[str]:
    return {word[:i] + word[i + 1 :] for i in range(len(word))}


def _put(table: dict[str, list[int]], key: str, rank: int) -> None:
    known = table.get(key)
    if known is None:
        table[key] = [rank]
    elif known[-1] != rank:
        known.append(rank)
