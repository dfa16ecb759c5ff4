"""Worked jobs of the invented workshop: the decision, the process, and the trade's facts in the steps."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jobs import (
    ALL_JOBS,
    CARBON_LEVER,
    FUEL_TANK,
    GLASS_BRACKET,
    LAMINATE_HOOD,
    LAMP,
    PLAIN_BOX,
    PVC_COVER,
    RIM_SKIN,
    SAFE,
    TALC_COVER,
    UNKNOWN_PART,
    Job,
    planned,
)

from whichresin.knowledge.model import Model
from whichresin.repair.plan import DECISIONS, PROCESSES, PROMOTERS, TIMERS, Plan


def step_ids(plan: Plan) -> list[str]:
    return [step.id for step in plan.steps]


def text_of(plan: Plan) -> str:
    return " ".join(f"{step.do} {step.hold or ''}" for step in plan.steps)


@pytest.mark.parametrize(
    ("job", "decision", "process", "variant", "promoter"),
    [
        # Oily when abraded: promoter on the bare plastic first (VMB-PLAS); talc changes neither class nor promoter.
        (TALC_COVER, "repair", "two_part_adhesive", "two_part_adhesive", "required"),
        # Fibres turn along a weld (PAWELD, GMT97): bonded although welder and rod are at hand.
        (GLASS_BRACKET, "repair", "two_part_adhesive", "two_part_adhesive", "not_required"),
        # Ply for ply on a long taper (FAA43, NAVYFRP).
        (LAMINATE_HOOD, "repair", "laminate", "laminate", "not_required"),
        # Unfilled, of known type, rod of the same kind (DVS3, WELDBOOK).
        (PLAIN_BOX, "repair", "fusion_weld", "fusion_weld", "not_required"),
        # A thermoset: opened, bonded with flexible product, never melted (VM-RIM).
        (RIM_SKIN, "repair", "two_part_adhesive", "flexible_thermoset", "not_required"),
        # Carbon in an injection-moulded part is a thermoplastic's filler, no laminate (common practice).
        (CARBON_LEVER, "repair", "two_part_adhesive", "two_part_adhesive", "not_required"),
        (PVC_COVER, "repair", "solvent_bond", "solvent_bond", "not_required"),
        # Makers of PE tanks do not endorse repair (TANKPE); lens, seal and aim are approved together (NHTSA-108).
        (FUEL_TANK, "replace", "none", "", "follow_product_sheet"),
        (LAMP, "replace", "none", "", "follow_product_sheet"),
    ],
    ids=lambda value: value.part if isinstance(value, Job) else "",
)
def test_the_decision(
    shipped: Model, job: Job, decision: str, process: str, variant: str, promoter: str
) -> None:
    """The right way for parts whose plastic and purpose are known; sources beside each."""
    plan = planned(shipped, job)
    assert (plan.decision, plan.process, plan.variant, plan.promoter) == (decision, process, variant, promoter)


def test_an_unknown_plastic_asks_for_the_test_that_settles_it(shipped: Model) -> None:
    """What is uncertain changes the work here, so one more answer comes first, and no step is told."""
    plan = planned(shipped, UNKNOWN_PART)
    assert plan.decision == "test_more" and plan.next_test is not None and not plan.steps
    assert shipped.cues[plan.next_test.cue].topic in ("part", "bench")
    assert "if it is" in plan.next_test.because
    assert any("thingamajig" in sentence for sentence in plan.understood.missing)


def test_what_does_not_change_the_work_is_said_and_left_open(shipped: Model) -> None:
    """PA6 or PA66 are repaired alike: nobody is sent back to the bench for the name."""
    answers = {**SAFE, "marking": ">PA-GF30<", "fibres_at_edge": "short_needles", "hot_needle": "melts_strings_late",
               "float_in_water": "sinks"}  # fmt: skip
    plan = planned(shipped, Job("lever knob", "crack 40 mm", "", (), answers))
    chances = {share.id: share.probability for share in plan.identified.polymers}
    assert min(chances["PA6"], chances["PA66"]) > 0.2, "the name is open indeed"
    assert (plan.decision, plan.variant, plan.next_test) == ("repair", "two_part_adhesive", None)
    assert plan.open_question == "Still open: PA6 or PA66. It does not change the work."
    named = planned(shipped, Job("lever knob", "crack 40 mm", "", (), {**answers, "marking": ">PA66-GF30<"}))
    assert named.identified.polymers[0].id == "PA66" and named.identified.polymers[0].probability > 0.8
    assert (named.variant, step_ids(named)) == (plan.variant, step_ids(plan))


def test_a_rod_that_names_no_plastic_is_asked_about_and_the_right_one_offered(shipped: Model) -> None:
    """`PE rod` may be PE-HD or PE-LD and welds only its own: silence would leave a weld out unseen."""
    vague = planned(shipped, replace(PLAIN_BOX, shop=("welder", "XY rod")))
    assert vague.process != "fusion_weld"
    assert any("Of which plastic" in text and "xy rod" in text for text in vague.understood.missing)
    assert any(flip.process == "fusion_weld" and "rod" in flip.text for flip in vague.flips)
    named = planned(shipped, PLAIN_BOX)
    assert named.process == "fusion_weld" and not any("Of which plastic" in text for text in named.understood.missing)


def test_a_welder_alone_changes_nothing_without_rod_of_the_same_plastic(shipped: Model) -> None:
    """Only plastics of the same kind weld to one another (WELDBOOK): no rod, or another rod, and it is bonded."""
    for shop in (("welder",), ("welder", "rod"), ("welder", "ABS rod"), ("PP rod",), ()):
        plan = planned(shipped, replace(PLAIN_BOX, shop=shop))
        assert (plan.decision, plan.process) == ("repair", "two_part_adhesive"), shop
        assert plan.promoter == "required"


def test_without_a_welder_the_plan_says_that_one_would_change_it(shipped: Model) -> None:
    """A shop may buy or borrow one: what would flip the decision is told with it."""
    plan = planned(shipped, replace(PLAIN_BOX, shop=("adhesive",)))
    assert ("repair", "fusion_weld") in {(flip.decision, flip.process) for flip in plan.flips}
    assert plan.runner_up is not None and plan.runner_up.loss >= plan.options[0].loss


def test_no_spare_and_cheap_spare_move_the_decision(shipped: Model) -> None:
    """The price of a new part belongs to the decision, and never to the gate."""
    poor = Job("knob", "broken tab 10 mm", "", (), {**SAFE, "marking": ">POM<", "float_in_water": "sinks"})
    assert planned(shipped, poor).decision == "replace"
    assert planned(shipped, replace(poor, context="no longer made")).decision == "repair"
    assert planned(shipped, replace(TALC_COVER, context="a new part is cheap, no sensor")).decision == "replace"
    assert planned(shipped, replace(FUEL_TANK, context="no longer made")).decision == "replace"


def test_words_that_speak_of_a_load_ask_or_refer(shipped: Model) -> None:
    """A bracket under load: whoever answered 'none of these' is asked again; who said nothing is referred."""
    told = planned(shipped, replace(GLASS_BRACKET, context="under load"))
    assert (told.decision, told.gate) == ("test_more", "not_known")
    assert told.next_test is not None and told.next_test.cue == "duty"
    silent = {cue: value for cue, value in GLASS_BRACKET.answers.items() if cue != "duty"}
    refers = planned(shipped, replace(GLASS_BRACKET, context="under load", answers=silent))
    assert (refers.decision, refers.gate) == ("refer", "shut")
    assert planned(shipped, replace(GLASS_BRACKET, context="not under load, no load")).decision == "repair"


def test_an_unanswered_duty_is_asked_and_a_declined_one_refers(shipped: Model) -> None:
    """Unknown counts as yes: first the question; when nobody can say, no repair on this tool's word."""
    answers = {cue: value for cue, value in TALC_COVER.answers.items() if cue not in SAFE}
    asked = planned(shipped, replace(TALC_COVER, answers=answers))
    assert asked.decision == "test_more" and asked.next_test is not None
    assert asked.next_test.cue == "duty" and not asked.steps
    refused = planned(shipped, replace(TALC_COVER, answers=answers, declined=("duty", "condition")))
    assert (refused.decision, refused.steps) == ("refer", ())


def test_answers_that_do_not_fit_together_plan_nothing(shipped: Model) -> None:
    """One of them is wrong; the one to repeat is named."""
    answers = {**SAFE, "marking": ">PP<", "float_in_water": "sinks", "grind": "powder", "hot_needle": "no_melt_chars",
               "flex": "rigid_brittle", "density_measured": 1.9}  # fmt: skip
    plan = planned(shipped, Job("cover", "crack 4 cm", "", (), answers))
    assert plan.decision == "test_more" and plan.because
    assert plan.next_test is not None


def test_rotten_plastic_is_replaced(shipped: Model) -> None:
    """Substrate failure beside the repair is next (common practice)."""
    plan = planned(shipped, replace(TALC_COVER, answers={**TALC_COVER.answers, "condition": "crumbles"}))
    assert (plan.decision, plan.gate, plan.steps) == ("replace", "shut", ())


ORDER = [
    ("wash", "wipe"),
    ("wash", "abrade_back"), ("wipe", "abrade_back"), ("trial_promoter", "abrade_back"), ("wash", "trial_promoter"),
    ("crack_ends", "stop_hole"), ("align", "abrade_back"), ("mesh_cut", "promoter_back"), ("keyholes", "dust_off"),
    ("abrade_back", "dust_off"), ("dust_off", "promoter_back"), ("promoter_back", "flash_off"),
    ("flash_off", "level_purge"), ("level_purge", "first_coat"), ("first_coat", "mesh_lay"), ("mesh_lay", "film"),
    ("film", "cure_back"), ("cure_back", "dish_show"), ("dish_show", "promoter_show"), ("promoter_show", "fill_show"),
    ("fill_show", "cure_show"), ("cure_show", "level"), ("level", "paint"), ("level", "check"), ("check", "tell"),
]  # fmt: skip


def test_the_bonded_repair_is_complete_and_in_the_trade_s_order(shipped: Model) -> None:
    """Soap before cleaner before abrasive, back before show side, and nothing is sanded before it has cured."""
    plan = planned(shipped, TALC_COVER)
    ids = step_ids(plan)
    for first, then in ORDER:
        assert ids.index(first) < ids.index(then), (first, then)
    text = text_of(plan)
    for fact in (
        "soap and hot water", "P80", "low speed", "25 to 50 mm", "about 3 mm", "15 to 25 mm larger", "One layer",
        "one or two light coats", "5 to 15 minutes", "30 to 60 minutes", "450 mm", "15 to 30 mm wide",
        "half to two thirds", "2 to 4 mm", "leave the film on", "Does the plastic smear",
    ):  # fmt: skip
        if fact == "One layer":
            assert "one layer of mesh" in text
        elif fact == "Does the plastic smear":
            assert "smears" in text
        else:
            assert fact in text, fact
    assert {step.timer for step in plan.steps} >= {"flash_off", "promoter_window", "work", "cure"}
    assert any("shiny or melted patch" in (step.hold or "") for step in plan.steps)


def test_a_weld_is_tried_on_scrap_and_scraped_just_before(shipped: Model) -> None:
    """Test strip before the part (DVS1); the skin comes off last, so that nothing lies between (common practice)."""
    ids = step_ids(planned(shipped, PLAIN_BOX))
    wanted = ("ready", "wash", "stop_hole", "v_groove", "test_strip", "scrape", "weld", "cool")
    places = [ids.index(name) for name in wanted]
    assert places == sorted(places)
    assert "Here a V is right" in text_of(planned(shipped, PLAIN_BOX))  # BALKAN: a V, single or double, for a rod
    assert "promoter" not in text_of(planned(shipped, PLAIN_BOX)).lower()


def test_no_heat_and_flexible_products_for_a_cured_skin(shipped: Model) -> None:
    """P180 for the paint, P50 to open the damage (VM-RIM), and nothing that warms it."""
    plan = planned(shipped, RIM_SKIN)
    assert "P180" in text_of(plan) and "P50" in text_of(plan)
    assert any("do not try to melt" in reason.text for reason in plan.must_not)
    assert any("rigid" in reason.text for reason in plan.must_not)


def test_the_taper_asks_for_the_load_and_its_arithmetic_is_right(shipped: Model) -> None:
    """12 to 1 for single-skin glass (MARINE12); 3 mm gives 36 mm each way; the maker's figure for epoxy (DSTO)."""
    ratio = next(step for step in planned(shipped, LAMINATE_HOOD).steps if step.id == "ratio")
    assert "12 to 1" in ratio.do and "maker" in ratio.do and "36 mm" in ratio.why
    assert 3 * 12 == 36
    text = text_of(planned(shipped, LAMINATE_HOOD))
    assert "one extra at most" in text and "round or oval" in text  # FAA43
    assert "P180" in text  # FAA43: scarf faces


def test_plies_must_be_seen_before_they_are_planned(shipped: Model) -> None:
    """On a moulded plastic plies do nothing, so a laminate nobody has looked at asks for the lens."""
    answers = {**SAFE, "grind": "powder", "float_in_water": "sinks", "hot_needle": "no_melt_chars",
               "marking": ">EP-GF50<", "flex": "rigid"}  # fmt: skip
    deck = Job("boat deck", "hole 80 mm", "no load", (), answers)
    unseen = planned(shipped, deck)
    assert unseen.decision == "test_more" and unseen.next_test is not None and not unseen.steps
    assert unseen.next_test.cue == "fibres_at_edge" and "plies must be seen" in unseen.next_test.because
    seen = planned(shipped, replace(deck, answers={**answers, "fibres_at_edge": "weave_or_plies"}))
    assert (seen.decision, seen.process) == ("repair", "laminate") and seen.steps
    for moulded in ("short_needles", "none_seen"):
        other = planned(shipped, replace(deck, answers={**answers, "fibres_at_edge": moulded}))
        assert other.process != "laminate" and "laminate" not in {option.process for option in other.options}


def test_one_side_only_gets_steps_for_one_side(shipped: Model) -> None:
    """What cannot be reached is not told to be prepared."""
    ids = step_ids(planned(shipped, replace(TALC_COVER, damage="crack 40 mm, back not reachable")))
    assert {"dish_one_side", "fill_one_side"} <= set(ids)
    assert not {"abrade_back", "mesh_lay", "cure_back", "dish_show"} & set(ids)


@pytest.mark.parametrize("job", ALL_JOBS.values(), ids=ALL_JOBS)
def test_every_plan_keeps_its_contract(shipped: Model, job: Job) -> None:
    """Scripts rely on the words and keys of the document, people on reasons that are never empty."""
    plan = planned(shipped, job)
    document = plan.as_json()
    assert plan.decision in DECISIONS and plan.process in PROCESSES and plan.promoter in PROMOTERS
    assert set(document) >= {
        "schema", "understood", "decision", "process", "promoter", "steps", "quantities", "cautions", "must_not",
        "because",
    }  # fmt: skip
    assert plan.because and all(reason.text for reason in plan.because) and plan.promoter_because.text
    assert (plan.process != "none") == (plan.decision == "repair")
    for step in plan.steps:
        assert step.do and step.why and step.source
        assert step.timer is None or step.timer in TIMERS
        assert set(step.cautions) <= set(plan.caution_texts)
    assert {"do", "why", "time", "cautions"} <= set(document["steps"][0]) if plan.steps else True
    assert "100 in 100" not in str(document)
    for share in (*plan.identified.polymers, *plan.identified.cells):
        assert share.probability < 1.0
