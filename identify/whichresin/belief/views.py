"""A cue as it looks from the present belief: which answers to expect from which part of the partition.

Asked now, compound `i` gives answer `v` with chance k T[i][v] + (1 - k) flat[v], where k, the chance of a clean
answer, is averaged over the skills that are still believed. The answers to all questions that share that chance are
laid side by side, one long row a compound, so that a few passes over long lists weigh every answer to every question.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, pairwise
from math import erfc, log, sqrt
from operator import mul, sub
from typing import NamedTuple

from whichresin.belief.density import (
    RESULTS,
    SLIP_HIGH_G_CM3,
    SLIP_LOW_G_CM3,
    SLIP_PDF,
    WATER_G_CM3,
    float_chances,
    normal_quantile,
)
from whichresin.belief.likelihood import GroupKey, slip_answers
from whichresin.belief.posterior import BeliefState
from whichresin.belief.scene import Scene, picker
from whichresin.knowledge.model import Cue

BINS = 9
_EVEN = (1.0 / len(RESULTS),) * len(RESULTS)  # what a slip answers to a float test
_QUANTUM = 64.0  # chances of physics answers are rounded to this, so that like compounds answer alike
_FIFTHS = tuple(normal_quantile((k + 0.5) / 5.0) for k in range(5))  # middles of five equal shares of a normal
_SURELY = 4.0  # standard deviations from an edge at which a weighing is surely on one side of it
_ROOT_2 = sqrt(2.0)

Columns = Sequence[Sequence[float]]  # per value: the mass of each part with that answer


class Clean(NamedTuple):
    """How the next answer to a cue is given: with what chance clean, and so what is told and what is noise."""

    chance: list[float]  # per compound: no slip, and no muddled test
    told: list[float]  # per compound: its mass times that chance
    noise: list[float]  # per part: the rest of its mass


@dataclass(frozen=True, slots=True)
class View:
    """One cue from one scene."""

    cue: Cue
    values: tuple[str, ...]
    row_of: Sequence[int]  # per compound: which row tells what it answers
    rows: Sequence[Sequence[float]]  # the chance of each value as a clean answer
    flats: tuple[float, ...]  # per value: the chance of an answer that is not clean
    clean: Clean
    scales: tuple[float, ...] | None  # a set cue: how often each word is the most telling one reported


class Viewer:
    """Makes the views of one scene; what several cues share is worked out once."""

    def __init__(self, state: BeliefState, scene: Scene) -> None:
        self.state, self.scene = state, scene
        self._pick: Callable[[Sequence[int]], tuple[int, ...]] = picker(scene.kept)
        pick: Callable[[Sequence[float]], tuple[float, ...]] = picker(scene.kept)
        self._skill_rows = [pick(row) for row in state.joint]
        self._weights = list(map(sum, zip(*self._skill_rows, strict=True)))
        self._clean: dict[GroupKey, Clean] = {}
        self._densities: list[tuple[float, float]] | None = None

    def view(self, cue: Cue) -> View:
        """The cue as it looks now. It must carry a table or be a float test or a weighing."""
        if cue.physics:
            return self._physics(cue)
        if cue.table is None:
            raise ValueError(f"{cue.id!r} carries no expectations, so it cannot be ranked.")
        row_of, rows = self._pick(cue.table.row_of), cue.table.rows
        values = tuple([value.id for value in cue.values])
        flats = slip_answers(cue, self.state.model.observer)
        scales = self._most_telling(rows, row_of) if cue.kind == "set" else None
        return View(cue, values, row_of, rows, flats, self.clean(cue), scales)

    def float_view(self, cue: Cue, liquid_g_cm3: float, uncertainty_g_cm3: float) -> View:
        """A float test in a liquid of this density as it looks now; the cue carries its cost."""
        within = self.state.model.observer.neutral_within_g_cm3
        rows = [_floats(mean, sd, liquid_g_cm3, uncertainty_g_cm3, within) for mean, sd in self.densities()]
        return self._of_rows(cue, RESULTS, rows, _EVEN)

    def _of_rows(
        self, cue: Cue, values: tuple[str, ...], rows: list[tuple[float, ...]], flats: tuple[float, ...]
    ) -> View:
        """A view from one row of chances per compound."""
        numbers: dict[tuple[float, ...], int] = {}
        row_of = [numbers.setdefault(row, len(numbers)) for row in rows]
        return View(cue, values, row_of, list(numbers), flats, self.clean(cue), None)

    def clean(self, cue: Cue) -> Clean:
        """How the next answer to this cue is given."""
        key = (cue.group, bool(cue.physics))
        group = self.state.groups.get(key)
        if group is None:
            key = ("", key[1])  # all groups without an answer are alike
        if key in self._clean:
            return self._clean[key]
        total = [0.0] * len(self.scene.masses)
        entries = self._pick(group.luck.entry_of) if group is not None and group.luck is not None else ()
        for place, skill in enumerate(self.state.model.observer.skills):
            row, keep = self._skill_rows[place], 1.0 - skill.slip
            if group is None or group.luck is None:
                keep *= 1.0 if cue.physics else 1.0 - skill.muddled
                total = [t + keep * w for t, w in zip(total, row, strict=True)]
            else:
                clear = group.luck.clear[place]
                total = [t + keep * w * clear[e] for t, w, e in zip(total, row, entries, strict=True)]
        chance = [t / w for t, w in zip(total, self._weights, strict=True)]
        told = list(map(mul, self.scene.masses, chance))
        noise = list(map(sub, self.scene.by_part(self.scene.masses), self.scene.by_part(told)))
        found = self._clean[key] = Clean(chance, told, noise)
        return found

    def _most_telling(self, rows: Sequence[Sequence[float]], row_of: Sequence[int]) -> tuple[float, ...]:
        """For each word of a set cue: the share of its reports in which no more telling word is reported.

        A look is valued by the most telling word reported, which is a little less than the truth: what was not
        reported tells something too.
        """
        scene = self.scene
        chances = list(zip(*(rows[row] for row in row_of), strict=True))
        own = list(map(log, scene.by_part(scene.masses)))
        ranked = []
        for value, column in enumerate(chances):
            joint = scene.by_part(list(map(mul, scene.masses, column)))
            reported = sum(joint)
            telling = sum(map(mul, joint, map(sub, map(log, joint), own))) - reported * log(reported)
            ranked.append((-telling / reported, value, reported))
        silent, scales = scene.masses, [0.0] * len(chances)
        for _, value, reported in sorted(ranked):
            spoken = list(map(mul, silent, chances[value]))
            scales[value] = sum(spoken) / reported
            silent = list(map(sub, silent, spoken))
        return tuple(scales)

    def densities(self) -> list[tuple[float, float]]:
        """Mean and sd (g/cm3) of the true density of each compound of the scene, given the answers so far."""
        if self._densities is not None:
            return self._densities
        group = next((g for g in self.state.groups.values() if g.density), None)
        if group is None:
            compounds = self.state.model.compounds
            found = [(compounds[i].density_g_cm3, compounds[i].density_sd_g_cm3) for i in self.scene.kept]
        else:
            found = []
            weights = zip(*self._skill_rows, strict=True)
            for i, weight, total in zip(self.scene.kept, weights, self._weights, strict=True):
                mean = square = 0.0
                for w, (_, m, sd) in zip(weight, group.density[i], strict=True):
                    mean += w * m
                    square += w * (sd * sd + m * m)
                mean /= total
                found.append((mean, sqrt(max(square / total - mean * mean, 1e-8))))
        self._densities = found
        return found

    def _physics(self, cue: Cue) -> View:
        observer = self.state.model.observer
        if cue.physics == "float_water":
            return self.float_view(cue, WATER_G_CM3, observer.water_uncertainty_g_cm3)
        edges, u = self._bin_edges(), observer.density_uncertainty_g_cm3
        rows = [_between(edges, mean, sqrt(u * u + sd * sd)) for mean, sd in self.densities()]
        inner = [min(max(edge, SLIP_LOW_G_CM3), SLIP_HIGH_G_CM3) for edge in edges]
        ends = [SLIP_LOW_G_CM3, *inner, SLIP_HIGH_G_CM3]
        flats = tuple([(b - a) * SLIP_PDF for a, b in pairwise(ends)])
        names = (f"below {edges[0]:.3f}", *(f"{a:.3f} to {b:.3f}" for a, b in pairwise(edges)))
        return self._of_rows(cue, (*names, f"above {edges[-1]:.3f}"), rows, flats)

    def _bin_edges(self) -> list[float]:
        """Edges that cut what is expected of a weighing into bins of about equal mass, g/cm3."""
        places = [mean + sd * z for mean, sd in self.densities() for z in _FIFTHS]
        fifths = [mass / len(_FIFTHS) for mass in self.scene.masses]
        order = sorted(range(len(places)), key=places.__getitem__)
        reached = list(accumulate([fifths[k // len(_FIFTHS)] for k in order]))
        edges: list[float] = []
        k = 0
        while len(edges) < BINS - 1:
            k = bisect_left(reached, (len(edges) + 1) / BINS, k)
            while k < len(order) and edges and places[order[k]] <= edges[-1]:
                k += 1
            if k == len(order):
                break
            edges.append(places[order[k]])
        return edges or [places[order[-1]]]


@lru_cache(maxsize=4096)
def _floats(mean: float, sd: float, liquid: float, u: float, within: float) -> tuple[float, ...]:
    """What a piece of this density does in a liquid; remembered, because most questions leave a density as it is."""
    return _rounded(float_chances(liquid - mean, sqrt(u * u + sd * sd), within))


def _rounded(row: Sequence[float]) -> tuple[float, ...]:
    """The chances on a coarse grid, so that like compounds share a row; the row still sums to 1."""
    return _shares(tuple([int(chance * _QUANTUM + 0.5) for chance in row]))


@lru_cache(maxsize=4096)
def _shares(coarse: tuple[int, ...]) -> tuple[float, ...]:
    total = sum(coarse)
    return tuple([c / total for c in coarse])


def _between(edges: Sequence[float], mean: float, sd: float) -> tuple[float, ...]:
    """The chance, on the coarse grid, of a normal value below the first edge, between each two, above the last.

    The edges rise; those it is surely above or below take no sum.
    """
    first, last = bisect_left(edges, mean - _SURELY * sd), bisect_right(edges, mean + _SURELY * sd)
    scale, grown, coarse = -1.0 / (sd * _ROOT_2), 0.0, [0] * first
    for edge in edges[first:last]:
        below = 0.5 * _QUANTUM * erfc((edge - mean) * scale)
        coarse.append(int(below - grown + 0.5))
        grown = below
    coarse.append(int(_QUANTUM - grown + 0.5))
    return _shares((*coarse, *[0] * (len(edges) - last)))


def answers(views: Sequence[View], scene: Scene) -> list[Columns]:
    """Per view: the mass of each part with each answer.

    For a set cue the columns are scaled to the reports in which the word is the most telling one; the rest of the
    mass is the silence that says nothing.
    """
    alike: dict[int, list[View]] = {}
    for view in views:
        alike.setdefault(id(view.clean), []).append(view)
    found: dict[int, Columns] = {}
    for members in alike.values():
        columns, start = _side_by_side(members, scene), 0
        for view in members:
            end = start + len(view.values)
            found[id(view)] = columns[start:end]
            start = end
        for view in members:
            if view.scales is not None:
                pairs = zip(found[id(view)], view.scales, strict=True)
                found[id(view)] = [[mass * scale for mass in column] for column, scale in pairs]
    return [found[id(view)] for view in views]


def _side_by_side(views: Sequence[View], scene: Scene) -> list[tuple[float, ...]]:
    """The columns of views that share a `Clean`, one after the other."""
    _, told, noise = views[0].clean
    flats = [flat for view in views for flat in view.flats]
    tables = [(view.rows, view.row_of) for view in views]
    parts: list[list[float]] = []
    for k, (place, amount) in enumerate(zip(scene.place_of, told, strict=True)):
        row: list[float] = []
        for rows, row_of in tables:
            row += rows[row_of[k]]
        if place == len(parts):  # the first compound of its part
            rest = noise[place]
            parts.append([amount * chance + rest * flat for chance, flat in zip(row, flats, strict=False)])
        else:
            parts[place] = [mass + amount * chance for mass, chance in zip(parts[place], row, strict=False)]
    return list(zip(*parts, strict=True))
