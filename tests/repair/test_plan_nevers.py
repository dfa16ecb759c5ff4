"""What a plan must never do, tried with drawn parts, words and answers: somebody can get hurt."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs import GLASS_BRACKET, PLAIN_BOX, PVC_COVER, RIM_SKIN, SAFE, TALC_COVER, Job, planned

from whichresin.engine.facts import Fact
from whichresin.knowledge.model import Model
from whichresin.knowledge.repair_codec import book_of
from whichresin.repair.case import Case, Gate
from whichresin.repair.cautions import compounds_called
from whichresin.repair.decide import make_plan
from whichresin.repair.plan import Plan
from whichresin.repair.ways import one_plastic
from whichresin.session.planned import case_of
from whichresin.training.check import check

FEW = settings(max_examples=25, deadline=None)
MARKINGS = st.sampled_from(
    ["", ">PP<", ">PP-TD20<", ">PP-GF30<", ">PE-HD<", ">PA66-GF30<", ">ABS<", ">PC<", ">PVC-U<", ">PTFE<", ">UP-GF25<",
     ">PUR<", ">POM<", ">PE-X<", "P?", ">PA66-CF30<"]
)  # fmt: skip
BENCH = st.fixed_dictionaries(
    {},
    optional={
        "float_in_water": st.sampled_from(["floats", "sinks"]),
        "grind": st.sampled_from(["smears", "powder", "powder_and_smear"]),
        "fibres_at_edge": st.sampled_from(["none_seen", "short_needles", "weave_or_plies"]),
        "painted": st.sampled_from(["yes", "no"]),
    },
)
SHOP = st.lists(
    st.sampled_from(["welder", "PP rod", "PE-HD rod", "ABS rod", "rod", "adhesive", "solvent cement", "clamps"]),
    unique=True,
    max_size=4,
)


def parts_of(model: Model) -> list[tuple[str, str]]:
    return [(word, kind.gate) for kind in model.parts.values() for word in kind.words]


def duty_words(model: Model) -> list[str]:
    words = book_of(model).words
    assert words is not None
    return [word for g in words.groups if g.name == "duty_said" for value in g.values for word in value.words]


@FEW
@given(st.data())
def test_no_step_for_a_part_that_is_gated(shipped: Model, data: st.DataObject) -> None:
    """Kind of part, duty, words or state: any of them shuts the gate, whatever the plastic and the shop."""
    gated = [word for word, gate in parts_of(shipped) if gate in ("refer", "replace")]
    way = data.draw(st.sampled_from(["kind", "duty", "words", "state", "silence"]))
    answers: dict[str, Any] = {**SAFE, **data.draw(BENCH)}
    marking = data.draw(MARKINGS)
    answers.update({"marking": marking} if marking else {})
    job = Job("engine cover", "crack 40 mm", "", tuple(data.draw(SHOP)), answers)
    if way == "kind":
        job = replace(job, part=data.draw(st.sampled_from(gated)))
    elif way == "duty":
        duties = [v.id for v in shipped.cues["duty"].values if v.id != "none_of_these"]
        job = replace(job, answers={**answers, "duty": data.draw(st.sampled_from(duties))})
    elif way == "words":
        job = replace(job, context=f"it sits by the {data.draw(st.sampled_from(duty_words(shipped)))}")
    elif way == "state":
        state = data.draw(st.sampled_from(["crumbles", "chalked_or_crazed"]))
        job = replace(job, answers={**answers, "condition": state})
    else:
        job = replace(job, answers={cue: v for cue, v in answers.items() if cue != "duty"})
    plan = planned(shipped, job)
    assert plan.gate != "open"
    assert plan.decision != "repair" and plan.process == "none" and plan.steps == ()
    assert plan.must_not and plan.because


GATES = st.sampled_from(
    [
        Gate("shut", "refer", (), None), Gate("shut", "replace", (), None), Gate("not_known", "", (), "duty"),
        Gate("not_known", "", (), None), Gate("", "", (), None),
    ]
)  # fmt: skip
FACTS = st.sampled_from(
    [("gate", "open"), ("gate", "shut"), ("promoter", "required"), ("weld", "possible"), ("shop", "welder"),
     ("duty", "none_of_these"), ("spare", "none"), ("damage", "crack"), ("solvent_bond", "possible"),
     ("laminate_sign", "shown"), ("believed.cell", "laminate")]
)  # fmt: skip


@pytest.fixture(scope="module")
def open_case(shipped: Model) -> Case:
    """A case whose plan is to repair."""
    case = case_of(shipped, TALC_COVER.state(), TALC_COVER.damage, TALC_COVER.context)
    assert make_plan(case).decision == "repair"
    return case


@FEW
@given(gate=GATES, facts=st.sets(FACTS))
def test_no_fact_talks_a_shut_gate_open(open_case: Case, gate: Gate, facts: set[tuple[str, str]]) -> None:
    """Even were every other fact for it: the program itself repairs over an open gate only."""
    more = frozenset(Fact(*pair) for pair in facts)
    plan = make_plan(replace(open_case, gate=gate, facts=open_case.facts | more))
    assert plan.decision != "repair" and plan.steps == ()


def welds(plan: Plan) -> bool:
    return plan.process == "fusion_weld" or any(step.stage == "Weld" for step in plan.steps)


@FEW
@given(marking=MARKINGS, bench=BENCH, shop=SHOP)
def test_no_weld_without_certainty_welder_and_rod(
    shipped: Model, marking: str, bench: dict[str, Any], shop: list[str]
) -> None:
    """One weldable, unfilled plastic at 95 in 100 or more, fibre excluded, welder and its rod in the shop's list."""
    answers = {**SAFE, **bench, **({"marking": marking} if marking else {})}
    job = Job("storage box", "crack 40 mm", "", tuple(shop), answers)
    case = case_of(shipped, job.state(), job.damage, job.context)
    plan = make_plan(case)
    if not welds(plan):
        return
    assert "welder" in shop
    name, chance = one_plastic(shipped, case.said.compounds, case.rods)
    assert chance >= 0.95 and f"{name} rod" in shop
    assert shipped.materials[name].weldable == "yes"
    filled = sum(p for c, p in zip(shipped.compounds, case.said.compounds, strict=True) if c.filler_kind != "none")
    assert filled <= 0.05


@pytest.mark.parametrize("job", [GLASS_BRACKET, RIM_SKIN, TALC_COVER], ids=lambda job: job.part)
def test_filled_plastic_and_thermosets_are_never_welded(shipped: Model, job: Job) -> None:
    """Not even with welder and every rod at hand (PAWELD, GMT97, VM-RIM)."""
    rods = tuple(f"{name} rod" for name in ("PP", "PE-HD", "PA66", "PA6", "ABS", "PUR", "PP+EPDM"))
    plan = planned(shipped, replace(job, shop=("welder", *rods)))
    assert not welds(plan)
    assert any("weld" in reason.text.lower() for reason in plan.must_not)


HOT = ("ready", "test_strip", "weld", "warm_shape")


def test_heat_near_vinyl_or_fluoroplastic_has_its_caution(shipped: Model) -> None:
    """A PVC weld shows the acid first; while PTFE is possible every sanding step shows its fume."""
    answers = {**PVC_COVER.answers, "fibres_at_edge": "none_seen"}
    plan = planned(shipped, replace(PVC_COVER, shop=("welder", "PVC-U rod"), answers=answers))
    for step in plan.steps:
        if step.id in HOT:
            assert "burn-pvc" in step.cautions
    assert plan.process in ("fusion_weld", "solvent_bond", "two_part_adhesive")
    assert any("hydrogen chloride" in reason.text for reason in plan.must_not)
    slick = Job("knob", "crack 4 cm", "no longer made", (), {**SAFE, "marking": ">PTFE<", "float_in_water": "sinks"})
    plan = planned(shipped, slick)
    assert any("fluoroplastics" in reason.text for reason in plan.must_not)
    for step in plan.steps:
        if any(word in step.do for word in ("Abrade", "abrade", "drill", "Drill")) and "sand" in step.do:
            assert "burn-ptfe" in step.cautions


def test_a_test_asked_for_by_the_plan_brings_its_cautions(shipped: Model) -> None:
    """What is put before the person is put after what can hurt."""
    plan = planned(shipped, Job("crate", "crack 4 cm", "", (), {**SAFE, "float_in_water": "sinks"}))
    assert plan.next_test is not None
    assert set(plan.next_test.cautions) <= set(plan.caution_texts)
    assert plan.next_test.cue not in ("flame", "smoke", "odour", "ignites", "drips", "after_flame", "beilstein")


HAZARDS = {
    # work -> caution that shows before it on any plastic (shared/cautions.yaml)
    "sand": "dust-general", "drill": "dust-general", "solvent_wipe": "static-wipe", "promoter": "promoter-spray",
    "two_part_adhesive": "iso-adhesive", "fusion_weld": "weld-fume", "laminate": "peroxide", "solvent_bond":
    "solvent-flash", "paint": "iso-adhesive", "cure_heat": "cure-heat", "dispose": "waste",
}  # fmt: skip


@pytest.mark.parametrize("job", [TALC_COVER, PLAIN_BOX, PVC_COVER, RIM_SKIN, GLASS_BRACKET], ids=lambda job: job.part)
def test_every_hazardous_step_shows_its_caution(shipped: Model, job: Job) -> None:
    """Before the step, not at the end of the page."""
    plan = planned(shipped, job)
    book = book_of(shipped)
    rows = {row.id: row for process in book.processes if process.id == plan.variant for row in process.steps}
    assert plan.steps
    for step in plan.steps:
        for work in rows[step.id].work:
            if work in HAZARDS and not (work == "promoter" and plan.promoter == "not_required"):
                assert HAZARDS[work] in step.cautions, (step.id, work)


def test_no_text_says_that_a_low_flash_point_is_safe() -> None:
    """All knowledge and every text of the program's help, by the check that says so."""
    found = [problem for problem in check().problems if problem.code == "flash-point-safe"]
    assert found == []


def test_caution_words_for_plastics_are_understood(shipped: Model) -> None:
    """A caution on PA66-CF30 must find the compounds it means, or it would never show."""
    for caution in shipped.cautions.values():
        for word in caution.materials:
            if word.split("-")[0] in shipped.materials and word not in shipped.materials:
                head, _, tail = word.rpartition("-")
                if head in shipped.materials and tail[:2] in shipped.fillers:
                    assert compounds_called(shipped, word), word


@FEW
@given(marking=MARKINGS, bench=BENCH)
def test_a_plan_is_never_surer_than_the_belief(shipped: Model, marking: str, bench: dict[str, Any]) -> None:
    """The shares told are those of the interview's own result, and a repair of an open belief says what is open."""
    answers = {**SAFE, **bench, **({"marking": marking} if marking else {})}
    job = Job("storage box", "crack 40 mm", "", (), answers)
    case = case_of(shipped, job.state(), job.damage)
    plan = make_plan(case)
    sums: dict[str, float] = {}
    for compound, p in zip(shipped.compounds, case.said.compounds, strict=True):
        if compound.material in shipped.materials:
            sums[compound.material] = sums.get(compound.material, 0.0) + p
    top = plan.identified.polymers[0]
    assert top.probability == pytest.approx(max(sums.values()), abs=1e-9)
    if plan.decision == "repair" and plan.identified.none_of_these > 0.5:
        assert plan.open_question or plan.process == "mechanical"
