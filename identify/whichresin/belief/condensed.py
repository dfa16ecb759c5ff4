"""Views merged further, for looking ahead with a few questions only: fewer compounds, and fewer answers."""

from __future__ import annotations

from collections.abc import Sequence
from operator import mul

from whichresin.belief.scene import Scene, arranged, heaviest
from whichresin.belief.views import View

RARE_ANSWER = 0.05  # answers less likely than this are looked ahead with as one
RARE_WORD = 0.01  # words of a set reported less often than this are not looked ahead with

Chances = list[list[float]]  # per answer, per compound: the chance of it, clean or not; of a set see `View.scales`


def condense(scene: Scene, views: Sequence[View], share: float, least: float) -> tuple[Scene, list[Chances]]:
    """The scene again with the heaviest compounds up to `share` of the mass, like ones merged, and its answers.

    Compounds in the same part that answer alike in every given view become one, and so do the answers to one cue
    that are hardly ever given.
    """
    in_order = sorted(range(len(scene.kept)), key=scene.kept.__getitem__)
    heavy, scaled = heaviest(scene.masses, scene.place_of, in_order, share, least)
    alike: dict[tuple[int, ...], list[int]] = {}
    signatures = list(zip(scene.place_of, *(view.row_of for view in views), strict=True))
    for k, i in enumerate(heavy):
        alike.setdefault(signatures[i], []).append(k)
    merged = {heavy[members[0]]: members for members in alike.values()}
    masses = [sum([scaled[k] for k in members]) for members in merged.values()]
    place = {scene.kept[i]: i for i in merged}
    small = arranged(scene.target, list(place), masses)
    lead = [place[compound] for compound in small.kept]
    clean: dict[int, list[float]] = {}
    for view in views:
        if id(view.clean) not in clean:
            sure = [scaled[k] * view.clean.chance[i] for k, i in enumerate(heavy)]
            told = [sum([sure[k] for k in merged[i]]) for i in lead]
            clean[id(view.clean)] = [t / mass for t, mass in zip(told, small.masses, strict=True)]
    return small, [_condensed(view, lead, clean[id(view.clean)], small) for view in views]


def _condensed(view: View, lead: Sequence[int], clean: Sequence[float], small: Scene) -> Chances:
    """The chances of the answers that are left: rare ones as one, rare words left out."""
    columns = list(zip(*(view.rows[view.row_of[i]] for i in lead), strict=True))
    shares = [sum(map(mul, small.masses, column)) for column in columns]
    pairs = list(zip(columns, view.flats, strict=True))
    if view.scales is not None:
        common = [v for v, share in enumerate(shares) if share * view.scales[v] >= RARE_WORD] or [0]
        return [[view.scales[v] * p for p in _told(*pairs[v], clean)] for v in common]
    rare = [pair for pair, share in zip(pairs, shares, strict=True) if share < RARE_ANSWER]
    if len(rare) > 1:
        pairs = [pair for pair, share in zip(pairs, shares, strict=True) if share >= RARE_ANSWER]
        together = tuple(map(sum, zip(*(column for column, _ in rare), strict=True)))
        pairs.append((together, sum([flat for _, flat in rare])))
    return [_told(column, flat, clean) for column, flat in pairs]


def _told(column: Sequence[float], flat: float, clean: Sequence[float]) -> list[float]:
    return [flat + sure * (chance - flat) for chance, sure in zip(column, clean, strict=True)]
