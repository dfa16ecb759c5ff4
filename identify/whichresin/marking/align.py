"""How one true word may have become one seen text: every way with at most so many damages, summed by damage code.

A way turns true characters into seen ones from left to right: kept, seen as another, left out, lost, an extra character
before one, several that run together. Only what lies between the common beginning and the common end is looked at, and
kept for other words; a run of equal characters before it is taken in, since any of them may be the damaged one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from .damage import LENGTH, LOST, UNREADABLE, Channel, damages

Way = tuple[int, float, int]  # damage code, weight against an undamaged writing, damages counted
LOOSE = ". "  # seen characters that may be a break or an unreadable one
_SIGN = re.compile(r"[^A-Z0-9?]").search
_COUNT = LENGTH  # one damage, above a code
MOST_KEPT = 20_000  # differences
LONGEST = 14  # characters between the first and the last difference; with more of them two damages are not looked for


class Aligner:
    """Ways under one channel. Unreadable characters, habits, and signs that are lost do not count as damages."""

    def __init__(self, channel: Channel) -> None:
        self.channel = channel
        self._signs = frozenset(channel.left_out)
        self._known: dict[tuple[str, str, bool, int], tuple[Way, ...]] = {}

    def ways(self, true: str, seen: str, trailing: bool, limit: int) -> tuple[Way, ...]:
        """The ways from `true` to `seen` with at most `limit` damages, as weights against `intact(true)`.

        With `trailing`, extra characters may stand after the last true one.
        """
        if true == seen:
            return ((0, 1.0, 0),)
        long, wide = len(true), len(seen)
        least = min(long, wide)
        i = 0
        while i < least and true[i] == seen[i]:
            i += 1
        if i < long and true[i] in self._signs:
            past = self._past(true, seen, i)
            if past is not None:
                (i, j), signs = past
                rest = self.ways(true[i:], seen[j:], trailing, limit)
                return _times(rest, signs, limit)
            if i < wide and (bare := self._bare(true[i:], seen[i:])) is not None:
                gone = _times(self.ways(bare[0], seen[i:], trailing, limit), bare[1], limit)
                kept = self.channel.kept[true[i]]
                for code, share in self.channel.seen[seen[i]].get(true[i], ()):  # the sign was taken for a letter
                    damaged = int(code > UNREADABLE)
                    if damaged <= limit:
                        rest = self.ways(true[i + 1 :], seen[i + 1 :], trailing, limit - damaged)
                        gone += _times(rest, [(code, share / kept, damaged)], limit)
                return gone
        least -= i
        end = 0
        while end < least and true[-1 - end] == seen[-1 - end]:
            end += 1
        a, b = true[i : long - end], seen[i : wide - end]
        if len(a) != 1 or len(b) != 1:
            if len(a) + len(b) > 1:
                events = limit + b.count("?")
                plain = not _SIGN(a) and not _SIGN(b)
                if plain and len(a) == len(b) and events > 2:
                    return self._one_by_one(a, b, limit)
                if events > 1 and (apart := self._apart(a, b, true[:i], true[long - end :], trailing)):
                    return apart
                if plain and events < 3 and max(len(a), len(b)) > 2:
                    return ()  # more damages than these, and no habit of writing that could explain it
            if i:
                before = true[i - 1]
                if before == a[:1] or before == b[:1]:
                    start = i
                    while start and true[start - 1] == before:
                        start -= 1
                    a, b = true[start : long - end], seen[start : wide - end]
            if len(a) > LONGEST or len(b) > LONGEST:
                return ()
        elif a not in self._signs:
            return tuple(
                (option, chance / self.channel.kept[a], int(option > UNREADABLE))
                for option, chance in self.channel.seen[b].get(a, ())
                if option <= UNREADABLE or limit
            )
        key = (a, b, trailing or end > 0, limit)
        known = self._known.get(key)
        if known is None:
            if len(self._known) > MOST_KEPT:
                self._known.clear()
            known = self._known[key] = self._between(*key)
        return known

    def _past(self, true: str, seen: str, i: int) -> tuple[tuple[int, int], list[Way]] | None:
        """The places behind a sign that was left out or written otherwise, where both go on alike, and its ways."""
        channel, x = self.channel, true[i]
        kept = channel.kept[x]
        after, y = true[i + 1 : i + 2], seen[i : i + 1]
        if after == y:
            return (i + 1, i), [(0, channel.left_out.get(x, 0.0) / kept, 0), (LOST, 1.0 / kept, 0)]
        if y and after == seen[i + 1 : i + 2]:
            options = channel.seen[y].get(x, ())
            ways = [(code, chance / kept, int(code > UNREADABLE)) for code, chance in options]
            return ((i + 1, i + 1), ways) if ways else None
        return None

    def _bare(self, true: str, seen: str) -> tuple[str, list[Way]] | None:
        """Where what is seen has no sign at all: the true word without its signs, and the ways in which they went."""
        if _SIGN(seen) or any(option == 0 for option, _ in self.channel.seen[seen[0]].get(true[0], ())):
            return None
        ways: list[Way] = [(0, 1.0, 0)]
        for x in true:
            if x in self._signs:
                share, kept = self.channel.left_out[x], self.channel.kept[x]
                ways = [(c + more, w * s, 0) for c, w, _ in ways for more, s in ((0, share / kept), (LOST, 1.0 / kept))]
        return "".join(x for x in true if x not in self._signs), ways

    def _one_by_one(self, a: str, b: str, limit: int) -> tuple[Way, ...]:
        """Every character turned into the one in its place, and no other way; for many damages side by side."""
        if sum(x != y != "?" for x, y in zip(a, b, strict=True)) > limit:
            return ()
        ways: dict[int, float] = {0: 1.0}
        for x, y in zip(a, b, strict=True):
            if x != y:
                options = self._single(x, y, "")
                ways = {code + more: w * share for code, w in ways.items() for more, share in options}
        return tuple((code, weight, damages(code & ~31)) for code, weight in ways.items())

    def _apart(self, a: str, b: str, before: str, after: str, trailing: bool) -> tuple[Way, ...]:
        """Two damages, one at either end of what differs, with the same characters between them."""
        more = len(a) - len(b)
        if not -3 < more < 3:
            return ()
        found: dict[int, float] = {}
        for left_true, left_seen in ((1, 1), (1, 0), (0, 1)):
            for right_true, right_seen in ((1, 1), (1, 0), (0, 1)):
                if left_true + right_true - left_seen - right_seen != more:
                    continue
                inner = a[left_true : len(a) - right_true]
                if inner != b[left_seen : len(b) - right_seen] or len(inner) + left_true + right_true != len(a):
                    continue
                lefts = self._single(a[:left_true], b[:left_seen], before[::-1])
                rights = self._single(a[len(a) - right_true :], b[len(b) - right_seen :], after)
                for code, weight in lefts:
                    for other, share in rights:
                        if not right_true and not after and not trailing:
                            continue
                        found[code + other] = found.get(code + other, 0.0) + weight * share
        return tuple((code, weight, damages(code & ~31)) for code, weight in found.items())

    def _single(self, x: str, y: str, beside: str) -> tuple[tuple[int, float], ...]:
        """One letter or digit damaged; `beside` is what stands next to it, nearest first. Signs are left to the sum."""
        channel = self.channel
        if x in channel.left_out or (y and y in LOOSE):
            return ()
        same = 1
        if not (x and y):
            for neighbour in beside:
                if neighbour != (x or y):
                    break
                same += 1
        if x and y:
            return tuple((option, chance / channel.kept[x]) for option, chance in channel.seen[y].get(x, ()) if option)
        if x:
            return ((LOST, same / channel.kept[x]),)
        return tuple((option, chance * same) for option, chance in channel.extra[y] if option)

    def intact(self, true: str) -> float:
        """How often a word without damage is written as it stands."""
        share = 1.0
        for x in true:
            share *= self.channel.kept[x]
        return share

    def _between(self, a: str, b: str, trailing: bool, limit: int) -> tuple[Way, ...]:
        """The sum over all paths from the first character of both to the last. Damages at most `limit`."""
        channel = self.channel
        kept, seen, left_out, extra, joined = (
            channel.kept, channel.seen, channel.left_out, channel.extra, channel.joined,
        )  # fmt: skip
        long, wide = len(a), len(b)
        letters = [0] * (long + 1)
        for i in range(long - 1, -1, -1):
            letters[i] = letters[i + 1] + (a[i] not in left_out)
        # weights by damage code, with the damages counted above it; a row and a column for what is used up
        rows: list[list[dict[int, float] | None]] = [[None] * (wide + 1) for _ in range(long + 1)]
        rows[0][0] = {0: 1.0}
        over = limit * _COUNT
        for i in range(long + 1):
            x = a[i] if i < long else ""
            row, below = rows[i], rows[i + 1] if i < long else []
            gone = left_out.get(x)
            for j in range(wide + 1):
                here = row[j]
                # what is left over on one side must be lost or extra
                if here is None or letters[i] - wide + j > limit or wide - j - long + i > 2 * limit + 4:
                    continue
                y = b[j] if j < wide else ""
                moves: list[tuple[list[dict[int, float] | None], int, int, float]] = []
                if x:
                    if gone is not None:
                        moves.append((below, j, 0, gone))
                        moves.append((below, j, LOST, 1.0))
                    else:
                        moves.append((below, j, LOST + _COUNT, 1.0))
                    if y:
                        if x == y:
                            moves.append((below, j + 1, 0, kept[x]))
                        for option, chance in seen[y].get(x, ()):
                            moves.append((below, j + 1, option if option <= UNREADABLE else option + _COUNT, chance))
                        for run, true, chance in joined.get(y, ()):
                            if a.startswith(true, i) and b.startswith(run, j):
                                moves.append((rows[i + len(true)], j + len(run), 0, chance))
                if y and (x or trailing):
                    for option, chance in extra[y]:
                        moves.append((row, j + 1, option + _COUNT if option else 0, chance))
                for target, at, more, chance in moves:
                    cell = target[at]
                    for code, weight in here.items():
                        both = code + more
                        if both < over + _COUNT:
                            if cell is None:
                                cell = target[at] = {}
                            cell[both] = cell.get(both, 0.0) + weight * chance
        whole, last = self.intact(a), rows[long][wide]
        return tuple((key % _COUNT, weight / whole, key // _COUNT) for key, weight in (last or {}).items())


def _times(ways: Iterable[Way], signs: list[Way], limit: int) -> tuple[Way, ...]:
    return tuple(
        (code + more, weight * share, count + damaged)
        for code, weight, count in ways
        for more, share, damaged in signs
        if count + damaged <= limit
    )

