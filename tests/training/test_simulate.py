"""Simulated interviews: seeded whatever the number of jobs, resumable, drawn as stated, and scored as libraries do."""

from __future__ import annotations

import json
import math
import random
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss

from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import posterior
from whichresin.knowledge.model import Model
from whichresin.training.chart import BadChart, read_chart
from whichresin.training.misfit import BadMisfit, Misfit, read_misfit, without, world_of
from whichresin.training.picture import svg_picture, text_picture
from whichresin.training.play import Played, Player, Setting
from whichresin.training.reliability import bins_of, brier, ece_of, log_score, reliability
from whichresin.training.simulate import BadFile, Order, simulate
from whichresin.training.tally import ends, report
from whichresin.training.telling import report_lines

FEW = 6


def statements(seed: int, count: int, off: float = 0.0) -> list[tuple[float, bool]]:
    """Statements that come true as often as said, or less often by `off`."""
    rng, found = random.Random(seed), []
    for _ in range(count):
        p = rng.random()
        found.append((p, rng.random() < p - off))
    return found


@pytest.fixture(scope="module")
def played(shipped: Model) -> list[Played]:
    return simulate(shipped, Order(FEW, 3))


def test_the_table_agrees_with_scikit_learn() -> None:
    """Bins, shares and scores equal those of scikit-learn's calibration_curve, brier_score_loss and log_loss."""
    pairs = statements(1, 900)
    stated, hits = [p for p, _ in pairs], [int(hit) for _, hit in pairs]
    true, predicted = calibration_curve(hits, stated, n_bins=10)
    used = [b for b in bins_of(pairs) if b.count]
    assert [b.right for b in used] == pytest.approx(list(true))
    assert [b.stated for b in used] == pytest.approx(list(predicted))
    assert brier(pairs) == pytest.approx(brier_score_loss(hits, stated))
    told = [p if hit else 1.0 - p for p, hit in pairs]
    assert log_score(told) == pytest.approx(log_loss(hits, stated), rel=1e-6)


def test_the_error_of_the_ece_is_its_spread_over_samples() -> None:
    """The stated sampling error, and what an exact tool would show, are what many samples do show."""
    values = [ece_of(bins_of(statements(seed, 800))) for seed in range(150)]
    mean = sum(values) / len(values)
    spread = math.sqrt(sum((v - mean) ** 2 for v in values) / (len(values) - 1))
    one = reliability(statements(7, 800))
    assert one.ece_if_exact == pytest.approx(mean, rel=0.15)
    assert one.ece_error == pytest.approx(spread, rel=0.5)


def test_a_tool_that_is_too_sure_is_found_out() -> None:
    """Statements that come true a tenth less often than said show it in the gap and in the ECE."""
    found = reliability(statements(2, 4000, off=0.1))
    assert found.gap == pytest.approx(0.095, abs=0.02) and found.ece > 4.0 * found.ece_if_exact


def test_jobs_change_nothing(shipped: Model, played: list[Played]) -> None:
    """Two processes give the same interviews as one, and a longer run begins with the shorter one."""
    import whichresin.training.simulate as running

    before, running.CHUNK = running.CHUNK, 2
    try:
        assert simulate(shipped, Order(FEW, 3), jobs=2) == played
    finally:
        running.CHUNK = before
    assert simulate(shipped, Order(FEW + 1, 3))[:FEW] == played
    assert simulate(shipped, Order(FEW, 4)) != played


def test_a_broken_run_goes_on_where_it_stopped(shipped: Model, played: list[Played], tmp_path: Path) -> None:
    """A file cut off in the middle of a line is gone on with; the end is as if nothing had happened."""
    keep = tmp_path / "interviews.jsonl"
    simulate(shipped, Order(4, 3), keep=keep)
    text = keep.read_text()
    keep.write_text(text[: text.rindex("\n", 0, -1) + 40])
    seen: list[int] = []
    assert simulate(shipped, Order(FEW, 3), keep=keep, progress=lambda done, of: seen.append(done)) == played
    assert seen == [FEW]
    assert simulate(shipped, Order(FEW, 3), keep=keep) == played
    with pytest.raises(BadFile, match="other options"):
        simulate(shipped, Order(FEW, 5), keep=keep)


def test_the_report_holds_the_keys_of_the_contract(played: list[Played]) -> None:
    """Scripts rely on these keys; fewer interviews than 5,000 say that they cannot show an ECE of 0.02."""
    found = report(played)
    said = json.loads(json.dumps(found.as_json()))
    assert said["interviews"] == FEW and set(said["accuracy"]) >= {"class", "polymer", "filled", "cell", "filler"}
    assert set(said["ece"]) >= {"class", "polymer"} and set(said["brier"]) >= {"class", "polymer"}
    assert said["questions_mean"] == pytest.approx(sum(p.answers + p.unsure for p in played) / FEW, abs=1e-4)
    assert said["cost_mean"] == pytest.approx(sum(p.minutes + p.loss for p in played) / FEW, abs=1e-4)
    assert sum(row["interviews"] for row in said["stops"].values()) == FEW
    assert said["enough_for_ece"] is False
    assert any("cannot show an ECE of 0.02" in line for line in report_lines(found))


def test_every_wrong_action_is_paid_for(played: list[Played]) -> None:
    """The loss of an interview is 0 exactly when it was treated as what it is."""
    for one in played:
        assert one.wrong == (one.loss > 0.0 and one.action != "defer")


def test_pictures_show_every_bin() -> None:
    """The text picture has a line for each used bin, and the drawing is sound XML with a point for each."""
    found = reliability(statements(3, 300))
    used = sum(b.count > 0 for b in found.bins)
    assert len(text_picture("class", found)) == used + 1
    drawn = ElementTree.fromstring(svg_picture([("a < b", found)], "made up"))
    assert len(drawn.findall("{http://www.w3.org/2000/svg}circle")) == used


def test_misfits_are_read_or_refused() -> None:
    """Every misfit by name, joined by commas or bars; anything else is one sentence."""
    assert read_misfit("errs=1.5|bursts=0.1, missing=5") == Misfit(errs=1.5, bursts=0.1, missing=5)
    assert read_misfit("") == Misfit() and Misfit().as_json() == {}
    for bad in ("errs", "speed=2", "bursts=2", "errs=x", "missing=1.5", "jitter=nan"):
        with pytest.raises(BadMisfit):
            read_misfit(bad)


def test_missing_materials_are_unknown_to_the_tool_alone(shipped: Model) -> None:
    """Parts of them still come in; the tool's own tables, tilts and evidence hold the others in the right places."""
    world = world_of(shipped, Misfit(missing=5), 1)
    assert len(world.missing) == 5 and not world.missing & {c.material for c in world.tool.compounds}
    assert world.missing <= {c.material for c in world.true.compounds}
    assert sum(c.prior for c in world.tool.compounds) == pytest.approx(1.0)
    kept = [i for i, c in enumerate(shipped.compounds) if c.material not in world.missing]
    told = [Observation("grind", "smears"), Observation("float_in_water", "sinks")]
    whole = posterior(shipped, told).compounds
    total = sum(whole[i] for i in kept)
    assert posterior(world.tool, told).compounds == pytest.approx([whole[i] / total for i in kept], rel=1e-9)
    assert [c.id for c in without(shipped, frozenset()).compounds] == [c.id for c in shipped.compounds]


def test_jitter_moves_chances_and_keeps_them_chances(shipped: Model) -> None:
    """A jittered row still sums to 1 and no chance is 0 or 1; the tool keeps the tables as they are."""
    world = world_of(shipped, Misfit(jitter=0.5), 1)
    assert world.tool is shipped
    for id, cue in world.true.cues.items():
        if cue.table is None:
            continue
        assert cue.table.rows != shipped.cues[id].table.rows  # type: ignore[union-attr]
        for row in cue.table.rows:
            assert all(0.0 < p < 1.0 for p in row)
            assert cue.kind == "set" or sum(row) == pytest.approx(1.0)


def test_the_chart_asks_its_questions_in_order(shipped: Model) -> None:
    """Every cue of the chart exists, and the fixed chart's interviews are prefixes of it."""
    chart = read_chart()
    assert set(chart.order) <= set(shipped.cues) and len(set(chart.order)) == len(chart.order)
    places = [chart.order.index(cue) for cue in ("float_in_water", "grind", "hot_needle", "ignites")]
    assert places == sorted(places)
    assert simulate(shipped, Order(2, 3, policy="chart", stop_below=1e9))[0].answers == 0
    long = simulate(shipped, Order(2, 3, policy="chart", stop_below=0.0))
    assert all(one.answers + one.unsure >= 8 and one.guarded <= 1 for one in long)


def test_a_chart_that_cannot_be_read_is_one_sentence(tmp_path: Path) -> None:
    """A file without an order is refused by name."""
    path = tmp_path / "chart.yaml"
    path.write_text("stop_below_minutes: 3\n")
    with pytest.raises(BadChart, match=r"chart\.yaml"):
        read_chart(path)


def test_a_named_part_draws_parts_by_its_own_prior(shipped: Model) -> None:
    """With a kind of part named for all interviews, parts come as its tilt says."""
    kind = next(k for k in shipped.parts.values() if k.gate == "open" and max(k.tilt) > 3.0)
    player = Player(Setting(world_of(shipped, Misfit(), 1), 1, part=kind.id))
    tilted = {c.material for c, t in zip(shipped.compounds, kind.tilt, strict=True) if t > 1.0}
    hits = sum(player.play(i).material in tilted for i in range(25))
    weights = [c.prior * t for c, t in zip(shipped.compounds, kind.tilt, strict=True)]
    inside = sum(w for c, w in zip(shipped.compounds, weights, strict=True) if c.material in tilted) / sum(weights)
    assert abs(hits - 25 * inside) < 4.0 * math.sqrt(25 * inside * (1.0 - inside)) + 1.0
    with pytest.raises(ValueError, match="kind of part"):
        Player(Setting(world_of(shipped, Misfit(), 1), 1, part="no such thing"))


def test_the_ways_to_end_are_counted_as_stated(played: list[Played]) -> None:
    """Right, held back, not sure, confidently wrong: one of four, whatever the end; the level is the interface's."""
    sure = replace(
        played[0], status="concluded", action="polar", wrong=False,
        klass_p=0.9, klass_right=True, cell_p=0.9, cell_right=True, polymer_right=False, polymer_p=0.9,
    )  # fmt: skip
    wrong = replace(sure, wrong=True, cell_right=False)
    cases = {
        "right": [sure, replace(sure, klass_p=0.7, klass_right=False)],
        "confidently_wrong": [wrong, replace(sure, klass_right=False), replace(wrong, cell_p=0.75)],
        "not_sure_and_wrong": [replace(wrong, cell_p=0.74)],
        "held_back": [
            replace(wrong, status="unknown"), replace(wrong, status="contradiction"), replace(wrong, action="defer"),
            replace(sure, action="none"),
        ],
    }  # fmt: skip
    for name, some in cases.items():
        for one in some:
            assert ends([one]) == {key: float(key == name) for key in ends([one])}, (name, one)
    every = [one for some in cases.values() for one in some]
    assert sum(ends(every).values()) == pytest.approx(1.0, abs=1e-4) and set(ends([])) == set(cases)


def test_strangers_are_parts_of_what_is_missing(shipped: Model) -> None:
    """With strangers=1 every part is of a missing material, and none of them counts as known; alone it is refused."""
    misfit = read_misfit("missing=3,strangers=1")
    player = Player(Setting(world_of(shipped, misfit, 5), 5))
    found = [player.play(i) for i in range(4)]
    assert {one.material for one in found} <= player.setting.world.missing and not any(one.known for one in found)
    with pytest.raises(BadMisfit, match="missing=NUMBER"):
        read_misfit("strangers=0.5")
