"""A plan with what this shop brings to it: products that fit, their times here, and quantities for this size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from whichresin.knowledge.model import Model
from whichresin.repair.decide import make_plan
from whichresin.repair.figures import Figures
from whichresin.repair.fit import Bench
from whichresin.repair.plan import Plan, Step
from whichresin.repair.product_rules import ProductRules
from whichresin.repair.provide import Provision, provide
from whichresin.repair.shelf import Product
from whichresin.repair.size import MissingSize, Size, size_of

from .planned import case_of
from .state import State


@dataclass(frozen=True, slots=True)
class Provisioned:
    """The plan, its `quantities` filled in and its steps timed by the products, and the provision itself."""

    plan: Plan
    provision: Provision
    celsius: float | None  # of the shop, where anybody said it


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop brings: its products, the rules and figures of the trade, the day, and the room where measured."""

    products: tuple[Product, ...]
    rules: ProductRules
    figures: Figures
    bench: Bench


def provisioned(
    model: Model,
    state: State,
    damage: str,
    context: str,
    size: Mapping[str, float],
    shop: Shop,
) -> Provisioned:
    """Plan and provide. `size` takes the place of the sizes in the words for the damage.

    Raises BadWords for words and BadSize for sizes that cannot be meant. A size that nobody said is a remark.
    """
    rods = tuple(f"{word} rod" for one in shop.products if _usable_rod(one, shop) for word in one.suits)
    state = replace(state, shop=tuple(dict.fromkeys((*state.shop, *rods))))
    case = case_of(model, state, damage, context)
    plan = make_plan(case)
    bench = shop.bench
    if bench.celsius is None and plan.understood.celsius is not None:
        bench = replace(bench, celsius=plan.understood.celsius)
    known, missing = _size(plan, size, shop.figures)
    provision = provide(plan, case.said.compounds, shop.products, shop.rules, shop.figures, bench, known, missing)
    if plan.decision != "repair":
        return Provisioned(plan, provision, bench.celsius)
    steps = tuple(_timed(step, provision, shop.rules) for step in plan.steps)
    return Provisioned(replace(plan, steps=steps, quantities=provision.as_json()), provision, bench.celsius)


def _usable_rod(product: Product, shop: Shop) -> bool:
    """A welding rod on the shelf that has not run out: the plan may reckon with it."""
    in_date = product.expires is None or product.expires >= shop.bench.today
    return product.rod_mm is not None and in_date


def _size(plan: Plan, given: Mapping[str, float], figures: Figures) -> tuple[Size | None, str]:
    """The size from figures and words; None, and the sentence on what is missing, where it cannot be known."""
    damage = plan.understood.damage
    said = {"length": damage.length_mm, "width": damage.width_mm, "thickness": damage.wall_mm}
    found = {key: value for key, value in said.items() if value is not None}
    if "one_side" in plan.understood.facts.get("reach", ()):
        found["sides"] = 1.0
    try:
        return size_of({**found, **given}, figures), ""
    except MissingSize as error:
        return None, str(error)


def _timed(step: Step, provision: Provision, rules: ProductRules) -> Step:
    """The step with the minutes of the product that sets its clock, where one does."""
    clock = rules.clocks.get(step.timer or "")
    if clock is None:
        return step
    time = provision.time_of(clock)
    if time is None:
        return step
    if time.kind == "wait":
        low, high = max(time.sheet_minutes, time.band.usual), time.timer_minutes
    else:
        low, high = time.band.low, time.band.high
    return replace(step, minutes=(round(low, 1), round(max(low, high), 1)))


def interview_of(state: State, damage: str, context: str) -> dict[str, Any]:
    """What was answered and said, for the record: enough to plan the same job again."""
    return {
        "answers": {cue: answer.value for cue, answer in state.answers.items()},
        "sure": {cue: answer.sure for cue, answer in state.answers.items() if answer.sure != "medium"},
        "uncertainty": {
            cue: answer.uncertainty for cue, answer in state.answers.items() if answer.uncertainty is not None
        },
        "declined": list(state.declined),
        "notes": list(state.notes),
        "damage": damage,
        "context": context,
        "shop": list(state.shop),
    }


def products_of(products: Iterable[Product]) -> tuple[Product, ...]:
    """Products in a fixed order, so that the same shelf gives the same sheet."""
    return tuple(sorted(products, key=lambda one: one.id))
