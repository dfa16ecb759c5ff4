"""Search of the noisy channel: heads before fillers and tails, damage by damage.

First everything that needs no damage is found, then everything with one, then two, as far as it can matter: the best
reading so far sets the `cut` under which a way cannot matter any more (see STAGES). The weight of a reading is the sum
over every split of the text and every way of damage that can reach the cut. Pieces of text come again, alone or in
other texts, so what they may be is kept.
"""

from __future__ import annotations

from typing import NamedTuple

from .align import Aligner
from .damage import Channel
from .language import Language
from .near import STEPS, Entry, Nearby, steps_under
from .tables import ChannelTable

# What is looked for, in turn: so many damages, weighing at least so much, and at least this share of the best so far,
# unless the best weighs so much already.
STAGES = (
    (0, 1e-26, 1e-3, 1.0),
    (1, 1e-15, 5e-3, 1.0),
    (2, 1e-13, 2e-2, 1.0),
    (3, 1e-13, 1e-1, 1e-11),
)
RARE_BEST = 1e-9  # under this, fillers and tails that hardly ever meet are looked at too
MOST_WORK = 300  # words weighed for one text; then what was found so far must do
MOST_RARE = 30  # of each
RARE = 1e-6  # heads and endings that are rarer are not looked for with two damages of their own
MOST_ENDINGS = 25_000
MOST_KNOWN = 20_000
MOST_IN_PART = 2  # damages in the polymers, or in what follows them


class Hit(NamedTuple):
    """A reading that was found: its weight, and the damage code (with length) of its main way."""

    weight: float
    code: int
    main: float


Final = tuple[float, float, int, int]  # bound, weight with prior, code with length, what


class Found(dict[int, Hit]):
    """Readings by head << 32 | tail << 16 | filler. `cut_short` when the work grew too much to look everywhere."""

    cut_short = False


class Rests:
    """What the rest of a text may be, by profile."""

    __slots__ = ("by_profile", "entries", "most", "top", "work")

    def __init__(self, entries: list[Entry], work: int) -> None:
        self.work = work
        self.entries = entries  # with the highest prior under any profile
        self.top = entries[0][0] if entries else 0.0  # no reading of this rest weighs more
        self.most = max([entry[1] for entry in entries], default=0.0)  # the same without the price of its damages
        self.by_profile: dict[int, list[Final]] = {}


Split = tuple[str, str, list[Entry], Rests]  # both sides as text, and what either may be without damage


class Searcher:
    """Finds readings in one language under one channel. Remembers pieces; good for any number of texts."""

    def __init__(self, language: Language, table: ChannelTable) -> None:
        self.language = language
        self.channel = channel = Channel(table)
        self.stages, self.most_work = STAGES, MOST_WORK
        aligner = Aligner(channel)
        heads = language.heads
        self._heads = Nearby([h.text for h in heads], [h.weight for h in heads], aligner, False, RARE)
        endings = language.endings
        tops = [max(e.weights) for e in endings]
        self._ends = Nearby([e.text for e in endings], tops, aligner, True, RARE)
        self._profiles = [head.profile for head in heads]
        self._end_rows = [
            (e.what, [w / top if top else 0.0 for w in e.weights]) for e, top in zip(endings, tops, strict=True)
        ]
        self._top_ending = self._ends.top
        self.top_head = self._heads.top
        self._open, self._close = table.bracket_open, table.bracket_close
        self._starts = self._ends.starts
        self._usual = {end.what for end in endings}
        fillers, tails = language.fillers, language.tails
        self._rare = (
            Nearby([f.text for f in fillers], [max(f.weights) for f in fillers], aligner, False, 2.0),
            Nearby([t.text for t in tails], [max(t.weights) for t in tails], aligner, True, 2.0),
        )
        self._endings: dict[tuple[str, bool, int, int], Rests] = {}
        self._known: dict[tuple[str, bool, bool, float], Found] = {}

    def search(self, text: str, opened: bool, closed: bool, least: float = 0.0) -> Found:
        """All readings of a tidied text, kept for texts that come again. See `find`."""
        key = (text, opened, closed, least)
        found = self._known.get(key)
        if found is None:
            if len(self._known) > MOST_KNOWN:
                self._known.clear()
            found = self._known[key] = self.find(text, opened, closed, least)
        return found

    def find(self, text: str, opened: bool, closed: bool, least: float = 0.0) -> Found:
        """All readings of a tidied text (characters of SEEN) that can matter.

        `opened` and `closed` tell whether brackets were taken off; a bracket that was not there may have been taken
        for a letter. Readings that cannot weigh `least` are not looked for.
        """
        found = Found()
        best, most = 0.0, self.work() + self.most_work
        texts = [self._split(text, closed, 1.0, most)]
        if not opened and text and text[0] in self._open:
            texts.append(self._split(text[1:], closed, self._open[text[0]], most))
        for damages, floor, margin, enough in self.stages:
            cut = max(best * margin, least, floor)
            if best >= enough or (damages and self.top_head * self._top_ending * self.channel.dearest(damages) < cut):
                break
            for splits, chance in texts:
                best = self._stage(splits, closed, damages, cut, chance, best, found, most)
            if found.cut_short:
                break
        if best < RARE_BEST:
            self._rarest(texts[0][0], max(best * 0.01, least, self.stages[0][1]), found)
        return found

    def work(self) -> int:
        """Words weighed so far, or that would have been weighed without memory."""
        return self._heads.work + self._ends.work

    def _split(self, text: str, closed: bool, chance: float, most: int) -> tuple[list[Split], float]:
        """The text in two at every place, with what either side may be without damage."""
        heads_at, ending = self._heads.find, self._ending
        splits = []
        for place in range(min(len(text), self._heads.longest * 2 + 4) + 1):
            if self.work() > most:
                break
            start, rest = text[:place], text[place:]
            splits.append((start, rest, heads_at(start, 0, 1.0), ending(rest, closed, 0, 1.0)))
        return splits, chance

    def _stage(
        self,
        splits: list[Split],
        closed: bool,
        damages: int,
        cut: float,
        chance: float,
        best: float,
        found: Found,
        most_work: int,
    ) -> float:
        """Add everything with exactly so many damages whose weight can reach `cut`; returns the best weight."""
        cut /= chance
        heads_at, ending_at, top_ending = self._heads.find, self._ending, self._top_ending
        one_more = self.channel.one_more
        for start, rest, heads, ending in splits:
            if damages == 0:
                if heads and ending.entries:
                    best = self._combine(heads, ending, cut, chance, best, found)
                continue
            if self.work() > most_work:
                found.cut_short = True
                break
            if damages <= MOST_IN_PART:
                if heads:
                    most = max(weight for _, weight, _, _ in heads)
                    if most * self._opening(rest) * top_ending >= cut:
                        other = ending_at(rest, closed, damages, cut / most)
                        if other.entries:
                            best = self._combine(heads, other, cut, chance, best, found)
                if ending.entries:
                    more = heads_at(start, damages, cut / ending.most)
                    if more:
                        best = self._combine(more, ending, cut, chance, best, found)
            for before in range(max(1, damages - MOST_IN_PART), min(damages - 1, MOST_IN_PART) + 1):
                after = damages - before
                least = cut / (self._opening(rest) * top_ending * one_more**after)
                if least > self.top_head:
                    continue
                more = heads_at(start, before, least)
                if not more or more[0][0] < least:
                    continue
                most = max(weight for _, weight, _, _ in more)
                other = ending_at(rest, closed, after, cut / (most * one_more**before))
                if other.entries:
                    best = self._combine(more, other, cut, chance, best, found)
        return best

    def _combine(
        self, heads: list[Entry], ending: Rests, cut: float, chance: float, best: float, found: Found
    ) -> float:
        """Every head with every ending, as far as they reach `cut` together."""
        prices, price, profiles = self.channel.prices, self.channel.price, self._profiles
        top, by_profile = ending.top, ending.by_profile
        top_ending = self._top_ending
        for bound, weight, code, head in heads:
            if bound * top_ending < cut:
                break
            if weight * top < cut:
                continue
            profile = profiles[head]
            ends = by_profile.get(profile)
            if ends is None:
                ends = by_profile[profile] = self._under(ending, profile)
            least = cut / weight
            for end_bound, end_weight, end_code, end in ends:
                if end_bound < least:
                    break
                if bound * end_weight < cut:
                    continue
                both = code + end_code
                known = prices.get(both)
                whole = weight * end_weight * (price(both) if known is None else known) * chance
                name = head << 32 | end
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

    def _opening(self, rest: str) -> float:
        """The highest weight that a damaged ending may have, judged by its first characters.

        Endings start with a hyphen and a letter or two; a hyphen is left out or otherwise written in less than a
        tenth of texts, and one damaged character costs at least a tenth.
        """
        if not rest:
            return 1.0
        hyphen = rest[0] == "-"
        start = rest[1:3] if hyphen else rest[:2]
        price = 1.0 if hyphen else 0.1
        sure = start in self._starts or "?" in start or "." in start or " " in start or " " in rest[0]
        return price if sure else price * 0.1

    def _ending(self, rest: str, closed: bool, damages: int, cut: float) -> Rests:
        """All endings that the rest of a text may be with exactly so many damages, weighing `cut`."""
        fineness = steps_under(cut, damages)
        key = (rest, closed, damages, fineness)
        known = self._endings.get(key)
        if known is None:
            if len(self._endings) > MOST_ENDINGS:
                self._endings.clear()
            cut, before = 10.0 ** (-fineness / STEPS), self._ends.work
            entries = self._ends.find(rest, damages, cut)
            if not closed and rest and rest[-1] in self._close:
                chance = self._close[rest[-1]]
                shorter = self._ends.find(rest[:-1], damages, cut / chance)
                entries = entries + [(b * chance, w * chance, code, end) for b, w, code, end in shorter]
                entries.sort(reverse=True)
            known = self._endings[key] = Rests(entries, self._ends.work - before)
        else:
            self._ends.work += known.work
        return known

    def _under(self, ending: Rests, profile: int) -> list[Final]:
        """The endings under one profile, best first: priors differ, weights of damage do not."""
        rows = self._end_rows
        ends = []
        for bound, weight, code, end in ending.entries:
            what, shares = rows[end]
            share = shares[profile]
            if share > 0.0:
                ends.append((bound * share, weight * share, code, what))
        ends.sort(reverse=True)
        return ends

    def _rarest(self, splits: list[Split], cut: float, found: Found) -> None:
        """Fillers and tails that hardly ever meet, where nothing is damaged but what cannot be read."""
        for _, rest, heads, _ in splits:
            if not heads:
                continue
            for place in range(2, len(rest) - 1):
                ends = self._rare[1].find(rest[place:], 0, 1.0)
                if not ends:
                    continue
                for _, weight, code, filler in self._rare[0].find(rest[:place], 0, 1.0)[:MOST_RARE]:
                    word = self.language.fillers[filler]
                    for _, end_weight, end_code, tail in ends[:MOST_RARE]:
                        end = self.language.tails[tail]
                        what = tail << 16 | filler
                        if what in self._usual:
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
