"""Whether adhesive or resin wets the plastic, in the plan: what is reckoned, what was seen, what hangs on it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from statistics import NormalDist

import pytest
from jobs import ALL_JOBS, GLASS_BRACKET, LAMINATE_HOOD, RIM_SKIN, TALC_COVER, Job, planned

from whichresin.belief.hypotheses import Belief
from whichresin.command.plan_text import plan_lines
from whichresin.knowledge.liquids import shipped_shelf
from whichresin.knowledge.model import Model
from whichresin.physics.contact import FLAT_BELOW, STANDS_FROM, surface_from_angle
from whichresin.physics.wetting import water_surface_tension
from whichresin.repair.plan import Plan
from whichresin.repair.product_rules import load_product_rules
from whichresin.repair.provide import Provision
from whichresin.repair.sheet import make_sheet
from whichresin.repair.surfaces import Surface
from whichresin.repair.wetted import drop_facts

# Critical surface tension, mN/m, of two survey tables (SE1, SE2 in shared/sources.yaml), and what adhesives pull with
# (from memory): written down here a second time, so that a slip in either place shows.
SURVEYED = {"PP": (29, 31), "PA66": (33, 46)}
ADHESIVES = {"acrylate": (30, 36), "urethane": (36, 42), "epoxy": (42, 47)}
PAPERS_DIFFER = 4.0  # mN/m; 3 to 10 between papers on one plastic (SURF)


def surface(plan: Plan, symbol: str, state: str) -> Surface:
    assert plan.wetting is not None
    return next(one for one in plan.wetting.surfaces if (one.symbol, one.state) == (symbol, state))


def told(job: Job, **answers: str) -> Job:
    return replace(job, answers={**job.answers, **answers})


def said(plan: Plan) -> str:
    assert plan.wetting is not None
    return " ".join(reason.text for reason in plan.wetting.reasons)


def shipped_belief(model: Model, shares: dict[str, float]) -> Belief:
    """A belief in the plain compounds of these materials."""
    plain = {compound.material: place for place, compound in reversed(list(enumerate(model.compounds)))}
    compounds = [0.0] * (len(model.compounds))
    for material, share in shares.items():
        compounds[plain[material]] = share
    return Belief(tuple(compounds), (), 0.0)


@pytest.mark.parametrize(("job", "symbol"), [(TALC_COVER, "PP"), (GLASS_BRACKET, "PA66")])
def test_the_chance_of_wetting_is_that_of_the_surveyed_values(shipped: Model, job: Job, symbol: str) -> None:
    """P(surface > liquid) for the middles and a quarter of each range, and 4 mN/m between papers (SE1, SE2, SURF)."""
    ready = surface(planned(shipped, job), symbol, "abraded")
    low, high = SURVEYED[symbol]
    for one in ready.spreads:
        least, most = ADHESIVES[one.liquid]
        doubt = (((high - low) / 4) ** 2 + PAPERS_DIFFER**2 + ((most - least) / 4) ** 2) ** 0.5
        margin = (low + high) / 2 - (least + most) / 2
        assert one.chance == pytest.approx(1.0 - NormalDist(margin, doubt).cdf(0.0), abs=1e-6)
        assert one.verdict == ("wets" if margin >= 8 else "barely" if margin > 0 else "does_not")


def test_why_a_polyolefin_needs_promoter(shipped: Model) -> None:
    """Nothing wets it by itself, greasy, washed or abraded; promoter lifts what it carries (SE1, WETADV)."""
    plan = planned(shipped, TALC_COVER)
    assert plan.promoter == "required"
    for state in ("greasy", "clean", "abraded"):
        assert all(one.verdict == "does_not" for one in surface(plan, "PP", state).spreads)
    before, after = surface(plan, "PP", "abraded"), surface(plan, "PP", "promoter")
    assert all(b.chance > a.chance for a, b in zip(before.spreads, after.spreads, strict=True))
    assert "none of acrylic, urethane and epoxy wets it by itself" in said(plan)
    assert "something must go on first" in said(plan)
    assert "from memory" in plan.wetting.plastics[0].source  # type: ignore[union-attr]  # the adhesives' tensions


def test_what_needs_no_promoter_is_not_told_of_it(shipped: Model) -> None:
    """Polyamide is wetted once it is clean, and grease undoes it (SE1, SE2); promoter is not spoken of."""
    plan = planned(shipped, GLASS_BRACKET)
    greasy, ready = surface(plan, "PA66", "greasy"), surface(plan, "PA66", "abraded")
    assert ready.spreads[0].chance > 0.8 > 0.2 > greasy.spreads[0].chance
    assert "promoter" not in {one.state for one in plan.wetting.surfaces}  # type: ignore[union-attr]
    assert "Clean and abraded is enough" in said(plan)


def test_a_laminate_is_told_of_its_resins(shipped: Model) -> None:
    """Laminating polyester pulls less than the cured laminate carries (SE2); adhesive is not spoken of."""
    plan = planned(shipped, LAMINATE_HOOD)
    assert plan.process == "laminate" and "polyester resin" in said(plan) and "acrylic" not in said(plan)
    assert surface(plan, "UP-GF", "clean").spreads[0].verdict == "wets"


@pytest.mark.parametrize("name", sorted(ALL_JOBS))
def test_wetting_is_told_where_something_must_wet(shipped: Model, name: str) -> None:
    """Welds, cement, bolts and parts that are not mended are spared it; every sentence has a source."""
    plan = planned(shipped, ALL_JOBS[name])
    glued = plan.decision == "repair" and plan.process in ("two_part_adhesive", "laminate")
    assert (plan.wetting is not None) == glued
    if plan.wetting is not None:
        assert plan.wetting.plastics and plan.wetting.means
        assert all(reason.source and "  " not in reason.text for reason in plan.wetting.reasons)
        assert plan.as_json()["wetting"]["surfaces"][0]["liquids"]
        assert {one.probability >= 0.05 for one in plan.wetting.surfaces} == {True}


@pytest.mark.parametrize(
    ("job", "asked"),
    [(TALC_COVER, False), (GLASS_BRACKET, True), (RIM_SKIN, True), (told(TALC_COVER, water_drop="stands"), False)],
)
def test_the_water_drop_is_a_hold_point_where_it_tells(shipped: Model, job: Job, asked: bool) -> None:
    """Water stands on clean PP (about 96 to 102 degrees) and lies on PA (68): only there it tells of grease (SE1)."""
    plan = planned(shipped, job)
    held = [step.hold for step in plan.steps if step.id == "water_drop"]
    assert bool(held) == asked and all("lie flat" in str(hold) for hold in held)
    assert ("tells nothing of grease" in said(plan)) == (not asked)


def test_what_a_drop_does_is_a_fact_for_conditions(shipped: Model) -> None:
    """Both values while both kinds are likely, and then no hold point: a drop that stands could be the plastic's."""
    belief = shipped_belief(shipped, {"PP": 0.5, "PA66": 0.45, "ABS": 0.05})
    assert {str(fact.value) for fact in drop_facts(shipped, belief, 0.05)} == {"lies", "stands"}
    belief = shipped_belief(shipped, {"PP": 0.04, "PA66": 0.96})
    assert {str(fact.value) for fact in drop_facts(shipped, belief, 0.05)} == {"lies"}


def test_a_surface_that_was_measured_counts(shipped: Model) -> None:
    """A pearl on polyamide is grease (water lies on it at 68 degrees, SE1); an ink of 40 on PP will not last."""
    text = said(planned(shipped, told(GLASS_BRACKET, water_drop="stands")))
    assert "Before preparation a drop of water stood" in text and "grease, wax or release agent is on it" in text
    text = said(planned(shipped, told(TALC_COVER, water_drop="stands")))
    assert "That fits what it carries by nature." in text
    text = said(planned(shipped, told(TALC_COVER, test_ink="from_40")))
    assert "40 to 44 mN/m" in text and "more than it carries by nature" in text
    text = said(planned(shipped, told(TALC_COVER, test_ink="from_40", painted="yes")))
    assert "Before preparation" in text and "how the paint wets" in text and "so the surface carries" not in text


def test_every_answer_about_wetting_is_told(shipped: Model) -> None:
    """Each value of the two cues has its row, with the ends that the angle of a drop gives and no gap between."""
    rows = shipped_shelf().wetting.told
    for cue in ("water_drop", "test_ink"):
        own = [row for row in rows if row.cue == cue]
        assert [row.value for row in own] == [value.id for value in shipped.cues[cue].values]
        assert all(a.high == b.low for a, b in pairwise(own))
    ends = {row.value: row.high for row in rows if row.cue == "water_drop"}
    water = water_surface_tension(23.0)
    assert ends["stands"] == pytest.approx(surface_from_angle(STANDS_FROM, water), abs=0.2)
    assert ends["flat"] == pytest.approx(surface_from_angle(FLAT_BELOW, water), abs=0.2)


def test_the_text_says_it_under_the_promoter_line(shipped: Model) -> None:
    """Read in order: is promoter needed, then why in terms of wetting, then what to have at hand."""
    text = "\n".join(line.text for line in plan_lines(planned(shipped, TALC_COVER), 78))
    assert text.index("Adhesion promoter: needed") < text.index("Does it wet") < text.index("Have at hand")
    assert "Source: from memory, SE1, SE2" in " ".join(text.split())


def test_the_job_sheet_says_what_was_seen_and_what_it_means(shipped: Model) -> None:
    """Who works from paper must read of the grease beside the promoter line, not only who planned."""
    plan = planned(shipped, told(GLASS_BRACKET, water_drop="stands"))
    sheet = make_sheet(plan, Provision(), load_product_rules(), shipped.cautions, "2026-06-01T09:00:00")
    assert "grease, wax or release agent is on it" in sheet.promoter and "Clean and abraded" in sheet.promoter
