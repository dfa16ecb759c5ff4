"""Recorded interviews planned with the example shelf: what the shop brings never outruns what the plan allows."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from whichresin.knowledge.model import Model
from whichresin.repair.figures import load_figures
from whichresin.repair.fit import Bench, judge
from whichresin.repair.product_rules import load_product_rules
from whichresin.repair.sheet import Sheet, make_sheet
from whichresin.repair.shelf import read_shelf
from whichresin.session.answers import read_answers
from whichresin.session.planned import case_of
from whichresin.session.provisioned import Provisioned, Shop, products_of, provisioned

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "tests" / "demo"
# Every third interview, and all demo jobs.
FILES = [*sorted((ROOT / "transcripts").glob("*.yaml"))[::3], *sorted((DEMO / "jobs").glob("*.yaml"))]
RULES, FIGURES = load_product_rules(), load_figures()
SIZE = {"length": 80.0, "thickness": 3.0}


@pytest.fixture(scope="module")
def shop(shipped: Model) -> Shop:
    shelf = read_shelf([str(DEMO / "shelf")], shipped, RULES)
    return Shop(products_of(shelf.products.values()), RULES, FIGURES, Bench(date(2026, 6, 1), 20.0))


def planned(model: Model, path: Path, shop: Shop) -> tuple[Provisioned, Sheet, list[float]]:
    told = read_answers(model, path)
    damage = told.damage or "crack 80 mm, wall 3 mm"
    found = provisioned(model, told.state, damage, told.context, {**SIZE, **told.size}, shop)
    chances = list(case_of(model, told.state, damage, told.context).said.compounds)
    sheet = make_sheet(found.plan, found.provision, RULES, model.cautions, "2026-06-01T09:00:00")
    return found, sheet, chances


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_nothing_goes_beyond_the_plan(shipped: Model, shop: Shop, path: Path) -> None:
    """No amounts without `repair`, no steps for what is referred, no product that its own sheet refuses, every caution
    read before its step."""
    found, sheet, chances = planned(shipped, path, shop)
    plan, provision = found.plan, found.provision
    assert bool(plan.quantities) == (plan.decision == "repair")
    assert not sheet.steps or plan.decision in ("repair", "replace")
    if plan.decision != "repair":
        assert not provision.chosen and not provision.quantities and not sheet.products
        assert not any(step.timers for step in sheet.steps), "to replace a part takes no clock of adhesive or heat"
    for kind, verdict in provision.chosen.items():
        if verdict is not None:
            assert judge(verdict.product, chances, shop.bench, RULES).verdict != "refused", kind
    told = {one.id for one in sheet.cautions}
    for step in sheet.steps:
        told |= {one.id for one in step.cautions if one.full}
        assert {one.id for one in step.cautions} <= told, step.id
    if plan.process == "two_part_adhesive" and plan.promoter == "required" and provision.chosen.get("adhesive"):
        assert "promoter" in provision.chosen


def test_a_weld_gets_rod_of_its_own_plastic_and_no_solvent(shipped: Model, shop: Shop) -> None:
    """The shelf's rod counts as at hand; nothing that burns is laid out beside hot work."""
    found, _, _ = planned(shipped, DEMO / "jobs" / "tank-lid.yaml", shop)
    assert found.plan.process == "fusion_weld"
    rod = found.provision.chosen["rod"]
    assert rod is not None and rod.product.id == "pp-rod" and "cleaner" not in found.provision.chosen
    without = Shop(tuple(one for one in shop.products if one.kind != "rod"), RULES, FIGURES, shop.bench)
    assert planned(shipped, DEMO / "jobs" / "tank-lid.yaml", without)[0].plan.process != "fusion_weld"


def test_a_rod_that_ran_out_does_not_make_a_weld(shipped: Model, shop: Shop) -> None:
    """What may not be used is not at hand."""
    late = Shop(shop.products, RULES, FIGURES, Bench(date(2036, 1, 1), 20.0))
    assert planned(shipped, DEMO / "jobs" / "tank-lid.yaml", late)[0].plan.process != "fusion_weld"


def test_times_of_the_steps_are_those_of_the_products(shipped: Model, shop: Shop) -> None:
    """At 20 C: work 6 x 1.7 ** 0.3 to 6 x 2.6 ** 0.3, by hand 7.0 to 8.0; the promoter's 10 min at 20 C stand."""
    path = DEMO / "jobs" / "engine-cover.yaml"
    found, _, _ = planned(shipped, path, shop)
    times = {step.timer: step.minutes for step in found.plan.steps if step.timer}
    assert times["work"] == (pytest.approx(7.0, abs=0.06), pytest.approx(8.0, abs=0.06))
    assert times["flash_off"] == (10.0, 10.0)
