"""Part kinds, repair cells, losses and cautions: no word may slip through the gate and get somebody hurt."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.session.understand import understand_part

Facts = Callable[[str], Any]


@pytest.fixture(scope="module")
def model() -> Model:
    found, problems = load()
    assert found is not None, [str(one) for one in problems if one.level == "error"][:10]
    return found


def by_word(model: Model) -> dict[str, Any]:
    """Part kinds by every word that names them."""
    return {word.lower(): part for part in model.parts.values() for word in (part.name, *part.words)}


def test_every_gated_part_stands_behind_its_gate(model: Model, facts: Facts) -> None:
    """Restraint, sensor, fuel, brake, structure and the other gated parts: refer or replace, as published."""
    words = by_word(model)
    wrong = []
    for gate in facts("gated_parts.yaml")["gates"]:
        for name in gate["parts"]:
            part = words.get(name)
            if part is None or part.gate != gate["decision"]:
                wrong.append((name, gate["decision"], part.id if part else "unknown word"))
    assert wrong == []


def test_words_name_one_part_kind_each(model: Model) -> None:
    """A word that named two part kinds could open a gate that the other keeps shut."""
    seen: dict[str, str] = {}
    for part in model.parts.values():
        for word in (part.name, *part.words):
            assert seen.setdefault(word.lower(), part.id) == part.id, word


def test_a_gate_says_why_and_warns(model: Model) -> None:
    """Whoever is stopped is told the reason, and sees at least one caution."""
    for part in model.parts.values():
        if part.gate != "open":
            assert part.gate_reason, part.id
            assert part.cautions, part.id


ASKED = ["tank", "bracket", "guard", "cover", "boat hull", "grille", "slide", "hose"]


@pytest.mark.parametrize("word", ASKED)
def test_a_word_that_may_mean_a_gated_part_asks(model: Model, word: str) -> None:
    """Unknown counts as yes: a bare "tank" may hold fuel, a grille may hide a radar."""
    assert by_word(model)[word].gate == "ask"


EVERYDAY = [
    ("safety goggles", "helmet", "replace"),
    ("wheelchair footrest", "life-saving", "refer"),
    ("rear light", "tail-lamp-lens", "replace"),
    ("cover of a work lamp", "lamp-cover", "ask"),
    ("garden chair", "chair", "ask"),
    ("feeding bottle", "table-ware", "refer"),
    ("hedge trimmer casing", "power-tool-housing", "ask"),
    ("gear knob", "tool-handle", "open"),
    ("armrest of a tractor seat", "arm-rest", "open"),
    ("rain gutter", "gutter", "open"),
    ("window frame", "window-frame", "open"),
]


@pytest.mark.parametrize(("said", "kind", "gate"), EVERYDAY)
def test_what_people_bring_is_understood(model: Model, said: str, kind: str, gate: str) -> None:
    """Words of a beginner at the bench: none of them may pass as not understood, nor a frame as a pane."""
    read = understand_part(model, said)
    assert read.sure == "clear" and read.kind is not None
    assert (read.kind.id, read.gate) == (kind, gate)


def test_there_are_enough_part_kinds(model: Model) -> None:
    """At least 45 part kinds, and each gate is in use."""
    assert len(model.parts) >= 45
    assert {part.gate for part in model.parts.values()} == {"open", "ask", "refer", "replace"}


def test_a_part_kind_never_rules_a_material_out(model: Model) -> None:
    """What a part usually is made of shifts the odds, by at most a thousand, and forbids nothing."""
    for part in model.parts.values():
        assert len(part.tilt) == len(model.compounds)
        assert min(part.tilt) >= 0.05, part.id
        assert max(part.tilt) <= 1000.0, part.id


def likely_materials(model: Model, part_id: str, count: int) -> set[str]:
    """The materials that lead before any answer, for a part of that kind."""
    weight: dict[str, float] = {}
    for compound, tilt in zip(model.compounds, model.parts[part_id].tilt, strict=True):
        weight[compound.material] = weight.get(compound.material, 0.0) + compound.prior * tilt
    return set(sorted(weight, key=lambda name: -weight[name])[:count])


# What vehicle makers' symbol tables and the density lists name as usual (VM4, VM6; typical parts in
# knowledge/materials).
USUAL = [
    ("bumper-skin", "PP+EPDM"),
    ("radiator-end-tank", "PA66"),
    ("gear", "POM"),
    ("window-pane", "PC"),
    ("window-pane", "PMMA"),
    ("tail-lamp-lens", "PMMA"),
    ("boat-hull", "UP-GF hand"),
    ("bonnet", "UP-GF SMC"),
    ("fuel-tank", "PE-HD"),
    ("grille", "ABS"),
    ("circuit-board", "EP-GF"),
    ("arm-rest", "PUR-RIM"),
    ("gutter", "PVC-U"),
    ("window-frame", "PVC-U"),
    ("lamp-cover", "PC"),
    ("cable-tie", "PA66"),
    ("seal", "EPDM"),
    ("inflatable-boat", "PVC-P"),
]


@pytest.mark.parametrize(("part", "material"), USUAL)
def test_the_usual_material_leads(model: Model, part: str, material: str) -> None:
    """Before any answer, the usual material of a well-known part is among the first three."""
    assert material in likely_materials(model, part, 3)


def test_losses_are_lopsided_where_the_trade_says_so(model: Model) -> None:
    """Promoter left out on a polyolefin costs far more than promoter put on a polar part (20 to 50 to 1)."""
    losses = model.losses
    row = dict(zip(losses.cells, losses.table, strict=True))
    column = {name: place for place, name in enumerate(losses.actions)}
    assert row["polyolefin"][column["polar"]] >= 20 * row["polar"][column["polyolefin"]]
    assert row["glassy"][column["laminate"]] > row["glassy"][column["polar"]]
    for cell in losses.cells:
        assert row[cell][column[cell]] == 0.0
        wrong = [row[cell][column[name]] for name in losses.cells if name != cell]
        assert min(wrong) > 0.0
        assert 0.0 < row[cell][column["defer"]] < max(wrong)


def test_no_heat_on_a_thermoset_taken_for_weldable(model: Model) -> None:
    """With a welder at hand, heat on a thermoset costs more than a weld forgone (ISO-HOT, trade practice)."""
    splits = {(split.shop, split.by): split for split in model.losses.splits}
    assert splits["welder", "class"].miss >= 10 * splits["welder", "class"].false_alarm
    assert splits["welder", "fibre"].miss > splits["welder", "fibre"].false_alarm


def test_every_material_has_a_cell_and_every_cell_a_material(model: Model) -> None:
    """A cell without members could never be concluded."""
    used = {material.cell for material in model.materials.values()}
    assert used == set(model.cells) - {"none"}


def test_cautions_say_something_to_do(model: Model) -> None:
    """Each caution has a level, a hazard and a text of at least a sentence, short enough to be read."""
    assert len(model.cautions) >= 60
    for caution in model.cautions.values():
        assert caution.level in ("danger", "warning", "care")
        assert caution.hazard
        assert 40 <= len(caution.text) <= 600, caution.id
