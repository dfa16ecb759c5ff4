"""Walk a trie along a text with at most so many damages.

Depth first, with an explicit stack. Unreadable characters are seen to be so and do not count against the limit, nor
do habits such as a left-out hyphen. A path is dropped when its weight, times the highest price of its damage, times
the highest prior below its node, falls under `cut`: nothing that goes on from it can be worth more.

What a walk found is kept by as much of the text as it looked at, so that texts which begin alike share it.
"""

from __future__ import annotations

from .damage import EXTRA, LOOK_ALIKE, LOST, UNREADABLE, Channel
from .trie import Trie

# (text position where the word ends, word, damage code, weight without prior, damages counted)
End = tuple[int, int, int, float, int]
END_MARK = "\n"
UNSURE = "?. "  # seen characters that may be an unreadable one
MOST_KEPT = 25_000
MOST_STEPS = 4_000  # of one walk; only texts that fit nothing come near it


class Walker:
    """One trie under one channel. `trailing` lets extra characters stand after a word's last one; with
    `whole`, only words that use up the text are wanted."""

    def __init__(self, trie: Trie, channel: Channel, trailing: bool, whole: bool = False) -> None:
        self.trie, self.channel, self.trailing, self.whole = trie, channel, trailing, whole
        best = trie.best
        # children by falling prior, so that a loop may stop at the first that is too poor
        self._kids = [tuple(sorted(((best[c], x, c) for x, c in kids.items()), reverse=True)) for kids in trie.kids]
        self._signs = [tuple((x, c) for x, c in kids.items() if channel.kept[x] < 1.0) for kids in trie.kids]
        self._joined: dict[str, list[tuple[str, str, float]]] = {}
        for run, rows in channel.joined.items():
            self._joined.setdefault(run[0], []).extend((run, true, chance) for true, chance in rows)
        self._known: dict[tuple[str, int, int], tuple[int, list[End]]] = {}
        self.work = 0  # steps taken, or that it would have taken; the same whatever is remembered

    def walk(self, text: str, limit: int, fineness: int) -> list[End]:
        """Every word that the text may begin with, weighing at least 10 ** -fineness. Adds to `work`."""
        known = self._known
        marked = text + END_MARK
        for size in range(1, len(marked) + 1):
            kept = known.get((marked[:size], limit, fineness))
            if kept is not None:
                self.work += kept[0]
                return kept[1]
        if len(known) > MOST_KEPT:
            known.clear()
        found, looked, work = self._walk(text, limit, 10.0**-fineness)
        known[marked[:looked], limit, fineness] = (work, found)
        self.work += work
        return found

    def _walk(self, text: str, limit: int, cut: float) -> tuple[list[End], int, int]:
        channel, trie = self.channel, self.trie
        kids_of, words_of, best, signs_of, sorted_kids = trie.kids, trie.words, trie.best, self._signs, self._kids
        seen, kept, left_out, extra = channel.seen, channel.kept, channel.left_out, channel.extra
        highest, highs = channel.highest, channel.highs
        highest(0)
        joined, trailing, whole = self._joined, self.trailing, self.whole
        size = len(text)
        looked = work = 0
        found: list[End] = []
        stack: list[tuple[int, int, int, int, float, bool]] = [(0, 0, 0, 0, 1.0, False)]
        pop, push = stack.pop, stack.append
        while stack and work < MOST_STEPS:
            work += 1
            node, place, code, count, weight, loose = pop()
            kids = kids_of[node]
            if words_of[node] and (trailing or not loose) and (place == size or not whole):
                for word in words_of[node]:
                    found.append((place, word, code, weight, count))
            if place >= looked:
                looked = place + 1
            more = count < limit
            if more and place + 1 >= looked:
                looked = place + 2
            signs = signs_of[node]
            if place < size:
                y = text[place]
                after = place + 1
                child = kids.get(y)
                if child is not None:
                    push((child, after, code, count, weight * kept[y], False))
                rows = seen[y]
                if y in UNSURE:
                    add = code + UNREADABLE
                    reach = weight * (highs.get(add) or highest(add))
                    for prior, x, child in sorted_kids[node]:
                        if reach * prior < cut:
                            break
                        for option, chance in rows.get(x, ()):
                            if option == UNREADABLE and reach * prior * chance >= cut:
                                push((child, after, add, count, weight * chance, False))
                if more:
                    ahead = text[after] if after < size else ""
                    choosy = count + 1 == limit and ahead not in UNSURE and ahead not in joined
                    astray = whole and after < size  # a word that ends here leaves text over
                    add = code + LOOK_ALIKE
                    reach = weight * (highs.get(add) or highest(add))
                    for prior, x, child in sorted_kids[node]:
                        if reach * prior < cut:
                            break
                        if (
                            choosy
                            and ahead not in kids_of[child]
                            and not signs_of[child]
                            and (astray or not words_of[child])
                        ):
                            continue
                        for option, chance in rows.get(x, ()):
                            if option > UNREADABLE:
                                add = code + option
                                new = weight * chance
                                if new * (highs.get(add) or highest(add)) * prior >= cut:
                                    push((child, after, add, count + 1, new, False))
                if kids or trailing:
                    for option, chance in extra[y]:
                        new = weight * chance
                        if not option:
                            if new * (highs.get(code) or highest(code)) * best[node] >= cut:
                                push((node, after, code, count, new, True))
                        elif more:
                            add = code + EXTRA
                            if new * (highs.get(add) or highest(add)) * best[node] >= cut:
                                push((node, after, add, count + 1, new, True))
                if y in joined:
                    looked = max(looked, min(size, place + 3) + 1)
                    for run, true, chance in joined[y]:
                        if text.startswith(run, place):
                            at: int | None = node
                            for x in true:
                                at = kids_of[at].get(x)  # type: ignore[index]
                                if at is None:
                                    break
                            if at is not None and weight * chance * highest(code) * best[at] >= cut:
                                push((at, place + len(run), code, count, weight * chance, False))
                for x, child in signs:
                    for option, chance in rows.get(x, ()):
                        if not option and weight * chance * highs[code] * best[child] >= cut:
                            push((child, after, code, count, weight * chance, False))
            for x, child in signs:
                chance = left_out.get(x, 0.0)
                if chance and weight * chance * highs[code] * best[child] >= cut:
                    push((child, place, code, count, weight * chance, False))
                add = code + LOST  # a sign that is lost to wear is no rarer than one that is left out
                if weight * (highs.get(add) or highest(add)) * best[child] >= cut:
                    push((child, place, add, count, weight, False))
            if more:
                add = code + LOST
                reach = weight * (highs.get(add) or highest(add))
                ahead = text[place] if place < size else ""
                choosy = count + 1 == limit and ahead not in UNSURE and ahead not in joined
                astray = whole and place < size
                for prior, x, child in sorted_kids[node]:
                    if reach * prior < cut:
                        break
                    if x in left_out or (
                        choosy
                        and ahead not in kids_of[child]
                        and not signs_of[child]
                        and (astray or not words_of[child])
                    ):
                        continue
                    push((child, place, add, count + 1, weight, False))
        return found, min(looked, size + 1), work
