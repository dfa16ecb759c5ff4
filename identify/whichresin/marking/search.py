"""Search of the noisy channel: heads before fillers and tails, damage by damage.

First everything that needs no damage is found, then everything with one, then two, as far as it can matter: the best
reading so far sets the `cut` under which a way cannot matter any more (see STAGES). The weight of a reading is the sum
over every split of the text and every way of damage that can reach the cut. Pieces of text come again, alone or in
other texts, so what they may be is kept; the work that they cost is counted whether they are remembered or not, so
that what is found never depends on what came before.
"""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

from .align import Aligner
from .damage import Channel
from .language import Language
from .near import ALONE, Entry, Nearby
from .tables import ChannelTable

# What is looked for, in turn: so many damages, weighing at least so much, and at least this share of the best so far,
# unless the best weighs so much already.
STAGES = (
    (0, 1e-26, 1e-3, 1.0),
    (1, 1e-15, 5e-2, 1.0),
    (2, 1e-13, 2e-1, 1.0),
    (3, 1e-13, 5e-1, 1e-11),
)
RARE_BEST = 1e-9  # under this, fillers and tails that hardly ever meet are looked at too
MOST_RARE = 400  # of each
RARE = 1e-5  # heads and endings that are rarer are not looked for with two damages of their own
MOST_KNOWN = 10_000  # texts
DEEPER = 0.2  # what was found anyway counts so far below the cut
MOST_IN_PART = 2  # damages in the polymers, or in what follows them


class Hit(NamedTuple):
    """A reading that was found: its weight, and the damage code (with length) of its main way."""

    weight: float
    code: int
    main: float


class Found(dict[int, Hit]):
    """Readings by head << 32 | tail << 16 | filler, and the work they cost. `cut_short` when that was not allowed."""

    cut_short = False
    work = 0


class Split:
    """The text in two, and what either side may be without damage. Sizes count letters and digits that can be read."""

    __slots__ = ("ends", "heads", "rest", "rest_size", "rest_unsure", "size", "start", "unsure")

    def __init__(self, start: str, rest: str, heads: list[Entry], ends: list[Entry]) -> None:
        self.start, self.rest, self.heads, self.ends = start, rest, heads, ends
        self.size, self.rest_size = len(start.translate(ALONE)), len(rest.translate(ALONE))
        self.unsure = start.count("?") + 3 * (start.count(".") + start.count(" "))
        self.rest_unsure = rest.count("?") + 3 * (rest.count(".") + rest.count(" "))


Texts = list[tuple[list[Split], float]]


class Searcher:
    """Finds readings in one language under one channel. Remembers pieces; good for any number of texts."""

    def __init__(self, language: Language, table: ChannelTable) -> None:
        self.language = language
        self.channel = channel = Channel(table)
        self.stages = STAGES
        self._aligner = aligner = Aligner(channel)
        heads, endings = language.heads, language.endings
        self._heads = Nearby([h.text for h in heads], [h.weight for h in heads], aligner, False, RARE)
        tops = [max(e.weights) for e in endings]
        self._ends = Nearby([e.text for e in endings], tops, aligner, True, RARE)
        self._profiles = [head.profile for head in heads]
        self._end_rows = [
            (e.what, [w / top if top else 0.0 for w in e.weights]) for e, top in zip(endings, tops, strict=True)
        ]
        self.top_head = self._heads.top
        self._open, self._close = table.bracket_open, table.bracket_close
        self._known: dict[tuple[str, bool, bool, float], Found] = {}

    def search(self, text: str, opened: bool, closed: bool, least: float = 0.0, most: int = 1 << 40) -> Found:
        """All readings of a tidied text, kept for texts that come again. See `find`."""
        key = (text, opened, closed, least)
        found = self._known.get(key)
        if found is None or found.work > most or (found.cut_short and found.work < most):
            if len(self._known) > MOST_KNOWN:
                self._known.clear()
            found = self._known[key] = self.find(text, opened, closed, least, most)
        return found

    def find(self, text: str, opened: bool, closed: bool, least: float = 0.0, most: int = 1 << 40) -> Found:
        """All readings of a tidied text (characters of SEEN) that can matter.

        `opened` and `closed` tell whether brackets were taken off; a bracket that was not there may have been taken
        for a letter. Readings that cannot weigh `least` are not looked for, unless they fit but for one unreadable
        character. About `most` words are weighed.
        """
        found = Found()
        start = self.worked()
        texts: Texts = [(self._splits(text, closed), 1.0)]
        if not opened and text and text[0] in self._open:
            texts.append((self._splits(text[1:], closed), self._open[text[0]]))
        best = 0.0
        one_unsure = sum(text.count(sign) for sign in "?. ") == 1  # then everything that fits is found
        for damages, floor, margin, enough in self.stages:
            if best >= enough:
                break
            for splits, chance in texts:
                for split in reversed(splits):
                    if self.worked() - start > most:
                        found.cut_short = True
                        break
                    cut = floor if one_unsure and not damages else max(best * margin, least, floor)
                    best = self._split(split, closed, damages, cut / chance, chance, best, found)
            if not damages and (best < RARE_BEST or one_unsure):
                best = self._rarest(texts[0][0], floor if one_unsure else max(least, floor), found, best)
        found.work = self.worked() - start
        return found

    def worked(self) -> int:
        """Words weighed so far in all texts, or that would have been without memory."""
        return self._heads.work + self._ends.work

    def _splits(self, text: str, closed: bool) -> list[Split]:
        """The text in two behind every letter, with what either side may be without damage."""
        splits = []
        heads, ends = self._heads.find, self._ending
        plain = not ("?" in text or "." in text or " " in text)
        whole, runs = self._heads.whole, self._heads.runs
        longest = self._heads.longest + 3
        size = 0
        for place in range(len(text) + 1):
            if place:
                sign = text[place - 1]
                if sign.isalnum():
                    size += 1
                elif sign not in "?. )]":
                    continue
            if size > longest:
                break
            start, rest = text[:place], text[place:]
            if plain:
                bare = start.translate(ALONE)
                intact = heads(start, 0, 0.0) if bare in whole or bare in runs else []
            else:
                intact = heads(start, 0, 0.0)
            splits.append(Split(start, rest, intact, ends(rest, closed, 0, 0.0)))
        return splits

    def _ending(self, rest: str, closed: bool, damages: int, cut: float) -> list[Entry]:
        """All endings that the rest of a text may be with exactly so many damages, weighing `cut`."""
        entries = self._ends.find(rest, damages, cut)
        if not closed and rest and rest[-1] in self._close:
            chance = self._close[rest[-1]]
            shorter = self._ends.find(rest[:-1], damages, cut / chance)
            if shorter:
                entries = entries + [(b * chance, w * chance, code, end) for b, w, code, end in shorter]
                entries.sort(reverse=True)
        return entries

    def _split(
        self, split: Split, closed: bool, damages: int, cut: float, chance: float, best: float, found: Found
    ) -> float:
        """Add everything at one place with exactly so many damages whose weight can reach `cut`; the best weight."""
        heads, ends = split.heads, split.ends
        if damages == 0:
            return self._combine(heads, ends, cut, chance, best, found) if heads and ends else best
        head, end = self._heads.bounds, self._ends.bounds
        if damages <= MOST_IN_PART:
            if heads:
                most = max([entry[1] for entry in heads])
                if most * end.reach(damages, split.rest_unsure, split.rest_size) >= cut:
                    other = self._ending(split.rest, closed, damages, cut / most)
                    if other:
                        best = self._combine(heads, other, cut, chance, best, found)
            if ends:
                most = max([entry[1] for entry in ends])
                if most * head.reach(damages, split.unsure, split.size) >= cut:
                    more = self._heads.find(split.start, damages, cut / most)
                    if more:
                        best = self._combine(more, ends, cut, chance, best, found)
        one_more = self.channel.one_more
        for before in range(max(1, damages - MOST_IN_PART), min(damages - 1, MOST_IN_PART) + 1):
            after = damages - before
            # the price of both together is not above the price of one times the share of the other
            top = end.share(after, split.rest_unsure, split.rest_size) * one_more**after
            if head.reach(before, split.unsure, split.size) * top < cut:
                continue
            more = self._heads.find(split.start, before, cut / top)
            if not more or more[0][0] * top < cut:
                continue
            most = max([entry[1] for entry in more])
            other = self._ending(split.rest, closed, after, cut / (most * one_more**before))
            if other:
                best = self._combine(more, other, cut, chance, best, found)
        return best

    def _combine(
        self, heads: list[Entry], ends: list[Entry], cut: float, chance: float, best: float, found: Found
    ) -> float:
        """Every head with every ending, as far as they reach `cut` together."""
        prices, price, profiles, rows = self.channel.prices, self.channel.price, self._profiles, self._end_rows
        cut *= DEEPER
        top = ends[0][0]
        most = max([entry[1] for entry in ends])
        for bound, weight, code, head in heads:
            if bound * most < cut:
                break
            if weight * top < cut:
                continue
            profile = profiles[head]
            least, other = cut / weight, cut / bound
            for end_bound, end_weight, end_code, end in ends:
                if end_bound < least:
                    break
                if end_weight < other:
                    continue
                what, shares = rows[end]
                share = shares[profile]
                if end_weight * share < other or end_bound * share < least:
                    continue
                both = code + end_code
                known = prices.get(both)
                whole = weight * end_weight * share * (price(both) if known is None else known)
                whole *= chance
                name = head << 32 | what
                old = found.get(name)
                if old is None:
                    found[name] = Hit(whole, both, whole)
                else:
                    total = old[0] + whole
                    found[name] = Hit(total, both, whole) if whole > old[2] else Hit(total, old[1], old[2])
                    whole = total
                if whole > best:
                    best = whole
        return best

    @cached_property
    def _rare(self) -> tuple[Nearby, Nearby, set[int]]:
        """Fillers and tails by themselves, and the pairs that are kept as one."""
        fillers, tails = self.language.fillers, self.language.tails
        return (
            Nearby([f.text for f in fillers], [max(f.weights) for f in fillers], self._aligner, False, 2.0),
            Nearby([t.text for t in tails], [max(t.weights) for t in tails], self._aligner, True, 2.0),
            {end.what for end in self.language.endings},
        )

    def _rarest(self, splits: list[Split], cut: float, found: Found, best: float) -> float:
        """Fillers and tails that hardly ever meet, where nothing is damaged but what cannot be read."""
        places = {split.rest: split.heads for split in splits if split.heads and len(split.rest) > 5}
        if not places:
            return best
        fillers, tails, usual = self._rare
        for rest, heads in places.items():
            for place in range(2, len(rest) - 1):
                ends = tails.find(rest[place:], 0, 0.0)
                if not ends:
                    continue
                for _, weight, code, filler in fillers.find(rest[:place], 0, 0.0)[:MOST_RARE]:
                    word = self.language.fillers[filler]
                    for _, end_weight, end_code, tail in ends[:MOST_RARE]:
                        end = self.language.tails[tail]
                        what = tail << 16 | filler
                        if what in usual or not word.text or not end.text:
                            continue
                        both = weight * end_weight / (max(word.weights) * max(end.weights))
                        for _, head_weight, head_code, head in heads[:MOST_RARE]:
                            profile = self._profiles[head]
                            whole = both * head_weight * word.weights[profile] * end.weights[profile]
                            main = head_code + code + end_code
                            whole *= self.channel.price(main)
                            if whole >= cut:
                                old = found.get(head << 32 | what)
                                total = whole + (old.weight if old else 0.0)
                                found[head << 32 | what] = Hit(total, main, whole)
                                best = max(best, total)
        return best
