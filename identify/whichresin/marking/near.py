"""Words near a piece of text: exact look-ups of what is left when one or two characters are taken out of both.

Two texts that differ by one character agree once that character is taken out of each, so words are kept by themselves
and by what is left without one and without two of their letters and digits. Signs are left out on both sides, since
people write them as they like. Most of what is found so is one letter for another, one lost or one extra, and is
weighed on the spot; all else is weighed by the sum over every alignment (see align.py). Words rarer than `rare` are not
looked for with two characters taken out, unless nothing else is found that fits the unreadable ones.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from functools import cached_property
from math import log10

from .align import Aligner
from .bounds import Bounds
from .damage import EXTRA, LENGTH, LOST, SIGNS, UNREADABLE
from .keys import Keys, Pattern, mask_of, put, without
from .within import within

ALONE = str.maketrans("", "", SIGNS + " .?&=|[]")
_WITH_UNSURE = str.maketrans("", "", SIGNS + " .&=|[]")
_NEVER_LAST = "-+/=&|[("  # no word ends so, nor does a worn one look so
_STEPS = 2  # in a decade; what is kept for one cut serves all in the same step
MOST_KEPT = 15_000  # pieces
FEW = 16  # so many words are sooner looked at one by one than looked up
MOST_FAR = 150  # words of one piece that are weighed, commonest first, where two characters are damaged or unreadable

# bound on the weight with prior, weight with prior, damage code with length, word
Entry = tuple[float, float, int, int]


class Nearby:
    """The words of one part of the grammar. `priors` are the highest under any profile; with `trailing`, extra
    characters may stand after a word. `work` counts words weighed, or that would have been without memory."""

    def __init__(
        self, words: Sequence[str], priors: Sequence[float], aligner: Aligner, trailing: bool, rare: float = 0.0
    ) -> None:
        self.trailing, self._rare = trailing, rare
        self.top = max(priors, default=0.0)
        self.work = 0
        self._aligner, self._channel = aligner, aligner.channel
        order = sorted(range(len(words)), key=lambda i: (-priors[i], i))  # rank -> word
        self._order = order
        self._prior = [priors[i] for i in order]
        self._fall = [-prior for prior in self._prior]
        self._word = [words[i] for i in order]
        self._bare = [word.translate(ALONE) for word in self._word]
        self._mask = [mask_of(bare) for bare in self._bare]
        self._clean = [aligner.intact(word) * prior for word, prior in zip(self._word, self._prior, strict=True)]
        self._length = [LENGTH * len(word) for word in self._word]
        self._signs = [len(word) - len(bare) for word, bare in zip(self._word, self._bare, strict=True)]
        self.longest = max(map(len, self._bare), default=0)
        self.whole: Keys = {}
        self._sized: dict[int, list[int]] = {}  # ranks by how many letters and digits
        for rank, bare in enumerate(self._bare):
            put(self.whole, bare, rank)
            self._sized.setdefault(len(bare), []).append(rank)
        self.bounds = Bounds(self._bare, self._prior, self._channel)
        self._known: dict[tuple[str, int, int], tuple[int, list[Entry]]] = {}

    @cached_property
    def _one(self) -> Keys:
        """Ranks by what is left of a word without one of its letters."""
        found: Keys = {}
        for rank, bare in enumerate(self._bare):
            for rest in without(bare):
                put(found, rest, rank)
        return found

    @cached_property
    def _two(self) -> Keys:
        """The same without two letters, for words that are common enough."""
        found: Keys = {}
        for rank in range(bisect_right(self._fall, -self._rare)):
            for rest in {less for more in without(self._bare[rank]) for less in without(more)}:
                put(found, rest, rank)
        return found

    @cached_property
    def _pattern(self) -> Pattern:
        """All words, for those of which little can be read."""
        return Pattern(self._word, MOST_FAR)

    @cached_property
    def _begun(self) -> tuple[set[str], set[str]]:
        """How words begin and how they end, letters and digits only."""
        starts = {bare[:i] for bare in self._bare for i in range(len(bare) + 1)}
        ends = {bare[i:] for bare in self._bare for i in range(len(bare) + 1)}
        return starts, ends

    @cached_property
    def runs(self) -> Keys:
        """Ranks by what a word looks like with characters run together."""
        found: Keys = {}
        pairs = [(true, seen) for rows in self._channel.joined.values() for seen, true, _ in rows]
        for rank, word in enumerate(self._word):
            for true, seen in pairs:
                at = word.find(true)
                while at >= 0:
                    put(found, (word[:at] + seen + word[at + len(true) :]).translate(ALONE), rank)
                    at = word.find(true, at + 1)
        return found

    def find(self, text: str, damages: int, cut: float) -> list[Entry]:
        """Words that the whole text may be, with exactly so many damages, weighing at least `cut`; best first.

        A list kept for one cut serves all of about its size, so it may hold some that weigh less.
        """
        step = int(-_STEPS * log10(cut)) + 1 if damages else 0
        key = (text, damages, step)
        known = self._known.get(key)
        if known is None:
            if len(self._known) > MOST_KEPT:
                self._known.clear()
            found: list[Entry] = []
            work = self._find(text, damages, 10.0 ** (-step / _STEPS) if damages else 0.0, found)
            found.sort(reverse=True)
            known = self._known[key] = (work + 1, found)
        self.work += known[0]
        return known[1]

    def _find(self, text: str, damages: int, cut: float, found: list[Entry]) -> int:
        bare = text.translate(ALONE)
        unsure = text.count("?")
        loose = text.count(".") + text.count(" ")
        if len(bare) > self.longest + damages + 2:
            return 0
        if not damages and text and not self.trailing and text[-1] in _NEVER_LAST:
            return 0
        if unsure == 1 and not damages and not loose:
            return self._gap(text, bare, found)
        if unsure or loose or damages > 1:
            return self._far(text, bare, unsure, loose, damages, cut, found)
        return self._near(text, bare, cut, found) if damages else self._same(text, bare, found)

    def _same(self, text: str, bare: str, found: list[Entry]) -> int:
        """Nothing damaged, everything readable."""
        for rank in self.whole.get(bare, ()):
            if self._word[rank] == text:
                weight = self._clean[rank]
                found.append((weight, weight, self._length[rank], self._order[rank]))
            else:
                self._weigh(rank, text, 0, 0.0, found)
        for rank in self.runs.get(bare, ()):
            if self._bare[rank] != bare:
                self._weigh(rank, text, 0, 0.0, found)
        return len(found)

    def _gap(self, text: str, bare: str, found: list[Entry]) -> int:
        """Nothing damaged but one unreadable character, which may have been a letter or a sign."""
        at = text.index("?")
        left, right = text[:at], text[at + 1 :]
        i = len(left.translate(ALONE))
        begin, end = bare[:i], bare[i:]
        swaps, high = self._channel.swaps["?"], self._channel.high_unreadable
        work = 0
        if begin in self._begun[0] and end in self._begun[1]:
            for rank in self._one.get(bare, ()):
                work += 1
                word = self._word[rank]
                if word[:at] == left and word[at + 1 :] == right:
                    weight = self._clean[rank] * swaps[word[at]][1]
                    found.append((weight * high, weight, UNREADABLE + self._length[rank], self._order[rank]))
                elif self._bare[rank][:i] == begin and self._bare[rank][i + 1 :] == end:
                    self._weigh(rank, text, 0, 0.0, found)
        for rank in (*self.whole.get(bare, ()), *self.runs.get(bare, ())):
            work += 1
            self._weigh(rank, text, 0, 0.0, found)
        return work

    def _near(self, text: str, bare: str, cut: float, found: list[Entry]) -> int:
        """One damage, everything else readable: each letter of the text taken out in turn."""
        one, whole, channel = self._one, self.whole, self._channel
        words, clean, bares, order, length = self._word, self._clean, self._bare, self._order, self._length
        swaps, extra, high_extra = channel.swaps, channel.extra_letter, channel.high_extra
        size, starts, ends = len(bare), *self._begun
        signs = len(text) - size
        last = 0  # all before the damage begins a word, all behind it ends one
        while last < size and bare[: last + 1] in starts:
            last += 1
        first = size - 1
        while first > 0 and bare[first:] in ends:
            first -= 1
        odd: set[int] = set()  # to be weighed by the sum
        limit = bisect_right(self._fall, -cut / channel.dearest_swap)
        i, before = -1, ""
        for at, y in enumerate(text):
            if signs and not y.isalnum():
                if y in SIGNS:
                    self._taken_for_sign(text, at, i + 1, bare, cut, odd)
                continue
            i += 1
            if i > last:
                break
            twin, before = y == before, y
            if i < first:
                continue
            left, right = text[:at], text[at + 1 :]
            rest = bare[:i] + bare[i + 1 :]
            for rank in one.get(rest, ()):
                if rank >= limit:
                    break
                word = words[rank]
                if word[:at] == left and word[at + 1 :] == right:
                    option = swaps[y].get(word[at])
                    if option is not None:
                        bound = clean[rank] * option[2]
                        if bound >= cut:
                            found.append((bound, clean[rank] * option[1], option[0] + length[rank], order[rank]))
                elif signs <= self._signs[rank] and len(bares[rank]) == size:
                    other = bares[rank]
                    same = other[:i] == bare[:i] and other[i + 1 :] == bare[i + 1 :]
                    if same and clean[rank] * channel.dearest_swap * self._bare_signs(rank, signs) >= cut:
                        odd.add(rank)
            if twin:
                continue
            for rank in whole.get(rest, ()):
                if words[rank] == left + right:
                    twins = 1
                    while right[twins - 1 : twins] == y:
                        twins += 1
                    if at + twins == len(text) and not self.trailing:
                        twins -= 1
                    weight = clean[rank] * extra * twins
                    if weight * high_extra >= cut and twins:
                        found.append((weight * high_extra, weight, EXTRA + length[rank], order[rank]))
                elif signs <= self._signs[rank] + 1 and clean[rank] >= cut:
                    odd.add(rank)
        self._one_lost(text, bare, cut, found, odd)
        if signs:
            odd.update(rank for rank in whole.get(bare, ()) if words[rank] != text and clean[rank] >= cut)
        for rank in sorted(odd):
            self._weigh(rank, text, 1, cut, found)
        return last - first + 2 + len(odd)

    def _one_lost(self, text: str, bare: str, cut: float, found: list[Entry], odd: set[int]) -> None:
        """Words with one letter more; those that need more than that go to `odd`."""
        high = self._channel.high_lost
        least = cut / (2.0 * high)
        signs = len(text) - len(bare)
        for rank in self._one.get(bare, ()):
            if self._prior[rank] < least:
                break
            clean = self._clean[rank]
            if clean < least:
                continue
            word = self._word[rank]
            if len(word) == len(text) + 1:
                at = next((at for at, y in enumerate(text) if word[at] != y), len(text))
                if word[at + 1 :] == text[at:] and word[at].isalnum():
                    x, same = word[at], 1
                    while at >= same and word[at - same] == x:
                        same += 1
                    found.append((clean * same * high, clean * same, LOST + self._length[rank], self._order[rank]))
                    continue
            if signs <= self._signs[rank] and clean * self._bare_signs(rank, signs) >= least:
                odd.add(rank)

    def _taken_for_sign(self, text: str, at: int, i: int, bare: str, cut: float, odd: set[int]) -> None:
        """A letter that was taken for a sign: words with one letter more, in its place."""
        for rank in self._one.get(bare, ()):
            if self._prior[rank] < cut:
                break
            word = self._word[rank]
            if len(word) == len(text) and word[at].isalnum() and word[:at] == text[:at]:
                other = self._bare[rank]
                if other[:i] == bare[:i] and other[i + 1 :] == bare[i:]:
                    odd.add(rank)

    def _bare_signs(self, rank: int, signs: int) -> float:
        """What it costs at least that a word's signs are not seen, where so many are."""
        missing = self._signs[rank] - signs
        return self._channel.bare_sign**missing if missing > 0 else 1.0

    def _weigh(self, rank: int, text: str, damages: int, cut: float, found: list[Entry]) -> None:
        """Every way from a word to the text with exactly so many damages."""
        highest, clean = self._channel.highest, self._clean[rank]
        for code, weight, count in self._aligner.ways(self._word[rank], text, self.trailing, damages):
            if count == damages:
                weight *= clean
                bound = weight * highest(code)
                if bound >= cut and weight > 0.0:
                    found.append((bound, weight, code + self._length[rank], self._order[rank]))

    def _far(
        self, text: str, bare: str, unsure: int, loose: int, damages: int, cut: float, found: list[Entry]
    ) -> int:
        """Two damages, or several characters that cannot be read."""
        size, wide = len(bare), len(text)
        asked = text.translate(_WITH_UNSURE) if unsure else bare
        fewer: list[str] = []  # where an unreadable character is taken for a sign
        if unsure:
            fewer = [asked[:i] + asked[i + 1 :] for i, c in enumerate(asked) if c == "?"]
        marks = wide - size - unsure - loose  # signs that can be read
        clean, bares, words, signs, order = self._clean, self._bare, self._word, self._signs, self._order
        swaps, highest, length = self._channel.swaps, self._channel.highest, self._length
        prices = self.bounds.prices(damages, unsure)
        shifted = cut / self._channel.shifted
        seen = work = 0
        for rank in self._candidates(text, bare, unsure, loose, damages, cut):
            work += 1
            word = words[rank]
            if len(word) == wide and not loose:  # every character in its place is the way that counts
                weight, code, left = clean[rank], 0, damages
                for x, y in zip(word, text, strict=True):
                    if x != y:
                        option = swaps[y].get(x)
                        if option is None:
                            break
                        if y != "?":
                            if not left:
                                break
                            left -= 1
                        code += option[0]
                        weight *= option[1]
                else:
                    if not left:
                        bound = weight * highest(code)
                        if bound >= cut:
                            found.append((bound, weight, code + length[rank], order[rank]))
                    continue
                if not signs[rank] and not marks and (damages < 2 or clean[rank] < shifted):
                    continue
            other = bares[rank]
            more = len(other) - size
            price = prices[more + 2] if damages and not loose and 0 <= more <= 4 else 1.0
            if clean[rank] * price * self._bare_signs(rank, marks + unsure) < cut:
                continue
            if other != bare:
                if more > damages + unsure + loose:
                    continue
                left = damages - max(0, marks - signs[rank])  # a sign too many is a damage of its own
                if left < 0 or not (
                    within(other, asked, left)
                    or (more < damages + unsure and any(within(other, less, left) for less in fewer))
                    or (loose and more > 0)
                    or rank in self.runs.get(bare, ())
                ):
                    continue
            seen += 1
            if seen > MOST_FAR:
                break
            self._weigh(rank, text, damages, cut, found)
        return work + 3 * seen

    def _candidates(
        self, text: str, bare: str, unsure: int, loose: int, damages: int, cut: float
    ) -> Sequence[int]:
        """Ranks of the words that could be within reach, commonest first."""
        most = damages + unsure
        if not damages:
            if most > 2:
                return self._pattern.find(text)
            ranks = set(self.runs.get(bare, ()))
            for table in (self.whole, self._one, self._two)[: min(2, most + bool(loose)) + 1]:
                ranks.update(table.get(bare, ()))
            return sorted(ranks) if ranks or unsure < 2 else self._pattern.find(text)
        size, prices, others, masks = len(bare), self.bounds.prices(damages, unsure), ~mask_of(bare), self._mask
        ranks = set()
        rests: list[Iterable[str]] = [(bare,)]
        for more in range(-damages, min(4, most + loose) + 1):
            price = max(prices) if loose else prices[more + 2] if more > -3 else 0.0
            sized = self._sized.get(size + more)
            if not sized or self._prior[sized[0]] * price < cut:
                continue
            limit = bisect_right(self._fall, -cut / price)
            few = bisect_left(sized, limit)
            if few <= FEW:
                ranks.update([rank for rank in sized[:few] if (masks[rank] & others).bit_count() <= most + loose])
                continue
            for taken in range(min(damages, 2) + 1):
                gone = taken + more
                if not 0 <= gone <= min(2, most + bool(loose)):
                    continue
                while len(rests) <= taken:
                    rests.append({less for rest in rests[-1] for less in without(rest)})
                table = self._two if gone == 2 else self._one if gone else self.whole
                for rest in rests[taken]:
                    known = table.get(rest)
                    if known and known[0] < limit:
                        ranks.update(known if known[-1] < limit else known[: bisect_left(known, limit)])
        return sorted(ranks)
