"""The obvious decoder: every composition, every alignment, every kind of wear, one after the other.

For one true string x and one seen text y, with rates of one kind of wear, f[i][j] is the chance that the first i true
characters became the first j seen ones; the sum over kinds of wear and the prior give the weight of a reading.
"""

from __future__ import annotations

from whichresin.marking.damage import LETTERS, SEEN
from whichresin.marking.language import Language
from whichresin.marking.tables import ChannelTable, Wear


def weights(text: str, language: Language, table: ChannelTable) -> dict[tuple[int, int, int], float]:
    """Weight of every (head, filler, tail) for a tidied text whose brackets were seen and taken off."""
    found = {}
    for h, head in enumerate(language.heads):
        for f, filler in enumerate(language.fillers):
            for t, tail in enumerate(language.tails):
                prior = language.prior(h, f, t)
                if prior > 0.0:
                    parts = (head.text, filler.text, tail.text)
                    found[h, f, t] = prior * likelihood(parts, text, table)
    return found


def likelihood(parts: tuple[str, ...], seen: str, table: ChannelTable) -> float:
    """P(seen | the parts one after the other), mixed over kinds of wear."""
    return sum(wear.share * _under(parts, seen, wear, table) for wear in table.wear)


def _under(parts: tuple[str, ...], seen: str, wear: Wear, table: ChannelTable) -> float:
    true = "".join(parts)
    bounds = {len(parts[0]), len(parts[0] + parts[1])}
    intact = 1 - wear.unreadable - wear.look_alike - wear.random - wear.lost
    rows, columns = len(true) + 1, len(seen) + 1
    f = [[0.0] * columns for _ in range(rows)]
    f[0][0] = 1.0
    for i in range(rows):
        for j in range(columns):
            if j > 0:
                f[i][j] += f[i][j - 1] * (wear.extra / len(SEEN) + table.breaks.get(seen[j - 1], 0.0))
            if i > 0:
                f[i][j] += f[i - 1][j] * (wear.lost + intact * table.habits.get(true[i - 1], {}).get("", 0.0))
            if i > 0 and j > 0:
                f[i][j] += f[i - 1][j - 1] * _become(true[i - 1], seen[j - 1], intact, wear, table)
            for a, b, chance in table.several:
                start = i - len(a)
                if true[:i].endswith(a) and seen[:j].endswith(b) and not bounds & set(range(start + 1, i)):
                    f[i][j] += f[start][j - len(b)] * chance * intact ** len(a)
    return f[-1][-1] * (1 - wear.extra) ** (len(true) + 1)


def _become(x: str, y: str, intact: float, wear: Wear, table: ChannelTable) -> float:
    """P(true character x is seen as y)."""
    habits = table.habits.get(x, {})
    chance = intact * ((1 - sum(habits.values())) if x == y else habits.get(y, 0.0))
    row = {k: v for k, v in table.look_alikes.get(x, {}).items() if k in SEEN and k != x}
    strange = [k for k in LETTERS if k not in row and k != x]
    if y in row:
        chance += wear.look_alike * row[y] / sum(row.values())
    elif y in strange:
        chance += wear.random / len(strange)
    signs = {"?": 1 - table.signs.get(".", 0.0) - table.signs.get(" ", 0.0)}
    signs |= {sign: table.signs[sign] for sign in (".", " ") if sign in table.signs}
    return chance + wear.unreadable * signs.get(y, 0.0)
