"""Failure patterns: the standard's terms, evidence that the knowledge has, words as a person says them."""

from __future__ import annotations

from pathlib import Path

import pytest

from whichresin.knowledge.model import Model
from whichresin.repair.failure import BadFailures, find_patterns, load_failures
from whichresin.session.events import Answered
from whichresin.session.interview import consult
from whichresin.session.reopened import reopen
from whichresin.session.state import State

FAILURES = load_failures()
# Main failure patterns that ISO 10365:2022 designates, as its abstract and scope name them.
ISO_10365 = ("adhesive", "cohesive", "substrate", "delamination")


def told(**answers: str) -> State:
    state = State()
    for cue, value in answers.items():
        state = state.with_answer(Answered(cue, value))
    return state


def test_the_terms_are_those_of_the_standard() -> None:
    """ISO 10365 covers adhesive, cohesive and substrate failure and delamination; each is here, under its own name."""
    terms = [pattern.term for pattern in FAILURES.patterns.values()]
    for word in ISO_10365:
        assert any(word in term for term in terms), word
    outside = [one.id for one in FAILURES.patterns.values() if not any(word in one.term for word in ISO_10365)]
    assert outside == ["weld_open"] and "not in ISO 10365" in FAILURES.patterns["weld_open"].term


def test_every_pattern_says_what_to_ask_and_what_to_change() -> None:
    """A cause without a step to change leaves the repairer where he was; sources exist."""
    sources = Path(__file__).parents[2] / "shared" / "sources.yaml"
    known = sources.read_text(encoding="utf-8")
    for pattern in FAILURES.patterns.values():
        for cause in pattern.causes:
            assert cause.ask.endswith(("?", ".")) and cause.change and cause.step
            for source in (*cause.source, *pattern.source):
                assert source in ("common practice", "from memory", "physics") or f"\n  {source}: " in known, source


def test_evidence_is_an_answer_that_the_knowledge_has(shipped: Model) -> None:
    """A pattern that told an unknown answer could never reopen anything."""
    for pattern in FAILURES.patterns.values():
        if pattern.evidence is not None:
            cue, value = pattern.evidence
            assert value in {one.id for one in shipped.cues[cue].values}, pattern.id


def test_patterns_that_say_nothing_of_the_plastic_bring_no_evidence() -> None:
    """Soft spots, a lifted rim and a patch that came off with the paint are faults of the work."""
    for name in ("soft_spots", "edge_lifted", "came_with_paint", "thin_film"):
        assert FAILURES.patterns[name].evidence is None


@pytest.mark.parametrize(
    ("words", "id"),
    [
        ("bare substrate with clean repair material", "bare_face"),
        ("Peeled off clean", "bare_face"),
        ("torn repair material", "torn_repair"),
        ("glue on both sides", "torn_repair"),
        ("torn substrate", "torn_substrate"),
        ("it broke right next to the patch", "torn_substrate"),
        ("edge lifted", "edge_lifted"),
        ("soft spots", "soft_spots"),
        ("fibres pulled out", "fibres_pulled"),
        ("fibers pulled out", "fibres_pulled"),
        ("promoter film on the adhesive side", "promoter_film"),
        ("came off with the paint", "came_with_paint"),
        ("torn_repair", "torn_repair"),
    ],
)
def test_words_are_understood_as_people_say_them(words: str, id: str) -> None:
    """Exactly the pattern meant, and no second one."""
    assert [one.id for one in find_patterns(FAILURES, words)] == [id]


@pytest.mark.parametrize("words", ["banana", "", "   ", "x" * 500])
def test_words_that_mean_no_pattern_mean_none(words: str) -> None:
    """A pattern made up from noise would send someone after a fault that is not there."""
    assert find_patterns(FAILURES, words) == []


def test_a_clean_bare_face_raises_the_belief_in_a_polyolefin(shipped: Model) -> None:
    """Interfacial failure on what was taken for a glassy plastic is evidence for a polyolefin."""
    state = told(float_in_water="sinks", grind="clumps")
    found = reopen(shipped, state, *(FAILURES.patterns["bare_face"].evidence or ("", "")))
    cells = {one.id: one for one in found.cells}
    assert cells["polyolefin"].after > 1.5 * cells["polyolefin"].before
    assert cells["glassy"].after < cells["glassy"].before


def test_a_torn_part_lowers_it(shipped: Model) -> None:
    """Where the plastic tears, the adhesive gripped: hardly a polyolefin."""
    found = reopen(shipped, told(float_in_water="floats"), "old_repair", "tore_plastic")
    polyolefin = next(one for one in found.cells if one.id == "polyolefin")
    assert polyolefin.after < polyolefin.before


def test_the_comparison_is_two_plain_interviews(shipped: Model) -> None:
    """Nothing but one more answer: both sides equal an interview held from scratch."""
    state = told(float_in_water="sinks", grind="powder")
    found = reopen(shipped, state, "old_repair", "peeled_clean")
    plain = consult(shipped, state.with_answer(Answered("old_repair", "peeled_clean")))
    now = {chance.id: chance.probability for chance in plain.cells}
    before = {chance.id: chance.probability for chance in consult(shipped, state).cells}
    for moved in found.cells:
        assert moved.after == pytest.approx(now[moved.id]) and moved.before == pytest.approx(before[moved.id])


def test_a_pattern_told_twice_counts_once(shipped: Model) -> None:
    """An answers file that holds it already is compared with itself without it."""
    state = told(float_in_water="sinks")
    again = state.with_answer(Answered("old_repair", "peeled_clean"))
    assert reopen(shipped, state, "old_repair", "peeled_clean") == reopen(shipped, again, "old_repair", "peeled_clean")


def test_an_answer_that_does_not_exist_is_refused(shipped: Model) -> None:
    """A slip in the knowledge is told, not swallowed."""
    with pytest.raises(ValueError, match="no answer to old_repair"):
        reopen(shipped, State(), "old_repair", "exploded")


def test_faults_in_the_file_are_told_with_their_place(tmp_path: Path) -> None:
    """A trainer who forgets a key is told where."""
    path = tmp_path / "failures.yaml"
    path.write_text("about: x\npatterns:\n  - {id: a, name: a, words: [a], look: a, means: a, causes: [], source: x}\n")
    with pytest.raises(BadFailures, match=r"failures.yaml:3:.*without term"):
        load_failures(str(path))
