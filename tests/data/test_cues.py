"""The shipped cues as data: complete, readable at a bench, safe to ask, true to the published bench tables.

Outside facts: bench_behaviour.yaml (published burn, grind, needle, drop and bend tables, with sources).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from whichresin.knowledge.load import load
from whichresin.knowledge.model import Cue, Model

Facts = Callable[[str], Any]

RULES_ONLY = {"part", "marking", "duty", "condition", "painted"}
AGREED = (
    *("float_in_water", "float_liquids", "density_measured", "grind", "grind_fast", "hot_needle", "acetone"),
    *("ignites", "after_flame", "flame", "smoke", "drips", "residue", "odour", "beilstein", "boiling_water"),
    *("flex", "nail", "sound", "tap_ring", "bend_whitens", "knife", "magnet_or_conductive", "look"),
    *("clarity", "fibres_at_edge", "gel_coat", "foam_core", "painted", "hollow", "rotomoulded", "moulding_marks"),
    *("old_repair", "part", "marking", "duty", "condition", "age"),
)
BURN = {"ignites", "after_flame", "flame", "smoke", "drips", "residue", "odour"}
TESTED = ("grind", "hot_needle", "acetone", "flex", *sorted(BURN))


@pytest.fixture(scope="module")
def model() -> Model:
    found, problems = load()
    assert found is not None, [str(one) for one in problems if one.level == "error"][:10]
    return found


def row_of(model: Model, cue: str, compound: str) -> dict[str, float]:
    """Chance of each answer to a cue on a compound."""
    one = model.cues[cue]
    assert one.table is not None
    place = next(i for i, found in enumerate(model.compounds) if found.id == compound)
    return dict(zip((value.id for value in one.values), one.table.rows[one.table.row_of[place]], strict=True))


def with_tables(model: Model) -> Iterator[Cue]:
    return (cue for cue in model.cues.values() if cue.table is not None)


def test_every_agreed_cue_is_there(model: Model) -> None:
    """Answer files and rules rely on these names."""
    assert [name for name in AGREED if name not in model.cues] == []


def test_every_cue_with_answers_expects_something_of_every_compound(model: Model) -> None:
    """A compound without a row would be ruled in or out by silence. Cues for rules only have no table."""
    for cue in model.cues.values():
        if cue.id in RULES_ONLY:
            assert cue.table is None, cue.id
        elif cue.id in AGREED and not cue.physics:
            assert cue.table is not None, cue.id
            assert len(cue.table.row_of) == len(model.compounds), cue.id


def test_no_answer_is_impossible(model: Model) -> None:
    """No probability is 0 or 1, so one misread answer can be outweighed; choice rows sum to 1."""
    for cue in with_tables(model):
        assert cue.table is not None
        for row in cue.table.rows:
            assert all(0.0 < chance < 1.0 for chance in row), cue.id
            if cue.kind == "choice":
                assert sum(row) == pytest.approx(1.0, abs=1e-9), cue.id


def test_every_table_tells_compounds_apart(model: Model) -> None:
    """A cue whose rows are all alike costs the user minutes for nothing."""
    for cue in with_tables(model):
        assert cue.table is not None
        assert len(set(cue.table.rows)) > 1, cue.id


def published(facts: Facts) -> Iterator[tuple[str, str, list[str]]]:
    """(compound, cue, answers that stand for the published word) of every published fact."""
    data = facts("bench_behaviour.yaml")
    for plastic in data["plastics"]:
        burn = {cue: {"seen": word} for cue, word in plastic["burn"].items() if cue != "source"}
        for cue, fact in {**plastic, **burn}.items():
            if cue in TESTED:
                word = fact["seen"]
                yield plastic["compound"], cue, data["words"].get(cue, {}).get(word, [word])


def test_likeliest_answer_is_the_published_one(model: Model, facts: Facts) -> None:
    """For each of 58 published plastics the likeliest answer is the published word or one standing for it.

    Sources: bench_behaviour.yaml, word by word.
    """
    wrong = []
    checked = 0
    for compound, cue, answers in published(facts):
        if not answers:  # no answer of ours can stand for the word
            continue
        row = row_of(model, cue, compound)
        assert set(answers) <= set(row), (cue, answers)
        checked += 1
        if max(row[answer] for answer in answers) < max(row.values()) - 1e-12:
            wrong.append((compound, cue, answers, max(row, key=lambda one: row[one])))
    assert wrong == []
    assert checked > 600


def test_disagreeing_sources_both_get_weight(model: Model) -> None:
    """Where published tables contradict one another, each of their words keeps a real chance (at least 10 %).

    PA after the flame: BT1 goes out, BT2 burns on, BT4 slowly. ABS drips: BT1, BT2 and BT4 yes, BT3 no.
    CA: BT1 lists it as going out and as burning on. PMMA: cast does not drip, moulded does (BT1, BT2).
    """
    for compound, cue, words in (
        ("PA6", "after_flame", ("self_extinguishes", "continues", "slow")),
        ("ABS", "drips", ("yes", "no")),
        ("CA", "after_flame", ("self_extinguishes", "continues")),
        ("PMMA", "drips", ("yes", "no")),
        ("PP", "odour", ("paraffin_wax", "wax_or_oil")),
        ("PET", "boiling_water", ("softens", "no_change")),
    ):
        row = row_of(model, cue, compound)
        assert all(row[word] >= 0.10 for word in words), (compound, cue, row)


@pytest.mark.parametrize("polymer", ["PA6", "PA66", "PBT", "PP"])
def test_glass_makes_a_melting_plastic_dusty(model: Model, polymer: str) -> None:
    """Powder is no proof: with glass, melt plastics powder slowly and melt fast (common practice)."""
    plain, filled = row_of(model, "grind", polymer), row_of(model, "grind", f"{polymer}-GF30")
    dusty = filled["powder"] + filled["powder_and_smear"]
    assert dusty > 0.5 > plain["powder"] + plain["powder_and_smear"]
    assert row_of(model, "grind_fast", f"{polymer}-GF30")["powder"] < filled["powder"]
    needle = row_of(model, "hot_needle", f"{polymer}-GF30")
    assert needle["no_melt_chars"] + needle["chars_bubbles_no_melt"] < 0.1


def test_talc_dries_the_smear_step_by_step(model: Model) -> None:
    """More talc in PP: more dust, less smear, but it still smears more than it powders (common practice)."""
    rows = [row_of(model, "grind", name) for name in ("PP", "PP-TD10", "PP-TD20", "PP-TD40")]
    dust = [row["powder"] + row["powder_and_smear"] for row in rows]
    assert dust == sorted(dust)
    assert len(set(dust)) == 4
    assert all(row["smears"] > row["powder"] for row in rows)


def test_green_flame_misleads_where_it_is_known_to(model: Model) -> None:
    """Urea resin and brominated grades turn copper green without chlorine; fluorine does not (BEI)."""
    names = ("PVC-U", "PVC-P", "CR", "UF", "ABS", "PTFE")
    green = {name: row_of(model, "beilstein", name)["green"] for name in names}
    assert min(green["PVC-U"], green["PVC-P"], green["CR"]) > 0.9
    assert green["UF"] > 0.3
    assert max(green["ABS"], green["PTFE"]) < 0.05
    retarded = [one.id for one in model.compounds if one.retarded]
    assert retarded
    assert all(row_of(model, "beilstein", name)["green"] > 0.3 for name in retarded)
    assert all(row_of(model, "after_flame", name)["self_extinguishes"] > 0.5 for name in retarded)


def test_only_carbon_conducts(model: Model) -> None:
    """Carbon fibre usually conducts (CARB); plastics and glass do not; black rubber now and then."""
    for one in model.compounds[:-1]:
        chance = row_of(model, "magnet_or_conductive", one.id)["conductive"]
        conducts = model.fillers[one.filler].conductive
        assert chance >= 0.4 if conducts else chance < 0.12, one.id


def test_weave_is_seen_only_on_laminates(model: Model) -> None:
    """Continuous fibre must be laid, so weave hardly ever stands for moulded plastic (common practice)."""
    laminates = {"UP-GF hand", "VE-GF", "EP-GF", "EP-CF"}
    for one in model.compounds[:-1]:
        chance = row_of(model, "fibres_at_edge", one.id)["weave_or_plies"]
        assert chance > 0.15 if one.material in laminates else chance < 0.1, one.id


def test_hazardous_cues_come_with_cautions_and_leave(model: Model) -> None:
    """Someone can get hurt: heat, flame and solvent come with cautions; flame and solvent need leave."""
    for cue in model.cues.values():
        if cue.hazard in ("medium", "high"):
            assert cue.cautions and cue.wear, cue.id
        if cue.topic == "burn":
            assert (cue.hazard, cue.opt_in) == ("high", "burn"), cue.id
            assert {"burn-smoke", "burn-pvc", "hot-work-tank", "apprentice"} <= set(cue.cautions), cue.id
    assert all("burn-last-resort" in model.cues[name].cautions for name in BURN)
    assert model.cues["acetone"].opt_in == "solvent"
    assert "solvent-flash" in model.cues["acetone"].cautions
    assert {"hot-needle-burn", "burn-pvc", "hot-work-tank"} <= set(model.cues["hot_needle"].cautions)
    assert {"dust-general", "gloves-grinder"} <= set(model.cues["grind"].cautions)


def test_the_gate_question_errs_towards_the_duty(model: Model) -> None:
    """Where two lines fit, the duty counts: nothing may send a hurried reader to the one line that opens the gate,
    and that line may not hold a word that other lines guard against."""
    duty = model.cues["duty"]
    assert duty.values[0].id == "none_of_these"
    assert "first" not in duty.how and 'before "none of these"' in " ".join(duty.how.split())
    assert "guard" not in duty.values[0].text


def test_a_sound_part_need_not_bend(model: Model) -> None:
    """Glass-filled and cured plastics break without bending and are sound all the same."""
    assert "bend" not in next(v.text for v in model.cues["condition"].values if v.id == "sound")


def test_burn_answers_are_one_burn(model: Model) -> None:
    """Flame, smoke, drips and smell are one burn seen several ways, never independent witnesses."""
    assert {name for name, cue in model.cues.items() if cue.group == "burn"} == BURN
    groups = {name: model.cues[name].group for name in AGREED}
    assert groups["grind"] == groups["grind_fast"]
    assert groups["sound"] == groups["tap_ring"]
    assert groups["float_in_water"] == groups["float_liquids"] == groups["density_measured"] == "density"


def test_dearest_and_worst_come_last(model: Model) -> None:
    """Trade order: look, then float, then grind, then needle, burn last: cost and hazard rise along it."""
    order = ["look", "float_in_water", "grind", "hot_needle", "ignites"]
    rank = {"none": 0, "low": 1, "medium": 2, "high": 3}
    hazards = [rank[model.cues[name].hazard] for name in order]
    assert hazards == sorted(hazards)
    assert not model.cues["look"].marks_part
    assert all(model.cues[name].marks_part for name in ("grind", "hot_needle", "knife", "acetone", *BURN))


def test_words_fit_a_bench_screen(model: Model) -> None:
    """Read with gloves on: short question, sentences of at most 30 words, how, what fools it, why."""
    for cue in model.cues.values():
        assert cue.how and cue.fooled_by and cue.lesson, cue.id
        assert len(cue.question) <= 90, cue.id
        assert all(0 < len(value.text) <= 60 for value in cue.values), cue.id
        for text in (cue.how, cue.fooled_by, cue.lesson):
            sentences = text.replace("?", ".").replace(":", ".").split(". ")
            assert max(len(one.split()) for one in sentences) <= 30, (cue.id, text)


def test_twin_cues_offer_the_same_words(model: Model) -> None:
    """The slow and the fast disc are answered with the same words, so they can be compared."""
    assert model.cues["grind"].values == model.cues["grind_fast"].values


def test_no_two_answers_read_alike(model: Model) -> None:
    """Within a cue every answer has its own id and its own plain words."""
    for cue in model.cues.values():
        ids, texts = [one.id for one in cue.values], [one.text for one in cue.values]
        assert len(set(ids)) == len(ids) and len(set(texts)) == len(texts), cue.id
