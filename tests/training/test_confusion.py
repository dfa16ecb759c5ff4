"""The expected confusion matrix: a matrix of chances, the same as by listing every answer, worth what it says."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from whichresin.belief.decision import action_losses, part_masses, target_of
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.knowledge.model import Model, Skill
from whichresin.training import confusion as room
from whichresin.training.confusion import NONE, confusion, groups_of
from whichresin.training.misfit import without

KEPT = {"PP", "ABS", "PA6", "PVC-U"}


@pytest.fixture(scope="module")
def small(shipped: Model) -> Model:
    """Four materials and one cue with few answers, and one skill: everything can be listed."""
    few = without(shipped, frozenset(shipped.materials.keys() - KEPT))
    observer = replace(few.observer, skills=(Skill("one", 1.0, 0.1, 0.05),))
    return replace(few, observer=observer, cues={"acetone": few.cues["acetone"]}, key="small")


@pytest.fixture(scope="module")
def several(shipped: Model) -> Model:
    """Eight materials of five repair cells, with all cues."""
    kept = KEPT | {"PA66", "PC", "UP-GF SMC", "PP+EPDM"}
    return without(shipped, frozenset(shipped.materials.keys() - kept))


def test_every_row_is_a_chance_and_the_matrix_is_balanced(several: Model) -> None:
    """Rows sum to 1, as much of A is taken for B as of B for A, and a seed gives it again."""
    found = confusion(several, 1, 5)
    assert found.names[-1] == NONE and set(found.names[:-1]) == set(several.materials)
    for row in found.chance:
        assert sum(row) == pytest.approx(1.0) and min(row) >= 0.0
    assert confusion(several, 1, 5) == found
    assert found.chance != confusion(several, 1, 6).chance
    assert list(found.cells[:-1]) == sorted(found.cells[:-1])
    share = {name: sum(c.prior for c in several.compounds if c.material == name) for name in found.names[:-1]}
    for a, name in enumerate(found.names[:-1]):
        for b, other in enumerate(found.names[:-1]):
            lost, gained = share[name] * found.chance[a][b], share[other] * found.chance[b][a]
            assert lost == pytest.approx(gained, abs=0.05)
    for name in found.names:
        assert found.right(name) <= found.cell_right(name) + 1e-12 <= 1.0 + 1e-9


def test_against_listing_every_answer(small: Model) -> None:
    """One cue: the chance of each answer and the posterior after it are known, so the matrix can be written down."""
    cue = small.cues["acetone"]
    assert cue.table is not None
    order = [*sorted(small.materials, key=lambda id: (small.materials[id].cell, id)), NONE]
    place = {name: i for i, name in enumerate(order)}
    joint = [[0.0] * len(order) for _ in order]
    for value in cue.values:
        belief = posterior(small, [Observation("acetone", value.id)])
        chance = _evidence(small, value.id)
        q = [0.0] * len(order)
        for compound, p in zip(small.compounds, belief.compounds, strict=True):
            q[place.get(compound.material, len(order) - 1)] += p
        for a, b in product(range(len(order)), repeat=2):
            joint[a][b] += chance * q[a] * q[b]
    found = confusion(small, 400, 2)
    assert found.names == tuple(order)
    for a, row in enumerate(joint):
        for b, p in enumerate(row):
            assert found.chance[a][b] == pytest.approx(p / sum(row), abs=0.02)


def _evidence(model: Model, value: str) -> float:
    """Chance of an answer to acetone, all parts and the one skill together, by its definition."""
    cue, skill = model.cues["acetone"], model.observer.skills[0]
    assert cue.table is not None
    place = [v.id for v in cue.values].index(value)
    from whichresin.belief.likelihood import slip_answers

    flat = slip_answers(cue, model.observer)[place]
    total = 0.0
    for compound, row in zip(model.compounds, cue.table.row_of, strict=True):
        clear = (1.0 - skill.slip) * cue.table.rows[row][place] + skill.slip * flat
        total += compound.prior * ((1.0 - skill.muddled) * clear + skill.muddled * flat)
    return total


def test_a_sure_answer_saves_what_the_losses_say(small: Model, monkeypatch: pytest.MonkeyPatch) -> None:
    """Knowing for sure whether it is PP: loss before, less the losses of both sides, at a belief written by hand."""
    count = len(small.compounds)
    belief = tuple(1.0 / count for _ in range(count))
    monkeypatch.setattr(room, "_belief", lambda *_: belief)
    found = {one.group: one for one in confusion(small, 1, 1).wanted}
    target, inside = target_of(small), set(groups_of(small)["PP"])
    sides = [[p if (i in inside) == side else 0.0 for i, p in enumerate(belief)] for side in (True, False)]
    after = sum(min(action_losses(target, part_masses(target, side))) for side in sides)
    before = min(action_losses(target, part_masses(target, belief)))
    assert found["PP"].minutes == pytest.approx(before - after)
    assert all(one.minutes >= -1e-9 and one.names >= -1e-9 for one in found.values())


def test_fewer_tests_never_help(several: Model) -> None:
    """Without leave to burn and to drop solvent the names come out right less often, over all materials."""
    every, fewer = confusion(several, 2, 3), confusion(several, 2, 3, ("burn", "solvent"))
    assert sum(map(every.right, every.names)) > sum(map(fewer.right, fewer.names))
