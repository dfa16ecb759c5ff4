"""The belief on published cases, and how sure it is after one or two answers.

Outside facts: tests/cases/identification_cases.yaml, each case with the tables it was put together from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
import yaml

from whichresin.belief.hypotheses import Belief, by_cell, by_class, by_filler_kind, by_material
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model

CASES = yaml.safe_load((Path(__file__).parents[1] / "cases" / "identification_cases.yaml").read_text(encoding="utf-8"))

# What stands behind an expected word that is not one material. Families are looked up in the model.
MEMBERS: Mapping[str, Sequence[str]] = {
    "PE": ("PE-HD", "PE-LD"),
    "PA": ("PA6", "PA66", "PA12"),
    "PA6 or PA66": ("PA6", "PA66"),
    "PVC": ("PVC-U", "PVC-P"),
}
NOT_EVIDENCE_HERE = ("part", "marking")  # a part tilts the prior; markings are the decoder's


@pytest.fixture(scope="module")
def model() -> Model:
    found, problems = load()
    assert found is not None, [str(one) for one in problems if one.level == "error"][:10]
    return found


def observed(model: Model, answers: Mapping[str, Any]) -> list[Observation]:
    """Answers as they stand in a case file, as observations."""
    found = []
    for cue, value in answers.items():
        if cue in NOT_EVIDENCE_HERE:
            continue
        if cue == "float_liquids":
            value = tuple((float(one["density"]), one["result"]) for one in value)
        elif model.cues[cue].kind == "set":
            value = tuple(value)
        found.append(Observation(cue, value))
    return found


def prior_of(model: Model, part: str = "", only: Sequence[str] = ()) -> list[float]:
    """Prior weights, tilted by the part kind that goes by this name, or kept to the materials of a setting."""
    prior = [one.prior for one in model.compounds]
    if part:
        kind = next(one for one in model.parts.values() if part in (one.name, *one.words))
        prior = [weight * times for weight, times in zip(prior, kind.tilt, strict=True)]
    if only:
        prior = [weight if one.material in only else 0.0 for weight, one in zip(prior, model.compounds, strict=True)]
    return prior


def believe(model: Model, case: Mapping[str, Any], with_setting: bool = True) -> Belief:
    only = CASES["settings"][case["setting"]] if with_setting and "setting" in case else ()
    answers = case["observations"]
    return posterior(model, observed(model, answers), prior_of(model, answers.get("part", ""), only))


def ranked(weights: Mapping[str, float]) -> list[str]:
    return sorted(weights, key=lambda name: -weights[name])


def members(model: Model, case: Mapping[str, Any]) -> set[str]:
    """The materials that count as the expected answer of a case."""
    word = case["expected"]
    if word == "non-olefin thermoplastic":
        return set(case["ambiguous_with"])
    family = {one.id for one in model.materials.values() if one.family == word}
    return family or set(MEMBERS.get(word, (word,)))


def test_cases_are_all_there() -> None:
    """30 published cases, each with its sources, none twice."""
    cases = CASES["cases"]
    assert len({case["id"] for case in cases}) == len(cases) == 30
    assert all(case["source"] for case in cases)


@pytest.mark.parametrize("case", CASES["cases"], ids=lambda case: case["id"])
def test_published_case(model: Model, case: Mapping[str, Any]) -> None:
    """The class is the published one, and the published polymer is among the three likeliest.

    Sources: named in each case.
    """
    belief = believe(model, case)
    expected = members(model, case)
    assert expected <= set(model.materials)
    assert ranked(by_class(model, belief))[0] == case["class"]
    first = ranked(by_material(model, belief))[:3]
    assert expected & set(first), first
    assert first[0] not in case.get("must_not", ())


@pytest.mark.parametrize(
    "case", [case for case in CASES["cases"] if "setting" in case], ids=lambda case: case["id"]
)
def test_case_outside_its_setting(model: Model, case: Mapping[str, Any]) -> None:
    """On an open bench a packaging scheme's answer is one of several: the class holds, the name is not claimed."""
    belief = believe(model, case, with_setting=False)
    assert ranked(by_class(model, belief))[0] == case["class"]
    weights = by_material(model, belief)
    assert max(weights.values()) < 0.6
    assert sum(weights[name] for name in members(model, case)) > 2 * sum(
        one.prior for one in model.compounds if one.material in members(model, case)
    )


def after(model: Model, **answers: Any) -> Belief:
    return posterior(model, observed(model, answers))


def test_floats_and_smears_is_a_polyolefin(model: Model) -> None:
    """The makers' rule (VM1, VM2, FLC): what floats and smears is a polyolefin, nearly for certain."""
    belief = after(model, float_in_water="floats", grind="smears")
    assert by_cell(model, belief)["polyolefin"] > 0.9


def test_sinking_does_not_rule_out_polyolefin(model: Model) -> None:
    """Talc makes PP sink (PP-TD20 is 1.03 to 1.06, SUP, PPN): sinks and smears still leaves polyolefin in front."""
    belief = after(model, float_in_water="sinks", grind="smears")
    cells = by_cell(model, belief)
    assert ranked(cells)[0] == "polyolefin"
    assert 0.2 < cells["polyolefin"] < 0.6
    heavy = after(model, float_in_water="sinks", grind="smears", hot_needle="melts_strings", bend_whitens="whitens")
    assert by_filler_kind(model, heavy)["mineral"] > 0.5
    assert by_cell(model, heavy)["polyolefin"] > 0.65


def test_powder_alone_is_no_thermoset(model: Model) -> None:
    """Powder does not prove a thermoset (trade rule, caution `unknown-powder`): classes stay open until heat."""
    dust = after(model, float_in_water="sinks", grind="powder")
    no_fibre = after(model, float_in_water="sinks", grind="powder", look=["no_fibres"])
    for belief in (dust, no_fibre):
        classes = by_class(model, belief)
        assert max(classes.values()) < 0.75
        assert classes["thermoplastic"] > 0.2
    cells = by_cell(model, dust)
    assert min(cells["polar"], cells["moulded-thermoset"], cells["laminate"]) > 0.1
    chars = after(model, float_in_water="sinks", grind="powder", hot_needle="no_melt_chars")
    assert by_class(model, chars)["thermoset"] > 0.9
    melts = after(model, float_in_water="sinks", grind="powder", hot_needle="melts_strings_late")
    assert by_cell(model, melts)["polar"] > 0.7
    assert by_filler_kind(model, melts)["fibre"] > 0.75


def test_fast_disc_tells_glass_filled_from_thermoset(model: Model) -> None:
    """A melt lip at full speed speaks against a thermoset that powdered at low speed (common practice)."""
    slow = by_class(model, after(model, float_in_water="sinks", grind="powder"))
    fast = by_class(model, after(model, float_in_water="sinks", grind="powder", grind_fast="smears"))
    assert fast["thermoplastic"] > 0.75 > slow["thermoplastic"]


def test_cross_linked_shows_only_under_heat(model: Model) -> None:
    """PE-X looks and floats like PE-HD; only that it does not flow when hot tells it (PEXW)."""
    cold = by_cell(model, after(model, float_in_water="floats", nail="marks", look=["waxy"]))
    assert cold["cross-linked"] < 0.25
    hot = by_cell(model, after(model, float_in_water="floats", nail="marks", hot_needle="softens_no_flow"))
    assert hot["cross-linked"] > 0.45


@pytest.mark.parametrize(
    ("cue", "value"),
    [
        ("look", ["opaque"]),
        ("magnet_or_conductive", "not_conductive"),
        ("foam_core", "no"),
        ("gel_coat", "no"),
        ("rotomoulded", "no"),
        ("old_repair", "none"),
        ("clarity", "opaque"),
    ],
)
def test_weak_answers_move_little(model: Model, cue: str, value: Any) -> None:
    """What is true of nearly every part says nearly nothing; a look also tells what was not seen."""
    before = by_cell(model, posterior(model, []))
    then = by_cell(model, after(model, **{cue: value}))
    assert max(abs(then[cell] - before[cell]) for cell in before) < 0.08


@pytest.mark.parametrize(
    ("cue", "value"),
    [
        ("beilstein", "green"),
        ("odour", "hydrochloric_acid"),
        ("grind", "powder"),
        ("sound", "metallic"),
        ("nail", "marks"),
    ],
)
def test_one_answer_settles_no_name(model: Model, cue: str, value: str) -> None:
    """Answers that people get wrong or that several plastics share never name a plastic alone (BEI, CONS)."""
    assert max(by_material(model, after(model, **{cue: value})).values()) < 0.6


def test_laminate_needs_weave_or_gel_coat_and_cure(model: Model) -> None:
    """Powder with a gel coat, or a weave that conducts, is a laminate (VM3, VM5, CARB)."""
    assert by_cell(model, after(model, grind="powder", gel_coat="yes"))["laminate"] > 0.6
    carbon = after(model, fibres_at_edge="weave_or_plies", magnet_or_conductive="conductive", grind="powder")
    assert ranked(by_material(model, carbon))[0] == "EP-CF"
    needles = by_class(model, after(model, fibres_at_edge="short_needles", magnet_or_conductive="conductive"))
    assert needles["thermoplastic"] > needles["thermoset"]


def test_glassy_is_told_from_polyolefin_by_a_drop(model: Model) -> None:
    """ABS and talc-filled PP weigh the same; acetone takes ABS and leaves PP alone (BIO)."""
    takes = by_cell(model, after(model, density_measured=1.04, acetone="dissolves"))
    leaves = by_cell(model, after(model, density_measured=1.04, acetone="none"))
    assert takes["glassy"] > 0.85
    assert leaves["polyolefin"] > 0.6 > leaves["glassy"]
