"""Whether a word can be reached with so many damages: a quick no before the exact sum."""

from __future__ import annotations


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
