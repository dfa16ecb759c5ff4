"""What is to be settled, and what acting on a belief costs in minutes of bench work.

Two targets: the *decision* (which repair cell; with a welder at hand also fibre and class, as the losses'
splits say) and the *polymer* (which material). Compounds that lead to the same action form one part of the
partition.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from operator import mul
from typing import NamedTuple

from whichresin.belief.hypotheses import Belief
from whichresin.knowledge.model import Compound, Model, SplitLoss

TARGETS = ("decision", "polymer")
DEFER = "defer"
FEW_PARTS = 6  # with more parts, an action that another always beats is too rare to look for

Loss = Callable[[Sequence[float]], float]


class Verdict(NamedTuple):
    """The cheapest action under a belief and the next one; losses in expected minutes."""

    action: str
    loss: float
    runner_up: str
    runner_up_loss: float


@dataclass(frozen=True, slots=True)
class Split:
    """A split that applies in this shop, with the side of each part of the partition: True is not plain."""

    loss: SplitLoss
    sides: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Target:
    """A partition of the compounds and the losses over it.

    `columns[a][t]` is the loss of action `a` when the truth is in part `t`, without the splits; the last
    action is to defer, and splits do not apply to it.
    """

    name: str
    parts: tuple[str, ...]  # the leader's name of each part: a cell or a material
    part_of: tuple[int, ...]  # per compound
    actions: tuple[str, ...]
    columns: tuple[tuple[float, ...], ...]
    splits: tuple[Split, ...]


def target_of(model: Model, name: str = "decision", shop: Collection[str] = ()) -> Target:
    """The partition and losses of a target in a shop with these tools. Raises ValueError for another name."""
    if name == "decision":
        return _decision(model, shop)
    if name == "polymer":
        return _polymer(model)
    raise ValueError(f"{name!r} is not a target; expected one of {', '.join(TARGETS)}.")


def _decision(model: Model, shop: Collection[str]) -> Target:
    losses = model.losses
    splits = [split for split in losses.splits if split.shop in shop]
    numbers: dict[tuple[object, ...], int] = {}
    part_of = tuple(
        numbers.setdefault((c.cell, *(not_plain(split.by, c) for split in splits)), len(numbers))
        for c in model.compounds
    )
    rows = dict(zip(losses.cells, losses.table, strict=True))
    missing = sorted({str(key[0]) for key in numbers} - rows.keys())
    if missing:
        raise ValueError(f"The table of losses has no row for the cell {missing[0]!r}.")
    keys = list(numbers)
    columns = tuple(tuple(rows[str(key[0])][action] for key in keys) for action in range(len(losses.actions)))
    sides = tuple(Split(split, tuple(bool(key[1 + place]) for key in keys)) for place, split in enumerate(splits))
    return Target("decision", tuple(str(key[0]) for key in keys), part_of, losses.actions, columns, sides)


def _polymer(model: Model) -> Target:
    numbers: dict[str, int] = {}
    part_of = tuple(numbers.setdefault(c.material, len(numbers)) for c in model.compounds)
    parts, wrong = tuple(numbers), model.losses.polymer_wrong
    columns = [tuple(0.0 if truth == act else wrong for truth in parts) for act in parts]
    columns.append((model.losses.polymer_defer,) * len(parts))
    return Target("polymer", parts, part_of, (*parts, DEFER), tuple(columns), ())


def not_plain(by: str, compound: Compound) -> bool:
    """Which side of a split the compound is on: holds fibre, holds any filler, is no thermoplastic."""
    if by == "fibre":
        return compound.filler_kind == "fibre"
    if by == "filled":
        return compound.filler_kind != "none"
    if by == "class":
        return compound.klass != "thermoplastic"
    raise ValueError(f"{by!r} is not a way to split compounds; expected fibre, filled or class.")


def part_masses(target: Target, weights: Sequence[float]) -> list[float]:
    """The weight of each part of the partition, from weights per compound."""
    masses = [0.0] * len(target.parts)
    for part, weight in zip(target.part_of, weights, strict=True):
        masses[part] += weight
    return masses


def split_loss(split: Split, masses: Sequence[float]) -> float:
    """Expected loss of the better side to treat the part as."""
    other = sum(mass for mass, side in zip(masses, split.sides, strict=True) if side)
    return min(other * split.loss.miss, (sum(masses) - other) * split.loss.false_alarm)


def action_losses(target: Target, masses: Sequence[float]) -> list[float]:
    """Expected loss of every action for weights over the parts; minutes, scaled as the weights are."""
    if target.name == "polymer":
        total, (wrong, defer) = sum(masses), _name_rates(target)
        return [*((total - mass) * wrong for mass in masses), total * defer]
    losses = [sum(map(mul, masses, column)) for column in target.columns]
    extra = sum(split_loss(split, masses) for split in target.splits)
    return [loss + extra for loss in losses[:-1]] + losses[-1:]


def best_action(model: Model, belief: Belief, target: str = "decision", shop: Collection[str] = ()) -> Verdict:
    """The action with the smallest expected loss, to defer included, and the runner-up."""
    return verdict(target_of(model, target, shop), belief.compounds)


def verdict(target: Target, weights: Sequence[float]) -> Verdict:
    """As `best_action`, for weights per compound and a target at hand."""
    losses = action_losses(target, part_masses(target, weights))
    (loss, first), (next_loss, second) = sorted(zip(losses, range(len(losses)), strict=True))[:2]
    return Verdict(target.actions[first], loss, target.actions[second], next_loss)


def treat_as(model: Model, belief: Belief, shop: Collection[str] = ()) -> tuple[tuple[str, bool, float], ...]:
    """For each split of this shop: (what it asks, treat the part as not plain?, expected loss in minutes)."""
    target = target_of(model, "decision", shop)
    masses = part_masses(target, belief.compounds)
    found = []
    for split in target.splits:
        other = sum(mass for mass, side in zip(masses, split.sides, strict=True) if side)
        treated = other * split.loss.miss >= (sum(masses) - other) * split.loss.false_alarm
        found.append((split.loss.by, treated, split_loss(split, masses)))
    return tuple(found)


def loss_over(target: Target, kept: Sequence[int], actions: Collection[int] | None = None) -> Loss:
    """The loss of the best action for weights over the parts in `kept`, in that order.

    `actions` limits it to some actions (to defer is always one): never less than the true loss, and quicker.
    Actions that another action beats in every kept part are left out: they can never be the best.
    """
    if target.name == "polymer":
        return _name_loss(target)
    last = len(target.columns) - 1
    used = range(last) if actions is None else sorted(set(actions) - {last})
    deferred = tuple([target.columns[-1][part] for part in kept])
    plain = _undominated([tuple([target.columns[a][part] for part in kept]) for a in used])
    if not target.splits:
        rows = _undominated([*plain, deferred])
        return lambda weights: min([sum(map(mul, weights, row)) for row in rows])
    splits = [
        (tuple([float(split.sides[part]) for part in kept]), split.loss.miss, split.loss.false_alarm)
        for split in target.splits
    ]

    def shop_loss(weights: Sequence[float]) -> float:
        total, acted = sum(weights), min([sum(map(mul, weights, row)) for row in plain])
        for sides, miss, false_alarm in splits:
            other = sum(map(mul, weights, sides))
            acted += min(other * miss, (total - other) * false_alarm)
        return float(min(acted, sum(map(mul, weights, deferred))))

    return shop_loss


def _name_rates(target: Target) -> tuple[float, float]:
    """What a wrong name costs, and what none costs."""
    return target.columns[0][-1 if len(target.parts) > 1 else 0], target.columns[-1][0]


def _name_loss(target: Target) -> Loss:
    wrong, defer = _name_rates(target)

    def loss(weights: Sequence[float]) -> float:
        total: float = sum(weights)
        return min(total * defer, (total - max(weights)) * wrong)

    return loss


def best_actions(target: Target, kept: Sequence[int], columns: Iterable[Sequence[float]]) -> set[int]:
    """The actions that are best, splits aside, for at least one of these weights over the kept parts."""
    if target.name == "polymer":
        return set()
    narrowed = [tuple([column[part] for part in kept]) for column in target.columns[:-1]]
    found = set()
    for weights in columns:
        losses = [sum(map(mul, weights, column)) for column in narrowed]
        found.add(losses.index(min(losses)))
    return found


def _undominated(columns: Sequence[tuple[float, ...]]) -> list[tuple[float, ...]]:
    distinct = list(dict.fromkeys(columns))
    if len(distinct[0]) > FEW_PARTS:
        return distinct
    return [
        column
        for column in distinct
        if not any(
            other is not column and all(a <= b for a, b in zip(other, column, strict=True)) for other in distinct
        )
    ]
