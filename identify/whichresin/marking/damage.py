"""The damage channel: what a true character may turn into, and what each kind of damage costs.

Damage is counted, not priced at once: a path through the channel carries a code of five small counts (unreadable,
look-alike, random, lost, extra). The price of a code is a mixture over kinds of wear,

    price(code, length) = sum over wear w of share(w) * prod rate(w, kind) ** count(kind)
                          * kept(w) ** (length - damaged) * (1 - extra(w)) ** (length + 1),

so that a text decides by itself which wear it has met. Codes of parts add up to the code of the whole.
"""

from __future__ import annotations

from collections.abc import Mapping

from .tables import ChannelTable, Wear

UNREADABLE, LOOK_ALIKE, RANDOM, LOST, EXTRA = 1, 1 << 5, 1 << 10, 1 << 15, 1 << 20
LENGTH = 1 << 25
CODE_MASK = LENGTH - 1
MOST_EACH = 12  # of one kind in one text; more is nothing that could be read

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
SIGNS = "-+/(),"
SEEN = LETTERS + SIGNS + " .?&=|[]"  # what a text is made of once it is tidied; `?` is any sign for unreadable

Options = tuple[tuple[int, float], ...]


def counts(code: int) -> tuple[int, int, int, int, int]:
    """(unreadable, look-alike, random, lost, extra) of a code."""
    return code & 31, code >> 5 & 31, code >> 10 & 31, code >> 15 & 31, code >> 20 & 31


def damages(code: int) -> int:
    """How many characters are damaged."""
    return sum(counts(code))


class Channel:
    """Options by character. `seen[y][x]` is how x may be seen as another y, as (code, weight); `kept[x]` how often it
    is written as it stands and `left_out[x]` how often it is left out, both without damage; `extra[y]` is how y may
    appear from nothing."""

    def __init__(self, table: ChannelTable) -> None:
        self.wear: tuple[Wear, ...] = table.wear
        self.seen: dict[str, dict[str, Options]] = {y: {} for y in SEEN}
        self.kept: dict[str, float] = {}
        self.left_out: dict[str, float] = {}
        self.extra: dict[str, Options] = {}
        self.prices: dict[int, float] = {}
        self.highs: dict[int, float] = {}
        signs = {"?": 1.0 - table.signs.get(".", 0.0) - table.signs.get(" ", 0.0)}
        signs |= {sign: table.signs[sign] for sign in (".", " ") if sign in table.signs}
        for x in LETTERS + SIGNS:
            habits = table.habits.get(x, {})
            self.kept[x] = 1.0 - sum(habits.values())
            row = {y: weight for y, weight in table.look_alikes.get(x, {}).items() if y in self.seen and y != x}
            total = sum(row.values())
            strange = [y for y in LETTERS if y not in row and y != x]
            for y in SEEN:
                options: list[tuple[int, float]] = []
                if y != x and y in habits:
                    options.append((0, habits[y]))
                if y in row:
                    options.append((LOOK_ALIKE, row[y] / total))
                elif y in strange:
                    options.append((RANDOM, 1.0 / len(strange)))
                if y in signs:
                    options.append((UNREADABLE, signs[y]))
                if options:
                    self.seen[y][x] = tuple(options)
            if habits.get(""):
                self.left_out[x] = habits[""]
        for y in SEEN:
            options = [(EXTRA, 1.0 / len(SEEN))]
            if table.breaks.get(y):
                options.append((0, table.breaks[y]))
            self.extra[y] = tuple(options)
        self.joined = _joined(table.several)
        rows = [options for row in self.seen.values() for options in row.values()]
        self.dearest_weight = {  # of one such damage; a lost twin of a pair counts twice
            kind: max((chance for options in rows for option, chance in options if option == kind), default=0.0)
            for kind in (UNREADABLE, LOOK_ALIKE, RANDOM)
        } | {LOST: 2.0, EXTRA: 2.0 / len(SEEN)}
        self.extra_letter = 1.0 / len(SEEN)
        self.high_unreadable, self.high_lost, self.high_extra = map(self.highest, (UNREADABLE, LOST, EXTRA))
        # one character for another where nothing else is possible, `?` among those that are seen:
        # swaps[seen][true] is (code, weight, the same with the highest price)
        self.swaps: dict[str, dict[str, tuple[int, float, float]]] = {
            y: {
                x: (code, share / self.kept[x], share / self.kept[x] * self.highest(code))
                for x, options in row.items()
                for code, share in options[:1]
                if len(options) == 1 and code and (x in LETTERS or y == "?")
            }
            for y, row in self.seen.items()
        }
        self.dearest_swap = max(option[2] for row in self.swaps.values() for option in row.values())
        self.shifted = self.highest(LOST + EXTRA) * 4.0 / len(SEEN)  # a lost letter here, an extra one there
        self.bare_sign = max(  # a sign that is not seen, against one that is
            max(self.left_out.get(x, 0.0) + self.high_lost, *(share for share in habits.values())) / self.kept[x]
            for x, habits in table.habits.items()
        )
        # how much dearer one more damage can make a way, at the least
        self.one_more = max(
            max(w.look_alike * self.dearest_weight[LOOK_ALIKE], w.random * self.dearest_weight[RANDOM], w.lost)
            for w in self.wear
        )

    def price(self, code: int) -> float:
        """The price of a code that carries its length (see LENGTH)."""
        known = self.prices.get(code)
        if known is None:
            known = self.prices[code] = self._mix(code & CODE_MASK, code >> 25)
        return known

    def highest(self, code: int) -> float:
        """No text that goes on from this code can have a higher price."""
        code &= CODE_MASK
        known = self.highs.get(code)
        if known is None:
            n = counts(code)
            known = 0.0 if max(n) > MOST_EACH else self._mix(code, sum(n[:4]), gaps=False)
            self.highs[code] = known
        return known

    def dearest(self, damages: int) -> float:
        """The highest price that so many damages may have, unreadable characters apart."""
        return max(self.highest(damages * kind) for kind in (LOOK_ALIKE, LOST, RANDOM, EXTRA))

    def _mix(self, code: int, length: int, gaps: bool = True) -> float:
        unreadable, look_alike, random, lost, extra = counts(code)
        intact = max(0, length - unreadable - look_alike - random - lost)
        total = 0.0
        for wear in self.wear:
            price = wear.share * wear.unreadable**unreadable * wear.look_alike**look_alike * wear.random**random
            price *= wear.lost**lost * wear.extra**extra
            price *= (1.0 - wear.unreadable - wear.look_alike - wear.random - wear.lost) ** intact
            total += price * (1.0 - wear.extra) ** (length + 1) if gaps else price
        return total


def _joined(rows: tuple[tuple[str, str, float], ...]) -> Mapping[str, tuple[tuple[str, str, float], ...]]:
    """Run-together characters by the first that is seen: ((seen, true, chance), ...)."""
    found: dict[str, list[tuple[str, str, float]]] = {}
    for true, seen, chance in rows:
        found.setdefault(seen[0], []).append((seen, true, chance))
    return {first: tuple(rows) for first, rows in found.items()}
