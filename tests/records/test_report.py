"""How often it held: Wilson's interval against published values and scipy; only the latest outcome counts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from whichresin.records.report import report, wilson
from whichresin.records.rows import Job, Kept, Outcome

# R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (score without continuity correction).
NEWCOMBE = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]


def kept(number: int, decision: str = "repair", cell: str = "polar", *outcomes: Outcome) -> Kept:
    job = Job("part", decision, "two_part_adhesive", cell, "PA66", 0.9, "key", {})
    return Kept(number, "2026-06-01T09:00:00+00:00", job, outcomes=outcomes)


@pytest.mark.parametrize(("held", "known", "low", "high"), NEWCOMBE)
def test_the_interval_is_the_published_one(held: int, known: int, low: float, high: float) -> None:
    """Four published intervals, to the fourth digit."""
    assert [round(end, 4) for end in wilson(held, known)] == [low, high]


@given(st.integers(1, 400), st.data())
def test_the_interval_is_scipys(known: int, data: st.DataObject) -> None:
    """An independent library, over all shares."""
    held = data.draw(st.integers(0, known))
    theirs = binomtest(held, known).proportion_ci(0.95, method="wilson")
    assert wilson(held, known) == (pytest.approx(theirs.low, abs=1e-9), pytest.approx(theirs.high, abs=1e-9))


def test_nothing_known_leaves_everything_open() -> None:
    """No jobs, no claim."""
    assert wilson(0, 0) == (0.0, 1.0)
    with pytest.raises(ValueError, match="no share"):
        wilson(3, 2)


def test_counts_are_by_hand() -> None:
    """Three known identifications of five jobs, one of them corrected later; a referred part is no repair."""
    jobs = [
        kept(1, "repair", "polar", Outcome("held", "held")),
        kept(
            2, "repair", "polar", Outcome("held", "held"), Outcome("wrong", "failed", really="PP", pattern="bare_face")
        ),
        kept(3, "repair", "laminate", Outcome("held", "not_known")),
        kept(4, "repair", "laminate"),
        kept(5, "refer", "polar"),
    ]
    found = report(jobs)
    assert (found.jobs, found.identification.held, found.identification.known) == (5, 2, 3)
    assert found.identification.not_known == 2 and found.identification.stated == pytest.approx(0.9)
    assert (found.repair.held, found.repair.known, found.repair.not_known) == (1, 2, 2)
    assert [(one.name, one.held, one.known) for one in found.by_cell] == [("laminate", 1, 1), ("polar", 1, 2)]
    assert found.patterns == (("bare_face", 1),) and found.confused == (("PA66", "PP", 1),)
    assert found.as_json()["identification"]["method"] == "Wilson score interval, 95 %"
