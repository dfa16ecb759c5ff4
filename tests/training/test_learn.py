"""Counts to expectations: against a count model worked by hand, against scipy, and on simulated classes."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special  # reference implementation of the incomplete beta function

from whichresin.belief.sampling import draw_answer, draw_bench
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.training.beta import beta_cdf, beta_quantile
from whichresin.training.counts import BadCounts, Counts, add_to_file, read_counts
from whichresin.training.learn import LEAST, learn, slip_share
from whichresin.training.outcomes import BadJobs, counts_of_jobs
from whichresin.training.proposal import SOURCE, changes, sources_text


@given(a=st.floats(0.05, 2000), b=st.floats(0.05, 2000), x=st.floats(0.0, 1.0))
def test_beta_distribution_against_scipy(a: float, b: float, x: float) -> None:
    """scipy.special.betainc is the reference."""
    assert beta_cdf(x, a, b) == pytest.approx(float(special.betainc(a, b, x)), abs=1e-9)


@given(a=st.floats(0.5, 500), b=st.floats(0.5, 500), p=st.floats(0.001, 0.999))
def test_beta_quantile_against_scipy(a: float, b: float, p: float) -> None:
    """scipy.special.betaincinv is the reference."""
    assert beta_quantile(p, a, b) == pytest.approx(float(special.betaincinv(a, b, p)), abs=1e-7)


def test_by_hand(shipped: Model) -> None:
    """One row worked by hand: 10 answers' worth of the table plus 30 looks, slips taken out, sums to one."""
    cue = shipped.cues["flex"]
    counts = Counts()
    for word, n in ((cue.values[0].id, 24), (cue.values[1].id, 6)):
        for _ in range(n):
            counts.add(cue, "ABS", word)
    (row,) = learn(shipped, counts)
    assert cue.table is not None
    table = cue.table.rows[cue.table.row_of[[c.id for c in shipped.compounds].index("ABS")]]
    s = slip_share(shipped)
    follows, even = shipped.observer.slip_follows_usual, 1.0 / len(cue.values)
    means = []
    for place, value in enumerate(cue.values):
        slip = follows * cue.table.usual[place] + (1 - follows) * even
        given_ = (24, 6)[place] if place < 2 else 0
        seen = (10 * ((1 - s) * table[place] + s * slip) + given_) / 40
        means.append(max((seen - s * slip) / (1 - s), 0.004))
        assert row.chances[place].value == value.id
    for chance, mean in zip(row.chances, means, strict=True):
        assert chance.mean == pytest.approx(mean / sum(means))
    assert row.looks == 30 and row.proposed


def test_too_few_looks_propose_nothing(shipped: Model) -> None:
    """Three odd answers do not change a table."""
    cue = shipped.cues["grind"]
    counts = Counts()
    for _ in range(LEAST - 1):
        counts.add(cue, "PP", "powder")
    assert learn(shipped, counts) == []


def _class(model: Model, compound: str, answers_as: str, looks: int, seed: int) -> Counts:
    """A class that looks at plaques of `compound`, which in truth behave as `answers_as`."""
    ids = [c.id for c in model.compounds]
    rng, counts = random.Random(seed), Counts()
    for _ in range(looks):
        bench = draw_bench(model, rng.random, compound=ids.index(compound))
        for name in ("grind", "hot_needle", "look"):
            answer = draw_answer(bench, model.cues[name], rng.random, compound=ids.index(answers_as))
            counts.add(model.cues[name], compound, answer)
    return counts


def test_a_class_that_sees_what_the_table_says_changes_nothing_much(shipped: Model) -> None:
    """The true chances lie inside the ranges in nine rows of ten: counted over 60 simulated rows."""
    hits = rows = 0
    for seed, compound in enumerate(["PP", "ABS", "PC", "PA66-GF30", "UP-GF SMC"] * 4):
        for row in learn(shipped, _class(shipped, compound, compound, 80, seed)):
            rows += 1
            hits += not row.proposed
    assert rows == 60 and hits >= 50  # 54 expected; fewer than 50 has a chance of about 2 % if 90 % holds


def test_a_class_that_sees_otherwise_moves_the_table(shipped: Model) -> None:
    """Plaques of PC that behave as ABS: the proposal is nearer to what is true than the table, cue by cue."""
    ids = [c.id for c in shipped.compounds]
    for row in learn(shipped, _class(shipped, "PC", "ABS", 200, 1)):
        cue = shipped.cues[row.cue]
        assert cue.table is not None and row.proposed
        true = cue.table.rows[cue.table.row_of[ids.index("ABS")]]
        before = sum(abs(c.now - p) for c, p in zip(row.chances, true, strict=True))
        after = sum(abs(c.mean - p) for c, p in zip(row.chances, true, strict=True))
        assert after < 0.5 * before, row.cue


def test_a_proposal_is_a_pack_that_loads_and_says_the_new_figures(shipped: Model, tmp_path: Path) -> None:
    """What a trainer accepts must pass the loader and land in the tables; comments of the file stay."""
    counts = _class(shipped, "PC", "ABS", 200, 1)
    learned = learn(shipped, counts)
    found = changes(shipped, learned)
    for change in found:
        path = tmp_path / change.inside
        path.parent.mkdir(exist_ok=True)
        path.write_text(change.after, encoding="utf-8")
        kept = [line for line in change.before.splitlines() if line not in change.after.splitlines()]
        assert kept == [] and SOURCE in change.diff()
    (tmp_path / "sources.yaml").write_text(sources_text("class", learned), encoding="utf-8")
    loaded = load([str(tmp_path)], use_cache=False)
    assert loaded.model is not None, loaded.problems
    table = loaded.model.cues["grind"].table
    assert table is not None
    now = table.rows[table.row_of[[c.id for c in loaded.model.compounds].index("PC")]]
    row = next(one for one in learned if one.cue == "grind")
    assert all(c.low - 0.01 <= p <= c.high + 0.01 for c, p in zip(row.chances, now, strict=True))
    # a second proposal over the first replaces its row instead of standing beside it
    again = changes(loaded.model, learn(loaded.model, _class(shipped, "PC", "PP", 200, 2)), [str(tmp_path)])
    assert all(change.after.count("{compound: PC}") == 1 for change in again)


def test_counts_add_up_and_hold_no_names(shipped: Model, tmp_path: Path) -> None:
    """Two classes in one file; the file holds counts and nothing else."""
    path = tmp_path / "counts.json"
    for _ in range(2):
        counts = Counts()
        counts.add(shipped.cues["grind"], "PP", "smears")
        counts.add(shipped.cues["look"], "PP", ("waxy", "no_fibres"))
        counts.add(shipped.cues["density_measured"], "PP", 0.9)
        add_to_file(path, counts)
    assert read_counts(path).as_json() == {
        "schema": 1,
        "counts": {
            "grind": {"PP": {"looks": 2, "seen": {"smears": 2}}},
            "look": {"PP": {"looks": 2, "seen": {"no_fibres": 2, "waxy": 2}}},
        },
    }


@pytest.mark.parametrize("text", ["", "[]", '{"counts": {"grind": {"PP": {"looks": 1, "seen": {"smears": 2}}}}}'])
def test_counts_that_cannot_be_are_refused(text: str, tmp_path: Path) -> None:
    """More answers than looks, or no counts at all: refused by name."""
    path = tmp_path / "c.json"
    path.write_text(text)
    with pytest.raises(BadCounts, match=r"c\.json"):
        read_counts(path)


def _job(answers: dict[str, object], polymer: str = "", **outcome: str) -> dict[str, object]:
    return {"polymer": polymer, "sheet": {"interview": {"answers": answers}}, "outcomes": [outcome] if outcome else []}


def test_jobs_whose_material_became_known_are_counted(shipped: Model) -> None:
    """What it really was counts, or the name that held; a job without outcome or with a foreign answer is left out."""
    looked = {"grind": "powder", "float_in_water": "sinks", "look": ["glass_fibres", "opaque"]}
    taken = counts_of_jobs(
        shipped,
        {
            "jobs": [
                _job(looked, "UP-GF", identification="wrong", repair="held", really="PA66"),
                _job({"grind": "smears"}, "polypropylene", identification="held", repair="held"),
                _job({"grind": "smears"}, "PP"),
                _job({"grind": "no such word"}, "PP", identification="held", repair="held"),
            ]
        },
    )
    assert (taken.jobs, taken.left_out) == (2, 2)
    found = {(cue, shipped_compound): cell.seen for (cue, shipped_compound), cell in taken.counts.cells.items()}
    filled = {compound for cue, compound in found if cue == "look"}
    assert all(name.startswith("PA66-GF") for name in filled) and len(filled) == 1
    assert found[("grind", filled.pop())] == {"powder": 1}
    plain = {compound for (cue, compound), seen in found.items() if seen == {"smears": 1}}
    assert plain and plain <= {c.id for c in shipped.compounds if c.material == "PP"}


@pytest.mark.parametrize("held", [None, [], {"jobs": 3}, {"jobs": [4]}])
def test_what_is_no_export_of_jobs_is_refused(held: object, shipped: Model) -> None:
    """A wrong file must not count as a shop without jobs."""
    with pytest.raises(BadJobs):
        counts_of_jobs(shipped, held)
