"""Views merged further, for looking ahead with a few questions only: fewer compounds, fewer answers, flat sums."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from operator import mul

from whichresin.belief.decision import Weighing
from whichresin.belief.scene import Scene, heaviest
from whichresin.belief.views import View, answers, built

RARE_ANSWER = 0.05  # answers less likely than this are looked ahead with as one
RARE_WORD = 0.01  # words of a set reported less often than this are not looked ahead with


def condense(scene: Scene, views: Sequence[View], share: float, least: float) -> tuple[Scene, list[View]]:
    """The scene and views again, with the heaviest compounds up to `share` of the mass, and like ones merged.

    Compounds in the same part with the same rows in every given view become one, and so do the answers to one
    cue that are hardly ever given.
    """
    heavy, scaled = heaviest(scene.masses, scene.place_of, share, least)
    groups: dict[tuple[int, ...], int] = {}
    signatures = list(zip(scene.place_of, *(view.slots for view in views), strict=True))
    member_of = [groups.setdefault(signatures[i], len(groups)) for i in heavy]
    masses = [0.0] * len(groups)
    for mass, member in zip(scaled, member_of, strict=True):
        masses[member] += mass
    firsts = list(groups)
    used = sorted({key[0] for key in firsts})
    place = {old: new for new, old in enumerate(used)}
    places = tuple([place[key[0]] for key in firsts])
    small = Scene(scene.target, (), tuple(masses), tuple([scene.parts[old] for old in used]), places)
    found = []
    for column, view in enumerate(views, start=1):
        clean = [0.0] * len(groups)
        for i, mass, member in zip(heavy, scaled, member_of, strict=True):
            clean[member] += mass * view.clean[i]
        clean = [c / mass for c, mass in zip(clean, masses, strict=True)]
        found.append(_condensed(view, [key[column] // len(scene.parts) for key in firsts], small, clean))
    return small, found


def _condensed(view: View, old_rows: Sequence[int], small: Scene, clean: Sequence[float]) -> View:
    """One view of a condensed scene: the rows that are left, and rare answers as one."""
    rows: dict[int, int] = {}
    row_of = [rows.setdefault(row, len(rows)) for row in old_rows]
    kept_rows: list[Sequence[float]] = [view.rows[row] for row in rows]
    values, flats, width, scales = view.values, view.flats, len(small.parts), view.scales
    shares = [0.0] * len(values)
    for row, mass in zip(row_of, small.masses, strict=True):
        shares = [s + mass * chance for s, chance in zip(shares, kept_rows[row], strict=True)]
    if scales is not None:
        common = [v for v, share in enumerate(shares) if share * scales[v] >= RARE_WORD] or [0]
        kept_rows = [tuple([row[v] for v in common]) for row in kept_rows]
        flats, scales = tuple([flats[v] for v in common]), tuple([scales[v] for v in common])
        values = tuple([values[v] for v in common])
    elif sum(share < RARE_ANSWER for share in shares) > 1:
        common = [v for v, share in enumerate(shares) if share >= RARE_ANSWER]
        rare = [v for v, share in enumerate(shares) if share < RARE_ANSWER]
        kept_rows = [_merged(row, common, rare) for row in kept_rows]
        flats = _merged(flats, common, rare)
        values = (*(values[v] for v in common), "")
    made = built(view.cue, values, kept_rows, row_of, small.place_of, width, flats, clean, scales)
    inside = [row for members in made.present for _, row in members]
    chances = [[*[row[v] for row in inside], *([flat] * width)] for v, flat in enumerate(flats)]
    order = [slot for members in made.present for slot, _ in members]
    places = [slot % width for slot in order] + list(range(width))
    return replace(made, order=order, places=places, chances=chances)


def _merged(row: Sequence[float], common: Sequence[int], rare: Iterable[int]) -> tuple[float, ...]:
    return (*(row[v] for v in common), sum([row[v] for v in rare]))


def loss_after(
    view: View,
    weights: Sequence[float],
    totals: Sequence[float],
    weighing: Weighing,
    along: Sequence[Sequence[float]],
    acting: float,
) -> float:
    """The expected loss of acting once a condensed view is answered, scaled as the weights are.

    The same as summing `weighing.loss` over the columns of `answers`, with the silence of a set cue at the loss
    of `acting` now. Every sum runs over slots at once, for the losses are linear but for the choice of an
    action: `along` is `spread_along(view, weighing)`.
    """
    if not along:
        columns = answers(view, weights, totals)
        silence = 0.0 if view.scales is None else 1.0 - sum(map(sum, columns)) / sum(totals)
        return float(sum(map(weighing.loss, columns)) + max(0.0, silence) * acting)
    filled = [0.0] * (len(view.rows) * len(totals))
    for slot, weight in zip(view.slots, map(mul, weights, view.clean), strict=True):
        filled[slot] += weight
    inside = [filled[slot] for slot in view.order]
    noises = list(totals)
    for place, weight in zip(view.places, inside, strict=False):
        noises[place] -= weight
    inside += noises
    scaled = [list(map(mul, inside, row)) for row in along]
    finish = weighing.finish
    losses = [finish([sum(map(mul, row, chances)) for row in scaled]) for chances in view.chances]
    if view.scales is None:
        return sum(losses)
    seen = [sum(map(mul, inside, chances)) for chances in view.chances]
    silence = 1.0 - sum(map(mul, seen, view.scales)) / sum(totals)
    return float(sum(map(mul, losses, view.scales)) + max(0.0, silence) * acting)


def spread_along(view: View, weighing: Weighing) -> list[list[float]]:
    """The linear rows of a loss, laid along the slots of a condensed view; empty where there are none."""
    return [[row[place] for place in view.places] for row in weighing.linear or ()]
