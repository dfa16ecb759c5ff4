"""Search of the noisy channel: heads from the left, fillers and tails after them, damage by damage.

First everything that needs no damage is found, then everything with one, then two, as far as it can matter: the best
reading so far sets the `cut` under which a path cannot matter any more (see STAGES). The weight of a reading is the
sum over every split of the text and every way of damage that can reach the cut. What follows the polymers is kept
by its text: endings are few and come again, so they are searched once.
"""

from __future__ import annotations

from math import log10
from typing import NamedTuple

from .damage import LENGTH, Channel
from .language import Language
from .tables import ChannelTable
from .walk import Walker

MARGIN = 5e-3  # a path that cannot reach this share of the best reading is dropped
BESIDE = 2e-2  # the same for readings that need one damage more than a damaged best
# What is looked for, in turn: up to so many damages, weighing at least so much, unless the best weighs so much already.
# A reading without damage ends the search after one damage more; a damaged one does unless it is a rare marking,
# beside which a common one with more damage could matter.
STAGES = (
    (0, 1e-26, 1.0),
    (1, 3e-8, 1.0),
    (1, 1e-13, 1e-6),
    (2, 1e-10, 1e-6),
    (2, 1e-13, 2e-8),
    (3, 1e-13, 2e-9),
)
MOST_ENDINGS = 25_000
MOST_KNOWN = 20_000
MOST_WORK = 8_000  # steps; then what was found so far must do

HeadFinal = tuple[float, float, int, int, int]  # bound, weight with prior, code with length, what, damages


class Hit(NamedTuple):
    """A reading that was found: its weight, and the damage code (with length) of its main path."""

    weight: float
    code: int
    main: float


Final = tuple[float, float, int, int, int]  # bound, weight with prior, code with length, what, damages
HeadHope = tuple[float, float, int, int, int]  # bound, weight with prior, code with length, profile, head
Key = tuple[str, bool, int, int]  # rest of the text, bracket taken off, damages allowed, fineness
Found = dict[int, Hit]  # key: head << 32 | tail << 16 | filler


class Ending:
    """What the rest of a text may be, by profile: with the work of finding it."""

    __slots__ = ("by_profile", "raw", "top", "work")

    def __init__(self, raw: list[tuple[float, int, int, int]], top: float) -> None:
        self.work = 0
        self.raw = raw  # (weight without prior, code with length, what, damages)
        self.top = top
        self.by_profile: dict[int, list[Final]] = {}


# bound, weight with prior, code with length, profile, head, ending
Hope = tuple[float, float, int, int, int, Ending]


class Searcher:
    """Finds readings in one language under one channel. Remembers endings; good for any number of texts."""

    def __init__(self, language: Language, table: ChannelTable) -> None:
        self.language = language
        self.channel = channel = Channel(table)
        self.stages, self.margins, self.most_work = STAGES, (MARGIN, BESIDE), MOST_WORK
        self._heads = Walker(language.head_trie, channel, trailing=False, whole=True)
        self._fillers = Walker(language.filler_trie, channel, trailing=False)
        self._tails = Walker(language.tail_trie, channel, trailing=True)
        self._head_rows = [(head.weight, len(head.text) * LENGTH, head.profile) for head in language.heads]
        self._filler_rows = [(word.weights, len(word.text) * LENGTH) for word in language.fillers]
        self._tail_rows = [(tail.weights, len(tail.text) * LENGTH) for tail in language.tails]
        self._top_ending = language.filler_trie.best[0] * language.tail_trie.best[0]
        self._top_tail = language.tail_trie.best[0]
        self._open, self._close = table.bracket_open, table.bracket_close
        words = [word.text for word in language.fillers] + [tail.text for tail in language.tails]
        self._starts = {word[1:3] for word in words if word}
        self._endings: dict[Key, Ending] = {}
        self._top_head = language.head_trie.best[0]
        self._starts_known: dict[tuple[str, int, int], tuple[int, list[HeadHope]]] = {}
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
        if len(self._endings) > MOST_ENDINGS:
            self._endings.clear()
        found: Found = {}
        best = 0.0
        most = self.work() + self.most_work
        for limit, floor, enough in self.stages:
            if best >= enough or self.work() > most or (limit and self._hopeless(limit, max(best, least / MARGIN))):
                break
            margin = self.margins[limit > 1]
            cut = max(best * margin, least, floor)
            new, top = self._at(text, opened, closed, limit, cut, margin, most)
            found.update(new)
            best = max(best, top)
        return found

    def _hopeless(self, damages: int, best: float) -> bool:
        """Whether no reading with so many damages can matter beside the best."""
        return self.language.head_trie.best[0] * self._top_ending * self.channel.dearest(damages) < best * MARGIN

    def work(self) -> int:
        """Steps taken so far, or that would have been taken without memory."""
        return self._heads.work + self._fillers.work + self._tails.work

    def _at(
        self, text: str, opened: bool, closed: bool, limit: int, cut: float, margin: float, most: int
    ) -> tuple[Found, float]:
        """Everything with up to `limit` damages whose weight can reach `cut`."""
        hopes = self._hopes(text, closed, limit, cut, 1.0, most)
        if not opened and text and text[0] in self._open:
            hopes += self._hopes(text[1:], closed, limit, cut, self._open[text[0]], most)
        found: Found = {}
        best = 0.0
        price, prices = self.channel.price, self.channel.prices
        hopes.sort(key=lambda hope: -hope[0])
        for hope, weight, code, profile, head, ending in hopes:
            if hope < cut:
                break
            ends = ending.by_profile.get(profile)
            if ends is None:
                ends = ending.by_profile[profile] = self._under(ending, profile)
            least = cut / weight
            for bound, end_weight, end_code, end, _ in ends:
                if bound < least:
                    break
                both = code + end_code
                known = prices.get(both)
                whole = weight * end_weight * (price(both) if known is None else known)
                name = head << 32 | end
                old = found.get(name)
                if old is None:
                    found[name] = Hit(whole, both, whole)
                elif whole > old[2]:
                    found[name] = Hit(old[0] + whole, both, whole)
                else:
                    found[name] = Hit(old[0] + whole, old[1], old[2])
                if whole > best:
                    best = whole
                    least = cut / weight
        return found, best

    def _hopes(self, text: str, closed: bool, limit: int, cut: float, chance: float, most: int) -> list[Hope]:
        """Heads that may stand before an ending, with that ending, for every split of the text and of the damages.

        The side that may have less damage is looked at first: it is cheap, and where it fits nothing the other side
        need not be looked at.
        """
        hopes: list[Hope] = []
        cut /= chance
        for split in range(len(text) + 1):
            start, rest = text[:split], text[split:]
            opening = self._opening(rest, limit) * self._top_ending
            if opening * self._top_head < cut:
                continue
            for before in range(limit + 1):
                after = limit - before
                if before > after and not self._remembered((rest, closed, after, _fineness(cut / self._top_head))).raw:
                    continue
                heads = self._heads_at(start, before, _fineness(cut / opening))
                if not heads or heads[0][0] * opening < cut:
                    continue
                if self.work() > most:
                    return hopes
                ending = self._remembered((rest, closed, after, _fineness(cut / heads[0][1])))
                for bound, weight, code, profile, head in heads:
                    if bound * opening < cut:
                        break
                    if weight * ending.top >= cut:
                        hope = weight * min(ending.top, bound / weight * self._top_ending)
                        hopes.append((hope * chance, weight * chance, code, profile, head, ending))
        return hopes

    def _heads_at(self, start: str, damages: int, fineness: int) -> list[HeadHope]:
        """Heads that use up the start of a text with exactly so many damages, best first."""
        key = (start, damages, fineness)
        known = self._starts_known.get(key)
        if known is None:
            if len(self._starts_known) > MOST_ENDINGS:
                self._starts_known.clear()
            before = self._heads.work
            highest, size = self.channel.highest, len(start)
            found = []
            for place, head, code, weight, count in self._heads.walk(start, damages, fineness):
                if place == size and count == damages:
                    prior, length, profile = self._head_rows[head]
                    found.append((weight * prior * highest(code), weight * prior, code + length, profile, head))
            found.sort(reverse=True)
            known = self._starts_known[key] = (self._heads.work - before, found)
        else:
            self._heads.work += known[0]
        return known[1]

    def _opening(self, rest: str, allowed: int) -> float:
        """The highest weight that an ending may have, judged by its first characters.

        Endings start with a hyphen and a letter or two; a hyphen is left out or otherwise written in less than a
        tenth of texts, and one damaged character costs at least a fiftieth.
        """
        if not rest:
            return 1.0
        hyphen = rest[0] == "-"
        start = rest[1:3] if hyphen else rest[:2]
        price = 1.0 if hyphen else 0.1
        if start in self._starts or "?" in start or "." in start or " " in start or " " in rest[0]:
            return price
        return price * 0.02 if allowed else 0.0

    def _remembered(self, key: Key) -> Ending:
        """The ending of a key, made if it was not met before; its work is counted either way."""
        ending = self._endings.get(key)
        if ending is None:
            before = self.work()
            ending = self._endings[key] = self._ending(*key)
            ending.work = self.work() - before
        else:
            self._fillers.work += ending.work
        return ending

    def _ending(self, rest: str, closed: bool, limit: int, fineness: int) -> Ending:
        """All fillers and tails that the rest of a text may be, weighing at least 10 ** -fineness."""
        found: dict[tuple[int, int], list[float]] = {}
        variants = [(rest, 1.0)]
        if not closed and rest and rest[-1] in self._close:
            variants.append((rest[:-1], self._close[rest[-1]]))
        highest = self.channel.highest
        cut = 10.0**-fineness
        for seen, chance in variants:
            size = len(seen)
            tails: dict[tuple[int, int], list[tuple[int, int, float, int]]] = {}
            for place, filler, code, weight, count in self._fillers.walk(seen, limit, fineness):
                weights, length = self._filler_rows[filler]
                if weight * max(weights) * highest(code) * self._top_tail * chance < cut:
                    continue
                left = tails.get((place, limit - count))
                if left is None:
                    reached = self._tails.walk(seen[place:], limit - count, fineness)
                    left = tails[place, limit - count] = [e[1:] for e in reached if e[0] == size - place]
                for tail, more, share, extra in left:
                    both = code + more + length + self._tail_rows[tail][1]
                    sums = found.setdefault((tail << 16 | filler, both), [0.0, count + extra])
                    sums[0] += weight * share * chance
        raw = [(sums[0], code, what, int(sums[1])) for (what, code), sums in found.items()]
        top = 0.0
        for weight, code, what, _ in raw:
            prior = max(self._filler_rows[what & 0xFFFF][0]) * max(self._tail_rows[what >> 16][0])
            top = max(top, weight * prior * highest(code))
        return Ending(raw, top)

    def _under(self, ending: Ending, profile: int) -> list[Final]:
        """The endings under one profile, best first: priors differ, weights of damage do not."""
        highest = self.channel.highest
        ends = []
        for weight, code, what, count in ending.raw:
            prior = self._filler_rows[what & 0xFFFF][0][profile] * self._tail_rows[what >> 16][0][profile]
            if prior > 0.0:
                ends.append((weight * prior * highest(code), weight * prior, code, what, count))
        ends.sort(reverse=True)
        if ends:
            least = ends[0][0] * 1e-6
            while ends[-1][0] < least:
                ends.pop()
        return ends


def _fineness(cut: float) -> int:
    """How many decades under 1 hold `cut`: what is kept for one cut serves all of about its size."""
    return max(0, int(-log10(cut)) + 1)
