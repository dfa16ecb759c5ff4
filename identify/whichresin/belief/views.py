"""A cue as it looks from the present belief: which answers to expect from which part of the partition.

Choosing works on weights folded together: compounds with equal rows in the same part of the partition share a
slot, and the lightest compounds are left out (for choosing only). Asked now, compound `i` gives answer `v`
 with chance k T[i][v] + (1 - k) flat[v], where k, the chance of a clean answer, is averaged over the
skills that are still believed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress, pairwise
from math import log, sqrt
from operator import mul

from whichresin.belief.density import (
    RESULTS,
    SLIP_HIGH_G_CM3,
    SLIP_LOW_G_CM3,
    SLIP_PDF,
    WATER_G_CM3,
    float_chances,
    normal_below,
    normal_quantile,
)
from whichresin.belief.likelihood import slip_answers
from whichresin.belief.posterior import BeliefState
from whichresin.belief.scene import Scene, part_totals
from whichresin.knowledge.model import Cue

BINS = 9
_EVEN = (1.0 / len(RESULTS),) * len(RESULTS)  # what a slip answers to a float test
_QUANTUM = 64.0  # chances of physics answers are rounded to this, so that compounds share rows

Columns = list[tuple[float, ...]]  # per value: the mass of each kept part with that answer


@dataclass(frozen=True, slots=True)
class View:
    """One cue from one scene."""

    cue: Cue
    values: tuple[str, ...]
    slots: Sequence[int]  # per kept compound: row * parts + place
    rows: Sequence[Sequence[float]]
    present: Sequence[Sequence[tuple[int, Sequence[float]]]]  # per place: (slot, row)
    flats: tuple[float, ...]
    clean: Sequence[float]  # per kept compound: chance of a clean answer
    scales: tuple[float, ...] | None  # a set cue: how often each word is the most telling one reported
    # Only in a condensed view: the present slots in order, the part of each and then each part once more, and
    # per value its chance in each of these (the last ones are the noise of each part).
    order: Sequence[int] = ()
    places: Sequence[int] = ()
    chances: Sequence[Sequence[float]] = ()


class Viewer:
    """Makes the views of one scene; what several cues share is worked out once."""

    def __init__(self, state: BeliefState, scene: Scene) -> None:
        self.state, self.scene = state, scene
        self._skill_rows = [list(compress(row, scene.kept)) for row in state.joint]
        self._clean: dict[tuple[str, bool], list[float]] = {}
        self._densities: list[tuple[float, float]] | None = None

    def view(self, cue: Cue) -> View:
        """The cue as it looks now. It must carry a table or be a float test or a weighing."""
        if cue.physics:
            values, rows_of, flats = self._physics(cue)
            rows: dict[tuple[float, ...], int] = {}
            row_of: Sequence[int] = [rows.setdefault(row, len(rows)) for row in rows_of]
            return self._built(cue, values, list(rows), row_of, flats, None)
        if cue.table is None:
            raise ValueError(f"{cue.id!r} carries no expectations, so it cannot be ranked.")
        values = tuple([value.id for value in cue.values])
        flats = slip_answers(cue, self.state.model.observer)
        row_of = list(compress(cue.table.row_of, self.scene.kept))
        if cue.kind == "set":
            scales = self._most_telling(cue.table.rows, row_of)
            return self._built(cue, values, cue.table.rows, row_of, flats, scales)
        return self._built(cue, values, cue.table.rows, row_of, flats, None)

    def float_view(self, cue: Cue, liquid_g_cm3: float, uncertainty_g_cm3: float) -> View:
        """A float test in a liquid of this density as it looks now; the cue carries its cost."""
        rows: dict[tuple[float, ...], int] = {}
        row_of = [rows.setdefault(row, len(rows)) for row in self._floats(liquid_g_cm3, uncertainty_g_cm3)]
        return self._built(cue, RESULTS, list(rows), row_of, _EVEN, None)

    def _built(
        self,
        cue: Cue,
        values: tuple[str, ...],
        rows: Sequence[Sequence[float]],
        row_of: Sequence[int],
        flats: tuple[float, ...],
        scales: tuple[float, ...] | None,
    ) -> View:
        scene, clean = self.scene, self.clean_chances(cue)
        return built(cue, values, rows, row_of, scene.place_of, len(scene.parts), flats, clean, scales)

    def clean_chances(self, cue: Cue) -> list[float]:
        """P(the next answer to this cue is clean) of each kept compound: no slip, and no muddled test."""
        key = (cue.group, bool(cue.physics))
        group = self.state.groups.get(key)
        if group is None:
            key = ("", key[1])  # all groups without an answer are alike
        if key in self._clean:
            return self._clean[key]
        total = [0.0] * len(self.scene.masses)
        for place, skill in enumerate(self.state.model.observer.skills):
            row, keep = self._skill_rows[place], 1.0 - skill.slip
            if group is None or group.luck is None:
                keep *= 1.0 if cue.physics else 1.0 - skill.muddled
                total = [t + keep * w for t, w in zip(total, row, strict=True)]
            else:
                clear = group.luck.clear[place]
                entries = compress(group.luck.entry_of, self.scene.kept)
                total = [t + keep * w * clear[e] for t, w, e in zip(total, row, entries, strict=True)]
        weights = [sum(column) for column in zip(*self._skill_rows, strict=True)]
        found = [t / w for t, w in zip(total, weights, strict=True)]
        self._clean[key] = found
        return found

    def _most_telling(self, rows: Sequence[Sequence[float]], row_of: Sequence[int]) -> tuple[float, ...]:
        """For each word of a set cue: the share of its reports in which no more telling word is reported.

        A look is valued by the most telling word reported, which is a little less than the truth: what was not
        reported tells something too.
        """
        scene = self.scene
        mass_of = [[0.0] * len(scene.parts) for _ in rows]
        for row, place, mass in zip(row_of, scene.place_of, scene.masses, strict=True):
            mass_of[row][place] += mass
        totals = part_totals(scene, scene.masses)
        row_mass = [sum(masses) for masses in mass_of]
        by_part = list(zip(*mass_of, strict=True))
        ranked = []
        for value in range(len(rows[0])):
            chances = [row[value] for row in rows]
            joint = [sum(map(mul, masses, chances)) for masses in by_part]
            reported = sum(joint)
            telling = sum([j * log(j / (reported * t)) for j, t in zip(joint, totals, strict=True)])
            ranked.append((-telling / reported, value, reported))
        silent, scales = row_mass, [0.0] * len(rows[0])
        for _, value, reported in sorted(ranked):
            first = sum(s * row[value] for s, row in zip(silent, rows, strict=True))
            scales[value] = first / reported
            silent = [s * (1.0 - row[value]) for s, row in zip(silent, rows, strict=True)]
        return tuple(scales)

    def densities(self) -> list[tuple[float, float]]:
        """Mean and sd (g/cm3) of the true density of each kept compound, given the answers so far."""
        if self._densities is not None:
            return self._densities
        compounds = list(compress(self.state.model.compounds, self.scene.kept))
        found = [(c.density_g_cm3, c.density_sd_g_cm3) for c in compounds]
        group = next((g for g in self.state.groups.values() if g.density), None)
        if group is not None:
            found = []
            weights = zip(*self._skill_rows, strict=True)
            for row, weight in zip(compress(group.density, self.scene.kept), weights, strict=True):
                total = sum(weight)
                mean = sum(w * d.mean_g_cm3 for w, d in zip(weight, row, strict=True)) / total
                square = sum(w * (d.sd_g_cm3**2 + d.mean_g_cm3**2) for w, d in zip(weight, row, strict=True))
                found.append((mean, sqrt(max(square / total - mean * mean, 1e-8))))
        self._densities = found
        return found

    def _physics(self, cue: Cue) -> tuple[tuple[str, ...], list[tuple[float, ...]], tuple[float, ...]]:
        """Values, one row per kept compound, and what a slip would answer."""
        observer, densities = self.state.model.observer, self.densities()
        if cue.physics == "float_water":
            return RESULTS, self._floats(WATER_G_CM3, observer.water_uncertainty_g_cm3), _EVEN
        edges = self._bin_edges(densities)
        u = observer.density_uncertainty_g_cm3
        rows = [_rounded(_between(edges, mean, sqrt(u * u + sd * sd))) for mean, sd in densities]
        inner = [min(max(edge, SLIP_LOW_G_CM3), SLIP_HIGH_G_CM3) for edge in edges]
        ends = [SLIP_LOW_G_CM3, *inner, SLIP_HIGH_G_CM3]
        flats = tuple([(b - a) * SLIP_PDF for a, b in pairwise(ends)])
        names = (f"below {edges[0]:.3f}", *(f"{a:.3f} to {b:.3f}" for a, b in pairwise(edges)))
        return (*names, f"above {edges[-1]:.3f}"), rows, flats

    def _floats(self, liquid: float, u: float) -> list[tuple[float, ...]]:
        within = self.state.model.observer.neutral_within_g_cm3
        found = [float_chances(liquid - mean, sqrt(u * u + sd * sd), within) for mean, sd in self.densities()]
        return [_rounded(row) for row in found]

    def _bin_edges(self, densities: Sequence[tuple[float, float]]) -> list[float]:
        """Edges that cut what is expected of a weighing into bins of about equal mass, g/cm3."""
        steps = [normal_quantile((k + 0.5) / 5.0) for k in range(5)]
        points = sorted(
            (mean + sd * z, mass / 5.0)
            for (mean, sd), mass in zip(densities, self.scene.masses, strict=True)
            for z in steps
        )
        edges: list[float] = []
        reached = 0.0
        for place, mass in points:
            reached += mass
            if reached >= (len(edges) + 1) / BINS and (not edges or place > edges[-1]) and len(edges) < BINS - 1:
                edges.append(place)
        return edges or [points[-1][0]]


def _rounded(row: Sequence[float]) -> tuple[float, ...]:
    """The chances on a coarse grid, so that like compounds share a row; the row still sums to 1."""
    coarse = [int(chance * _QUANTUM + 0.5) for chance in row]
    total = sum(coarse)
    return tuple([c / total for c in coarse])


def _between(edges: Sequence[float], mean: float, sd: float) -> list[float]:
    """The chance of a normal value below the first edge, between each two, and above the last one."""
    low, high = mean - 4.0 * sd, mean + 4.0 * sd
    found, before = [], 0.0
    for edge in edges:
        below = 0.0 if edge < low else (1.0 if edge > high else normal_below((edge - mean) / sd))
        found.append(below - before)
        before = below
    found.append(1.0 - before)
    return found


def answers(view: View, weights: Sequence[float], totals: Sequence[float]) -> Columns:
    """Mass of each kept part with each answer, from weights of the kept compounds (any scale).

    `totals` are the weights summed by part. For a set cue the columns are scaled to the reports in which the
    word is the most telling one; the rest of the mass is the silence that says nothing.
    """
    filled = [0.0] * (len(view.rows) * len(totals))
    for slot, weight in zip(view.slots, map(mul, weights, view.clean), strict=True):
        filled[slot] += weight
    found, flats = [], view.flats
    for noise, members in zip(totals, view.present, strict=True):
        if len(members) == 1:
            slot, row = members[0]
            weight = filled[slot]
            noise -= weight
            found.append([noise * flat + weight * chance for flat, chance in zip(flats, row, strict=True)])
            continue
        for slot, _ in members:
            noise -= filled[slot]
        column = [noise * flat for flat in flats]
        for slot, row in members:
            weight = filled[slot]
            column = [c + weight * chance for c, chance in zip(column, row, strict=True)]
        found.append(column)
    columns = list(zip(*found, strict=True))
    if view.scales is None:
        return columns
    return [tuple([c * scale for c in column]) for column, scale in zip(columns, view.scales, strict=True)]


def answered(view: View, width: int, weights: Sequence[float], value: int) -> list[float]:
    """Weights of the kept compounds times the chance of this answer; `width` is the number of kept parts."""
    flat = view.flats[value]
    chances = [row[value] - flat for row in view.rows]
    scale = 1.0 if view.scales is None else view.scales[value]
    return [
        scale * weight * (flat + clean * chances[slot // width])
        for weight, clean, slot in zip(weights, view.clean, view.slots, strict=True)
    ]


def built(
    cue: Cue,
    values: tuple[str, ...],
    rows: Sequence[Sequence[float]],
    row_of: Sequence[int],
    place_of: Sequence[int],
    width: int,
    flats: tuple[float, ...],
    clean: Sequence[float],
    scales: tuple[float, ...] | None,
) -> View:
    """A view with its slots laid out."""
    slots = [row * width + place for row, place in zip(row_of, place_of, strict=True)]
    present: list[list[tuple[int, Sequence[float]]]] = [[] for _ in range(width)]
    for slot in sorted(set(slots)):
        present[slot % width].append((slot, rows[slot // width]))
    return View(cue, values, slots, rows, present, flats, clean, scales)
