"""The shop's products: sound files, one sentence for each fault, and no product where its own sheet says no."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.repair.fit import Bench, choose, judge, promoter_said
from whichresin.repair.product_rules import load_product_rules
from whichresin.repair.shelf import Product, Shelf, read_shelf

DEMO = Path(__file__).parents[1] / "demo" / "shelf"
RULES = load_product_rules()
DAY = date(2026, 6, 1)
SOUND = """id: a-glue
name: a glue
kind: adhesive
contents: epoxy
suits: [polar]
ratio: 1:1
cartridge_ml: 50
work_minutes: 6
at_celsius: 23
expires: 2027-02
sheet: edition 1
"""


@pytest.fixture(scope="module")
def demo(shipped: Model) -> Shelf:
    return read_shelf([str(DEMO)], shipped, RULES)


def believed(model: Model, **shares: float) -> list[float]:
    """A belief spread over the compounds of materials: the rest is 'none of these'."""
    chances = [0.0] * len(model.compounds)
    for material, share in shares.items():
        inside = [i for i, one in enumerate(model.compounds) if one.material == material]
        for i in inside:
            chances[i] += share / len(inside)
    chances[-1] = 1.0 - sum(chances)
    return chances


def of_material(model: Model, shares: Mapping[str, float]) -> list[float]:
    return believed(model, **shares)


def test_the_example_shelf_is_sound_and_marked_invented(demo: Shelf) -> None:
    """The only products shipped are examples, and nobody can mistake them for advice on what to buy."""
    assert not demo.problems and len(demo.products) == 9
    assert all(one.invented for one in demo.products.values())


def test_every_kind_names_keys_and_times_that_exist() -> None:
    """A kind that asked for a key nobody can write could never be satisfied."""
    from whichresin.repair.shelf import PRODUCT, TIME_KEYS

    for kind in RULES.kinds.values():
        assert set(kind.needs) <= set(PRODUCT.fields) and set(kind.times) <= set(TIME_KEYS.values()), kind.id


def test_every_content_brings_cautions_that_exist(shipped: Model) -> None:
    """A caution that nobody wrote would be a hazard without a word."""
    for content, cautions in RULES.cautions.items():
        assert set(cautions) <= set(shipped.cautions), content
    assert "iso-adhesive" in RULES.cautions["polyurethane"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (("kind: adhesive", "kind: adhesiv"), "there is no kind of product 'adhesiv'"),
        (("suits: [polar]", "suits: [polarr]"), "suits names 'polarr', which is no class, repair cell"),
        (("contents: epoxy", "contents: epoxi"), "there is no content 'epoxi'"),
        (("expires: 2027-02", "expires: 2027-13"), "expires is '2027-13'; expected a date such as 2027-03-31"),
        (("expires: 2027-02", "expires: soon"), "expires is 'soon'; expected a date"),
        (("ratio: 1:1", "ratio: 1 to 1"), "ratio is '1 to 1'; expected parts such as 1:1"),
        (("ratio: 1:1\n", ""), "a product of kind adhesive without ratio; its sheet gives it"),
        (("at_celsius: 23\n", ""), "times without at_celsius"),
        (("work_minutes: 6", "work_minutes: 6 min"), "work_minutes is '6 min'; expected a number"),
        (("work_minutes: 6", "work_minutes: -6"), "work_minutes is '-6'; expected 0.05 to"),
        (("sheet: edition 1", "use_celsius: {low: 30, high: 15}\nsheet: x"), "low must be below high"),
        (("sheet: edition 1\n", ""), "a product without sheet"),
        (("name: a glue", "nmae: a glue"), "'nmae' is not a key of a product"),
    ],
)
def test_a_faulty_file_is_told_with_its_place(
    shipped: Model, tmp_path: Path, change: tuple[str, str], sentence: str
) -> None:
    """Nothing is guessed round: the product is left out, and the sentence says where and what."""
    path = tmp_path / "glue.yaml"
    path.write_text(SOUND.replace(*change))
    shelf = read_shelf([str(path)], shipped, RULES)
    assert not shelf.products
    assert any(sentence in one.sentence and one.line > 0 for one in shelf.errors), [str(one) for one in shelf.errors]


def test_the_sound_file_is_sound(shipped: Model, tmp_path: Path) -> None:
    """The faults above are caused by their change and nothing else; a month without a day means its last day."""
    path = tmp_path / "glue.yaml"
    path.write_text(SOUND)
    shelf = read_shelf([str(path)], shipped, RULES)
    assert not shelf.problems and shelf.products["a-glue"].expires == date(2027, 2, 28)


def test_two_files_may_not_share_an_id(shipped: Model, tmp_path: Path) -> None:
    """The record names products by id; two of one name would make it worthless."""
    for name in ("one.yaml", "two.yaml"):
        (tmp_path / name).write_text(SOUND)
    assert "already used" in read_shelf([str(tmp_path)], shipped, RULES).errors[0].sentence


@pytest.mark.parametrize("place", ["nowhere.yaml", "."])
def test_a_shelf_that_is_not_there_is_said(shipped: Model, tmp_path: Path, place: str) -> None:
    """A missing file and an empty folder are faults, not an empty shelf."""
    shelf = read_shelf([str(tmp_path / place)], shipped, RULES)
    assert shelf.errors and not shelf.products


def test_alcohol_is_refused_on_a_part_that_may_be_glassy(shipped: Model, demo: Shelf) -> None:
    """Even a small chance of a stressed glassy plastic rules the solvent out; soap remains."""
    chances = of_material(shipped, {"PA66": 0.9, "PC": 0.1})
    found = judge(demo.products["plastic-cleaner"], chances, Bench(DAY, 20.0), RULES)
    assert found.verdict == "refused" and found.sentences == (
        "alcohol cleaner for plastics is not for glassy and solvent-sensitive, says its sheet, and the part is that "
        "with 10 %",
    )
    assert judge(demo.products["soap-wash"], chances, Bench(DAY, 20.0), RULES).verdict == "suits"


def test_a_rod_needs_near_certainty_and_no_fibre(shipped: Model, demo: Shelf) -> None:
    """Welding advice only for a matching, unfilled plastic: 90 % is not enough, fibre is never."""
    rod = demo.products["pp-rod"]
    plain = [0.0] * len(shipped.compounds)
    plain[next(i for i, one in enumerate(shipped.compounds) if one.material == "PP" and one.filler == "none")] = 1.0
    assert judge(rod, plain, Bench(DAY, 20.0), RULES).verdict == "suits"
    doubtful = [0.9 * p for p in plain]
    doubtful[-1] = 0.1
    found = judge(rod, doubtful, Bench(DAY, 20.0), RULES)
    assert found.verdict == "refused" and "only 90 %; it takes 95 %" in found.sentences[0]
    fibre = [0.0] * len(shipped.compounds)
    fibre[next(i for i, one in enumerate(shipped.compounds) if one.material == "PP" and one.filler_kind == "fibre")] = (
        1.0
    )
    assert "plastic with fibre in it" in judge(rod, fibre, Bench(DAY, 20.0), RULES).sentences[0]


def test_what_has_run_out_is_refused_on_the_day_after(shipped: Model, demo: Shelf) -> None:
    """The last day still counts; the day after does not."""
    chances = of_material(shipped, {"PA66": 1.0})
    glue = demo.products["rigid-two-part"]
    assert judge(glue, chances, Bench(date(2027, 5, 31), 20.0), RULES).verdict == "suits"
    late = judge(glue, chances, Bench(date(2027, 6, 1), 20.0), RULES)
    assert late.verdict == "refused" and "ran out on 2027-05-31: discard it" in late.sentences[0]


@pytest.mark.parametrize(
    ("celsius", "remedy"), [(12.0, "warm part, product and room"), (33.0, "let part and room cool")]
)
def test_outside_its_temperature_it_says_what_to_do(shipped: Model, demo: Shelf, celsius: float, remedy: str) -> None:
    """A cold shop gives a cure that never recovers."""
    found = judge(demo.products["rigid-two-part"], of_material(shipped, {"PA66": 1.0}), Bench(DAY, celsius), RULES)
    assert found.verdict == "refused" and found.sentences[0].endswith(remedy)


def test_an_unmeasured_room_is_said_and_not_refused(shipped: Model, demo: Shelf) -> None:
    """Nobody measured: say at what temperature it is used."""
    found = judge(demo.products["rigid-two-part"], of_material(shipped, {"PA66": 1.0}), Bench(DAY), RULES)
    assert found.verdict == "suits" and "measure the room, it is used at 15 to 30 C" in found.sentences[-1]


def test_partly_covered_means_a_trial_patch(shipped: Model, demo: Shelf) -> None:
    """A product that covers most but not all of what the part may be is tried on a hidden place first."""
    chances = of_material(shipped, {"PA66": 0.8, "PP": 0.04, "POM": 0.03})
    assert judge(demo.products["rigid-two-part"], chances, Bench(DAY, 20.0), RULES).verdict == "trial"


def test_the_sheet_asks_for_a_promoter_from_a_small_chance_on(shipped: Model, demo: Shelf) -> None:
    """A patch without promoter falls off a polyolefin whole; ten minutes of promoter are the smaller loss."""
    glue = demo.products["flexible-two-part"]
    assert promoter_said(glue, of_material(shipped, {"PA66": 0.9, "PP": 0.1}), RULES) == "polyolefin"
    assert promoter_said(glue, of_material(shipped, {"PA66": 1.0}), RULES) == ""


def test_the_one_that_runs_out_first_is_used_first(shipped: Model, demo: Shelf) -> None:
    """Of two that fit, the older pack; but stiffness that matches the part comes before."""
    chances = of_material(shipped, {"PA66": 1.0})
    both = [judge(one, chances, Bench(DAY, 20.0), RULES) for one in demo.products.values() if one.kind == "adhesive"]
    first = choose(both)
    flexible = choose(both, "flexible")
    assert first is not None and first.product.id == "rigid-two-part"
    assert flexible is not None and flexible.product.id == "flexible-two-part"
    assert choose([]) is None


@settings(max_examples=80)
@given(st.data())
def test_no_product_is_let_through_where_its_sheet_says_no(shipped: Model, demo: Shelf, data: st.DataObject) -> None:
    """Whatever the belief: from the stated chance on of what a product is not for, it is refused."""
    weights = data.draw(st.lists(st.integers(0, 20), min_size=4, max_size=4).filter(any))
    names = data.draw(st.lists(st.sampled_from(sorted(shipped.materials)), min_size=4, max_size=4, unique=True))
    shares = {name: weight / sum(weights) for name, weight in zip(names, weights, strict=True)}
    chances = of_material(shipped, shares)
    product: Product = data.draw(st.sampled_from(list(demo.products.values())))
    found = judge(product, chances, Bench(DAY, 20.0), RULES)
    for meant in product.not_for.values():
        if sum(chances[i] for i in meant) >= RULES.refuse_from:
            assert found.verdict == "refused"
    assert found.verdict == "refused" or found.suits >= 0.5
