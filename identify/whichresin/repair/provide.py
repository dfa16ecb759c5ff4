"""What a plan takes from this shop's shelf: products that fit, their times here, and quantities for this size.

Pure: a plan, a belief and the shelf in, a `Provision` out. Nothing in the plan is decided anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from .bands import Quantity
from .figures import Figures
from .fit import Bench, Verdict, choose, judge, promoter_said
from .plan import Plan
from .product_rules import Clock, ProductRules
from .quantities import Supply, adhesive_quantities, cleaner_quantity, laminate_quantities, weld_quantities
from .shelf import Product
from .size import Size
from .times import OutsideRule, Timed, as_written, timed

_PROMOTER_WANTED = ("required", "follow_product_sheet")
_ALL_SIZES = "size: {length: 150, width: 0, thickness: 3, sides: 2}, in mm"
_UNMEASURED = 20.0  # C; only for the vapour figure, where ten degrees change little


@dataclass(frozen=True, slots=True)
class Provision:
    """Products by kind (None: none fits), all verdicts, times by product kind and id, quantities, and remarks."""

    chosen: Mapping[str, Verdict | None] = field(default_factory=dict)
    verdicts: tuple[Verdict, ...] = ()
    times: Mapping[str, Mapping[str, Timed]] = field(default_factory=dict)
    quantities: tuple[Quantity, ...] = ()
    remarks: tuple[str, ...] = ()
    size: Size | None = None
    not_reckoned: str = ""

    def time_of(self, clock: Clock) -> Timed | None:
        """The time of the chosen product that sets a clock; None where no product gives one."""
        found = (self.times.get(kind, {}).get(what) for kind in clock.products for what in clock.times)
        return next((time for time in found if time is not None), None)

    def as_json(self) -> dict[str, Any]:
        """The `quantities` of a plan: each quantity by id, and the products, times and remarks they rest on."""
        return {
            **{one.id: one.as_json() for one in self.quantities},
            "size": self.size.as_json() if self.size is not None else None,
            "products": [one.as_json() for one in self.chosen.values() if one is not None],
            "refused": [one.as_json() for one in self.verdicts if one.verdict == "refused"],
            "times": {kind: {name: one.as_json() for name, one in found.items()} for kind, found in self.times.items()},
            "remarks": list(self.remarks),
            "not_reckoned": self.not_reckoned,
        }


def provide(
    plan: Plan,
    chances: Sequence[float],
    products: Iterable[Product],
    rules: ProductRules,
    figures: Figures,
    bench: Bench,
    size: Size | None,
    missing: str = "",
) -> Provision:
    """Choose products, move their times to the shop, and reckon quantities. Empty unless the plan is to repair.

    `chances` is the belief in every compound, in the model's order.
    """
    if plan.decision != "repair":
        return Provision()
    remarks: list[str] = []
    held = list(products)
    chosen, verdicts = _chosen(plan, chances, held, rules, bench, remarks)
    times = {kind: _times(one.product, figures, bench, remarks) for kind, one in chosen.items() if one is not None}
    if size is None:
        why = missing or "the size of the damage is not known"
        remarks.append(f"No quantities: {why}. All of it: {_ALL_SIZES}.")
        quantities: list[Quantity] = []
    else:
        quantities = _quantities(plan, size, figures, chosen, times, bench, rules)
        if plan.process == "laminate" and size.scarf_ratio is None:
            remarks.append(_no_scarf(figures))
    if bench.celsius is None and times:
        remarks.append(
            "The shop's temperature is not known: times stand as on the sheet. Measure it and say --celsius."
        )
    return Provision(
        chosen, tuple(verdicts), times, tuple(quantities), tuple(dict.fromkeys(remarks)), size, figures.not_reckoned
    )


def _chosen(
    plan: Plan,
    chances: Sequence[float],
    held: Sequence[Product],
    rules: ProductRules,
    bench: Bench,
    remarks: list[str],
) -> tuple[dict[str, Verdict | None], list[Verdict]]:
    chosen: dict[str, Verdict | None] = {}
    verdicts: list[Verdict] = []
    stiffness = "flexible" if "yes" in plan.understood.facts.get("flexible_products", ()) else ""
    kinds = list(rules.uses.get(plan.process, ()))
    if "promoter" in kinds:  # last: the sheet of the adhesive may ask for one
        kinds = [kind for kind in kinds if kind != "promoter"] + ["promoter"]
    for kind in kinds:
        if kind == "promoter" and not _promoter_wanted(plan, chosen.get("adhesive"), chances, rules, remarks):
            continue
        of_kind = [
            judge(one, chances, bench, rules) for one in held if one.kind == kind and _foreseen(one, plan, rules)
        ]
        verdicts += of_kind
        best = choose(of_kind, stiffness if kind == "adhesive" else "")
        chosen[kind] = best
        if best is not None:
            remarks += [f"{sentence}." for sentence in best.sentences]
        elif held:
            means = rules.kinds[kind].means
            why = "; ".join(sentence for one in of_kind for sentence in one.sentences[:1])
            remarks.append(f"No {means} on the shelf fits{': ' + why if why else ', there is none'}.")
    return {kind: chosen[kind] for kind in rules.uses.get(plan.process, ()) if kind in chosen}, verdicts


def _foreseen(product: Product, plan: Plan, rules: ProductRules) -> bool:
    """A flammable cleaner is used only where a step of the plan wipes with one: its cautions stand before that step."""
    if product.contents not in rules.isopropanol:
        return True
    told = {caution for step in plan.steps for caution in step.cautions}
    return set(product.cautions) <= told


def _promoter_wanted(
    plan: Plan, glue: Verdict | None, chances: Sequence[float], rules: ProductRules, remarks: list[str]
) -> bool:
    said = promoter_said(glue.product, chances, rules) if glue is not None else ""
    if said and glue is not None and plan.promoter == "not_required":
        remarks.append(f"The sheet of {glue.product.name} asks for a promoter on {said}: the sheet wins.")
    return bool(said) or plan.promoter in _PROMOTER_WANTED


def _times(product: Product, figures: Figures, bench: Bench, remarks: list[str]) -> dict[str, Timed]:
    """The times of a product at the shop's temperature; as written where they cannot be moved."""
    found: dict[str, Timed] = {}
    for what, minutes in product.minutes.items():
        sheet = product.at_celsius
        if sheet is None or bench.celsius is None:
            found[what] = as_written(what, minutes, sheet, bench.celsius, "the temperature of the shop")
            continue
        try:
            found[what] = timed(what, minutes, sheet, bench.celsius, figures)
        except OutsideRule as error:
            remarks.append(f"{product.name}: {error}.")
    return found


def supply_of(glue: Verdict | None, times: Mapping[str, Timed]) -> Supply:
    """What the adhesive's sheet and mixers say."""
    if glue is None:
        return Supply()
    one = glue.product
    work = times.get("work")
    return Supply(one.cartridge_ml, one.hold_up_ml, one.purge_ml, one.spreading_cm2_min, work.band if work else None)


def _no_scarf(figures: Figures) -> str:
    """Why no scarf is reckoned, and which ratios are known for parts that carry nothing."""
    known = "; ".join(
        f"{figures.rows[name].means}: {figures.band(name).usual:g} to 1 ({', '.join(figures.rows[name].source)})"
        for name in ("scarf_boat", "scarf_panel")
    )
    return (
        "No scarf is reckoned: its ratio comes from the maker or the load. Say it, as in size: {scarf: 12, plies: 4}. "
        f"Known: {known}."
    )


def _quantities(
    plan: Plan,
    size: Size,
    figures: Figures,
    chosen: Mapping[str, Verdict | None],
    times: Mapping[str, Mapping[str, Timed]],
    bench: Bench,
    rules: ProductRules,
) -> list[Quantity]:
    found: list[Quantity] = []
    if plan.process == "two_part_adhesive":
        found += adhesive_quantities(size, figures, supply_of(chosen.get("adhesive"), times.get("adhesive", {})))
    elif plan.process == "fusion_weld":
        found += weld_quantities(size, figures)
    elif plan.process == "laminate" and size.scarf_ratio is not None:
        found += laminate_quantities(size, size.scarf_ratio, size.plies, ("FAA43",))
    cleaner = chosen.get("cleaner")
    if cleaner is not None and cleaner.product.contents in rules.isopropanol:
        found.append(cleaner_quantity(size, figures, bench.celsius if bench.celsius is not None else _UNMEASURED))
    return found
