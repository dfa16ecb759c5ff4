"""The ways to go and what each is expected to lose.

A way is a process together with the repair cell that the part is treated as. If the part truly is compound `c`,
it loses, in minutes,

    own minutes of the process on c + additions that hold + losses.table[cell of c][treated as]

so the table of wrong calls (losses.yaml) is used here as it is for choosing questions.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from operator import mul

from whichresin.belief.decision import Target
from whichresin.knowledge.model import Compound, Model
from whichresin.knowledge.repair_model import Process, RepairBook

_WELDABLE, _PLAIN = "yes", "none"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to go; `losses` in minutes by compound, the last for what is none of these."""

    process: Process
    treat_as: str  # a repair cell, or "" where it makes no difference
    losses: tuple[float, ...]

    def expected(self, weights: Sequence[float]) -> float:
        """Expected loss under a belief; minutes."""
        return float(sum(map(mul, self.losses, weights)))


def ways_of(model: Model, book: RepairBook, holding: Collection[str], rods: Collection[str], gate: str) -> list[Way]:
    """Every way whose conditions hold. A way that repairs needs an open gate, whatever its file says."""
    added = {process.id: 0.0 for process in book.processes}
    for one in book.adds:
        for name in one.to if one.when in holding else ():
            added[name] += one.minutes
    columns = {name: place for place, name in enumerate(model.losses.actions)}
    rows = dict(zip(model.losses.cells, model.losses.table, strict=True))
    found = []
    for cost in book.costs:
        process = book.process(cost.process)
        if process is None or process.when not in holding or (process.decision == "repair" and gate != "open"):
            continue
        own = [max(0.0, minutes + added[process.id]) for minutes in cost.minutes]
        if process.one_unfilled_plastic:
            worst = max(own)
            own = [m if fusible(model, c, rods) else worst for m, c in zip(own, model.compounds, strict=True)]
        for cell in process.treat_as or ("",):
            wrong = [rows[c.cell][columns[cell]] if cell else 0.0 for c in model.compounds]
            found.append(Way(process, cell, tuple(map(sum, zip(own, wrong, strict=True)))))
    return found


def fusible(model: Model, compound: Compound, rods: Collection[str]) -> bool:
    """Whether this compound may be welded in this shop: unfilled, known to weld, and rod of the same plastic."""
    material = model.materials.get(compound.material)
    plain = compound.filler_kind == _PLAIN and not compound.retarded
    return material is not None and material.weldable == _WELDABLE and plain and material.id in rods


def one_plastic(model: Model, weights: Sequence[float], rods: Collection[str]) -> tuple[str, float]:
    """The likeliest weldable, unfilled plastic with rod at hand, and its probability."""
    sums: dict[str, float] = {}
    for compound, weight in zip(model.compounds, weights, strict=True):
        if fusible(model, compound, rods):
            sums[compound.material] = sums.get(compound.material, 0.0) + weight
    return max(sums.items(), key=lambda pair: (pair[1], pair[0]), default=("", 0.0))


def sure_enough(
    model: Model, book: RepairBook, ways: Sequence[Way], beliefs: Sequence[Sequence[float]], rods: Collection[str]
) -> list[Way]:
    """The ways that may be taken under every one of these beliefs: a weld only from the book's certainty on."""
    weld = all(one_plastic(model, weights, rods)[1] >= book.weld_from for weights in beliefs)
    return [way for way in ways if weld or not way.process.one_unfilled_plastic]


def best(ways: Sequence[Way], weights: Sequence[float]) -> tuple[Way, float] | None:
    """The way with the least expected loss; the earlier of equals."""
    scored = [(way.expected(weights), place) for place, way in enumerate(ways)]
    if not scored:
        return None
    loss, place = min(scored)
    return ways[place], loss


def best_each(ways: Sequence[Way], weights: Sequence[float]) -> list[tuple[Way, float]]:
    """For each process its best way, least loss first."""
    kept: dict[str, tuple[Way, float]] = {}
    for way in ways:
        loss = way.expected(weights)
        if way.process.id not in kept or loss < kept[way.process.id][1]:
            kept[way.process.id] = (way, loss)
    return sorted(kept.values(), key=lambda pair: pair[1])


def as_target(model: Model, ways: Sequence[Way]) -> Target:
    """The ways as a target for choosing questions: compounds that lose alike by every way form one part."""
    numbers: dict[tuple[float, ...], int] = {}
    names: list[str] = []
    part_of = []
    for place, compound in enumerate(model.compounds):
        key = tuple(way.losses[place] for way in ways)
        if key not in numbers:
            numbers[key] = len(numbers)
            names.append(compound.cell)
        part_of.append(numbers[key])
    rows = list(numbers)
    columns = tuple(tuple(row[way] for row in rows) for way in range(len(ways)))
    actions = tuple(f"{way.process.id}/{way.treat_as}" for way in ways)
    return Target("plan", tuple(names), tuple(part_of), actions, columns, ())
