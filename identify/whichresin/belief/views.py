"""A cue as it looks from the present belief: which answers to expect from which part of the partition.

Choosing works on weights folded together: compounds with equal rows in the same part of the partition share a
slot, and the lightest compounds are left out (for choosing only). Asked now, compound `i` gives answer `v`
 with chance k T[i][v] + (1 - k) flat[v], where k, the chance of a clean answer, is averaged over the
skills that are still believed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import compress, pairwise
from math import log, sqrt
from operator import mul

from whichresin.belief.decision import Target, Weighing
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
from whichresin.belief.posterior import BeliefState
from whichresin.knowledge.model import Cue

# The heaviest compounds with this share of the mass stand for the others of their part when choosing.
SHARE_KEPT = 0.93
PART_LEFT_OUT = 1e-4
RARE_ANSWER = 0.05  # answers less likely than this are looked ahead with as one
RARE_WORD = 0.01  # words of a set reported less often than this are not looked ahead with
BINS = 9
_QUANTUM = 64.0  # chances of physics answers are rounded to this, so that compounds share rows

Columns = list[tuple[float, ...]]  # per value: the mass of each kept part with that answer


@dataclass(frozen=True, slots=True)
class Scene:
    """The present belief, cut down for choosing."""

    target: Target
    kept: tuple[bool, ...]  # per compound
    masses: tuple[float, ...]  # per kept compound; sums to 1
    parts: tuple[int, ...]  # the parts of the partition that kept compounds lie in
    place_of: tuple[int, ...]  # per kept compound: place of its part in `parts`


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


def scene_of(state: BeliefState, target: Target) -> Scene:
    """Cut the belief down to the compounds that matter for choosing."""
    weights = state.belief.compounds
    chosen, scaled = heaviest(weights, target.part_of, SHARE_KEPT, PART_LEFT_OUT)
    kept = [False] * len(weights)
    for i in chosen:
        kept[i] = True
    inside = [target.part_of[i] for i in chosen]
    parts = tuple(dict.fromkeys(inside))
    place = {part: k for k, part in enumerate(parts)}
    return Scene(target, tuple(kept), tuple(scaled), parts, tuple([place[part] for part in inside]))


def heaviest(
    weights: Sequence[float], part_of: Sequence[int], share: float, least: float
) -> tuple[list[int], list[float]]:
    """The heaviest compounds up to `share` of the mass, in index order, and their weights.

    Each part keeps its whole mass (the kept compounds of the part carry what is left out, in proportion) and at
    least one compound, so the loss of acting now is exact; a part with less than the share `least` of the mass
    may be left out altogether.
    """
    total = sum(weights)
    part_mass: dict[int, float] = {}
    for part, weight in zip(part_of, weights, strict=True):
        part_mass[part] = part_mass.get(part, 0.0) + weight
    least *= total
    chosen: list[int] = []
    carried: dict[int, float] = {}
    reached = 0.0
    for i in sorted(range(len(weights)), key=lambda i: -weights[i]):
        part = part_of[i]
        if reached < share * total or (part not in carried and part_mass[part] > least):
            chosen.append(i)
            reached += weights[i]
            carried[part] = carried.get(part, 0.0) + weights[i]
    chosen.sort()
    everything = sum(part_mass[part] for part in carried)
    scale = {part: part_mass[part] / mass / everything for part, mass in carried.items()}
    return chosen, [weights[i] * scale[part_of[i]] for i in chosen]


def part_totals(scene: Scene, weights: Iterable[float]) -> list[float]:
    """The weight of each kept part, from weights of the kept compounds."""
    totals = [0.0] * len(scene.parts)
    for place, weight in zip(scene.place_of, weights, strict=True):
        totals[place] += weight
    return totals


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
        flats = (1.0 / len(values),) * len(values)
        row_of = list(compress(cue.table.row_of, self.scene.kept))
        if cue.kind == "set":
            scales = self._most_telling(cue.table.rows, row_of)
            return self._built(cue, values, cue.table.rows, row_of, flats, scales)
        return self._built(cue, values, cue.table.rows, row_of, flats, None)

    def _built(
        self,
        cue: Cue,
        values: tuple[str, ...],
        rows: Sequence[Sequence[float]],
        row_of: Sequence[int],
        flats: tuple[float, ...],
        scales: tuple[float, ...] | None,
    ) -> View:
        scene, clean = self.scene, self._clean_chances(cue)
        return built(cue, values, rows, row_of, scene.place_of, len(scene.parts), flats, clean, scales)

    def _clean_chances(self, cue: Cue) -> list[float]:
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

        Unreported words are neutral, so what a look is worth comes from what is reported; a look is valued by
        the most telling word alone, which is a little less than the truth.
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

    def _density_of(self) -> list[tuple[float, float]]:
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
        observer, densities = self.state.model.observer, self._density_of()
        if cue.physics == "float_water":
            u, within = observer.water_uncertainty_g_cm3, observer.neutral_within_g_cm3
            found = [float_chances(WATER_G_CM3 - mean, sqrt(u * u + sd * sd), within) for mean, sd in densities]
            return RESULTS, [_rounded(row) for row in found], (1.0 / 3.0,) * 3
        edges = self._bin_edges(densities)
        u = observer.density_uncertainty_g_cm3
        rows = [_rounded(_between(edges, mean, sqrt(u * u + sd * sd))) for mean, sd in densities]
        inner = [min(max(edge, SLIP_LOW_G_CM3), SLIP_HIGH_G_CM3) for edge in edges]
        ends = [SLIP_LOW_G_CM3, *inner, SLIP_HIGH_G_CM3]
        flats = tuple([(b - a) * SLIP_PDF for a, b in pairwise(ends)])
        names = (f"below {edges[0]:.3f}", *(f"{a:.3f} to {b:.3f}" for a, b in pairwise(edges)))
        return (*names, f"above {edges[-1]:.3f}"), rows, flats

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


def answered(view: View, width: int, weights: Sequence[float], value: int) -> list[float]:
    """Weights of the kept compounds times the chance of this answer; `width` is the number of kept parts."""
    flat = view.flats[value]
    chances = [row[value] - flat for row in view.rows]
    scale = 1.0 if view.scales is None else view.scales[value]
    return [
        scale * weight * (flat + clean * chances[slot // width])
        for weight, clean, slot in zip(weights, view.clean, view.slots, strict=True)
    ]


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


def entropy_of(masses: Iterable[float]) -> float:
    """Sum of -m ln m; for masses that sum to 1 the entropy in nats."""
    return -sum([mass * log(mass) for mass in masses if mass > 0.0])
