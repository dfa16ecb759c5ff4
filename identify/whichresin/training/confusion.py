"""The expected confusion matrix: of a part that is truly A, how much belief ends on B when all is answered.

Worked out from the model: parts and observers are drawn from it, each part answers every cue that needs no leave
but the ones given, and the exact posterior is added up (not only its leader, so that few draws tell much). Draws
are spread over the materials and weighted by their shares. With q the posterior over materials of one draw,

    J[a][b] = E[q[a] q[b]],   chance[a][b] = J[a][b] / E[q[a]]

J is symmetric by construction and its rows sum to E[q[a]], which is the share of a. Here also stands what one
more cue would be worth: a perfect answer to "does it belong to this group?", in minutes of wrong work saved
(expected value of that information: Raiffa and Schlaifer 1961, from memory) and in names called right.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whichresin.belief.decision import Target, action_losses, part_masses, target_of
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.belief.sampling import draw_answer, draw_bench, draw_index
from whichresin.knowledge.model import Compound, Cue, Model

NONE = "none of these"
DRAWS = 4  # of each material; with the seed they make every figure repeatable
SMALLEST = 1e-6  # belief below this is left out of the worth of a group


@dataclass(frozen=True, slots=True)
class Wanted:
    """A group that one more cue might tell from all others, and what a sure answer would save on average."""

    group: str
    minutes: float
    names: float  # rise of the chance that the name is called right


@dataclass(frozen=True, slots=True)
class Confusion:
    """Chances in rows: truly `names[i]`, believed `names[j]`; the last is none of these."""

    names: tuple[str, ...]  # by repair cell, then by name
    cells: tuple[str, ...]  # the repair cell of each
    chance: tuple[tuple[float, ...], ...]
    compound_right: tuple[float, ...]  # belief that ends on the very compound, by material
    wanted: tuple[Wanted, ...]  # best first
    draws: int  # of each material
    seed: int

    def as_json(self) -> dict[str, Any]:
        """The matrix by rows in the order of `names`, and what one more cue would be worth."""
        return {
            "names": list(self.names),
            "cells": list(self.cells),
            "chance": [[round(p, 4) for p in row] for row in self.chance],
            "cell_right": [round(self.cell_right(name), 4) for name in self.names],
            "compound_right": [round(p, 4) for p in self.compound_right],
            "wanted": [
                {"group": w.group, "minutes": round(w.minutes, 3), "names": round(w.names, 4)} for w in self.wanted
            ],
            "draws": self.draws,
            "seed": self.seed,
        }

    def mistaken(self, name: str, count: int = 3) -> list[tuple[str, float]]:
        """What a material is mistaken for most."""
        row = self.chance[self.names.index(name)]
        found = [(other, p) for other, p in zip(self.names, row, strict=True) if other != name]
        return sorted(found, key=lambda item: (-item[1], item[0]))[:count]

    def right(self, name: str) -> float:
        """The belief that ends on the material itself."""
        place = self.names.index(name)
        return self.chance[place][place]

    def cell_right(self, name: str) -> float:
        """The belief that ends in the material's repair cell."""
        place = self.names.index(name)
        return sum(p for p, cell in zip(self.chance[place], self.cells, strict=True) if cell == self.cells[place])


def answerable(model: Model, without: Iterable[str] = ()) -> list[Cue]:
    """The cues that a part answers: those with expectations, and its weight; none that needs a leave in `without`."""
    barred = set(without)
    return [
        cue
        for cue in model.cues.values()
        if cue.opt_in not in barred and cue.askable and (cue.table is not None or cue.physics == "density")
    ]


def confusion(model: Model, draws: int = DRAWS, seed: int = 1, without: Iterable[str] = ()) -> Confusion:
    """Draw, answer, weigh and add up; about 20 ms a draw."""
    cues = answerable(model, without)
    order = sorted(model.materials, key=lambda id: (model.materials[id].cell, id))
    names = (*order, NONE)
    place = {name: index for index, name in enumerate(names)}
    of = [place.get(compound.material, len(order)) for compound in model.compounds]
    joint = [[0.0] * len(names) for _ in names]
    compound_right = [0.0] * len(names)
    worth = _Worth(model)
    for index, name in enumerate(names):
        own = [compound.prior if of[i] == index else 0.0 for i, compound in enumerate(model.compounds)]
        weight = sum(own) / draws
        for number in range(draws if weight > 0.0 else 0):
            rng = random.Random(f"{seed}:{name}:{number}")
            compound = draw_index(own, rng.random)
            belief = _belief(model, cues, compound, rng)
            masses = [0.0] * len(names)
            for i, p in zip(of, belief, strict=True):
                masses[i] += p
            for a, p in enumerate(masses):
                row, part = joint[a], weight * p
                for b, q in enumerate(masses):
                    row[b] += part * q
            compound_right[index] += belief[compound] / draws
            worth.add(weight, belief)
    cells = (*(model.materials[id].cell for id in order), "none")
    chance = tuple(_shares(row) for row in joint)
    return Confusion(names, cells, chance, tuple(compound_right), worth.ranked(), draws, seed)


def _belief(model: Model, cues: Sequence[Cue], compound: int, rng: random.Random) -> tuple[float, ...]:
    bench = draw_bench(model, rng.random, compound=compound)
    return posterior(model, [Observation(cue.id, draw_answer(bench, cue, rng.random)) for cue in cues]).compounds


def _shares(row: Sequence[float]) -> tuple[float, ...]:
    total = sum(row)
    return tuple(p / total for p in row) if total > 0.0 else tuple(row)


class _Worth:
    """What a sure answer on each group would save, added up over draws."""

    def __init__(self, model: Model) -> None:
        self._target = target_of(model)
        self._names = target_of(model, "polymer")
        self._groups = {name: frozenset(members) for name, members in groups_of(model).items()}
        self._minutes = dict.fromkeys(self._groups, 0.0)
        self._hits = dict.fromkeys(self._groups, 0.0)

    def add(self, weight: float, belief: Sequence[float]) -> None:
        """One draw with its share."""
        kept = [index for index, p in enumerate(belief) if p > SMALLEST]
        loss, hit = self._best(belief, kept)
        for name, members in self._groups.items():
            inside = [index for index in kept if index in members]
            if not inside or len(inside) == len(kept):
                continue  # the answer is known already
            outside = [index for index in kept if index not in members]
            sides = (self._best(belief, inside), self._best(belief, outside))
            self._minutes[name] += weight * (loss - sides[0][0] - sides[1][0])
            self._hits[name] += weight * (sides[0][1] + sides[1][1] - hit)

    def ranked(self) -> tuple[Wanted, ...]:
        """Best first by minutes, then by names."""
        found = [Wanted(name, self._minutes[name], self._hits[name]) for name in self._groups]
        return tuple(sorted(found, key=lambda one: (-one.minutes, -one.names, one.group)))

    def _best(self, belief: Sequence[float], places: Sequence[int]) -> tuple[float, float]:
        """Loss of the best action and the mass of the best name, over some compounds."""
        masses, names = _masses(self._target, belief, places), _masses(self._names, belief, places)
        return min(action_losses(self._target, masses)), max(names)


def _masses(target: Target, belief: Sequence[float], places: Sequence[int]) -> list[float]:
    if len(places) == len(belief):
        return part_masses(target, belief)
    masses = [0.0] * len(target.parts)
    for place in places:
        masses[target.part_of[place]] += belief[place]
    return masses


def groups_of(model: Model) -> Mapping[str, list[int]]:
    """Group in words -> places of its compounds: each material, family, cell, class and kind of filler."""

    def words(one: Compound) -> tuple[str, ...]:
        if one.material not in model.materials:
            return ()
        held = "fibre" if one.filler_kind == "fibre" else "filler" if one.filler_kind != "none" else "nothing mixed in"
        retarded = ("with a flame retardant",) if one.retarded else ()
        family, cell = f"of family {one.family}", f"of repair cell {one.cell}"
        return (one.material, family, cell, f"a {one.klass}", f"with {held}", *retarded)

    found: dict[str, list[int]] = {}
    for place, compound in enumerate(model.compounds):
        for name in words(compound):
            found.setdefault(name, []).append(place)
    return found
