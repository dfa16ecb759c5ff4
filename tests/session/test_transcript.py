"""A transcript holds an interview as it went, is read back as it was written, and says what changed."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.session.answers import read_answers
from whichresin.session.consult import glance, stand
from whichresin.session.course import course, new_desk
from whichresin.session.events import Allowed, Answered, AtBench, Declined, Event, Noted, PutOff, TakenBack, WhatIf
from whichresin.session.journal import Journal
from whichresin.session.kept import find, save_transcript
from whichresin.session.record import recorded, transcript_from
from whichresin.session.replay import replay
from whichresin.session.state import State, fold
from whichresin.session.transcript import read_transcript
from whichresin.session.values import BadAnswers
from whichresin.session.weighed import Desk

EVENTS: list[Event] = [
    Answered("part", "hood"),
    Declined("marking"),
    Answered("duty", "none_of_these"),
    Answered("look", ("opaque", "no_fibres"), "low"),
    Allowed("solvent"),
    Answered("grind", "powder"),
    TakenBack(),
    WhatIf("grind", "smears"),
    Answered("grind", "smears"),
    Answered("grind", "clumps", "high"),
    Answered("float_liquids", ((1.1, "floats"), (1.02, "sinks"))),
    Answered("density_measured", 1.05, "medium", 0.004),
    Noted("drips: no; <b>'quoted'</b>"),
    PutOff("nail"),
    Declined("nail"),
    AtBench(18.5),
]


@pytest.fixture(scope="module")
def desk(shipped: Model) -> Desk:
    return new_desk(shipped)


def written(model: Model, events: list[Event], folder: Path) -> Path:
    path = folder / "one.yaml"
    path.write_text(recorded(new_desk(model), transcript_from(events, ("welder",), "decision")), encoding="utf-8")
    return path


def test_every_event_comes_back_in_order(shipped: Model, tmp_path: Path) -> None:
    """What was taken back, changed, tried and noted is part of the record, not only what counts in the end."""
    path = written(shipped, EVENTS, tmp_path)
    transcript = read_transcript(shipped, path)
    assert transcript.events == EVENTS
    assert read_answers(shipped, path).state == fold(EVENTS, State(shop=("welder",)))
    assert transcript.knowledge["key"] == shipped.key


def test_recording_again_gives_the_same_bytes(shipped: Model, tmp_path: Path) -> None:
    """Same knowledge, same bytes, on a warm desk and on a fresh one."""
    path = written(shipped, EVENTS, tmp_path)
    desk = new_desk(shipped)
    assert replay(desk, path).differences == replay(desk, path).differences == ()
    assert replay(desk, path).text == path.read_text(encoding="utf-8")


def test_how_an_answer_came_about_is_told(shipped: Model) -> None:
    """Asked, volunteered, changed: a reader can see who led."""
    moments = course(new_desk(shipped), State(), EVENTS)
    told = {(m.cue, m.how) for m in moments if m.how}
    assert ("grind", "changed") in told and ("look", "volunteered") in told
    assert moments[6].cue == "grind"  # what was taken back
    assert moments[7].after != moments[6].after  # a what-if shows where it would lead
    assert moments[12].after == moments[11].after  # a note leads nowhere


@settings(max_examples=8)
@given(st.lists(st.sampled_from(EVENTS), max_size=6))
def test_the_short_of_a_result_says_what_the_result_says(desk: Desk, events: list[Event]) -> None:
    """The quick look after each step must never differ from the whole result."""
    state = fold(events)
    short, whole = glance(desk, state), stand(desk, state)
    asked = whole.gate_question or whole.next
    assert short.status == whole.status and short.gate == whole.gate.state
    assert short.class_chances == whole.class_chances and short.none_of_these == whole.none_of_these
    assert short.polymers == whole.polymers and short.cells == whole.cells
    assert short.asks == (asked.cue if asked else "")


def test_changed_conclusions_are_told_step_by_step(desk: Desk, shipped: Model, tmp_path: Path) -> None:
    """Class, leading polymer, confidence and next question, before and now; a key alone is no difference."""
    path = written(shipped, EVENTS, tmp_path)
    text = path.read_text(encoding="utf-8")
    key = text.replace(shipped.key, "another")
    path.write_text(key, encoding="utf-8")
    assert replay(desk, path).differences == ()
    other = key.replace("polymer: ABS", "polymer: PS").replace("asks: condition", "asks: sound")
    assert other != key
    path.write_text(other, encoding="utf-8")
    found = replay(desk, path).differences
    assert "step 3, duty = none_of_these: asks next sound -> condition" in found
    assert any("grind = clumps" in line and "polymer PS" in line and "-> ABS" in line for line in found)


def test_questions_that_are_gone_are_told_and_left_out(desk: Desk, shipped: Model, tmp_path: Path) -> None:
    """Under other knowledge a record is still read: what it no longer has is a difference, not an error."""
    path = written(shipped, EVENTS, tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace("answered: look", "answered: colour"), encoding="utf-8")
    found = replay(desk, path).differences
    assert "answered colour" in found[0] and "there is no cue 'colour'" in found[0]
    with pytest.raises(BadAnswers, match="there is no cue 'colour'"):
        read_answers(shipped, path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("answers: {grind: powder}", "no transcript of an interview"),
        ("transcript: 9\nsteps: []", "reads format 1"),
        ("transcript: 1\nstep: []", "'step' is not a key of a transcript; did you mean 'steps'?"),
        ("transcript: 1\nsteps:\n- {said: grind}", "a step starts with its event"),
        ("transcript: 1\nsteps:\n- {answered: grind}", "answered grind has no value"),
        ("transcript: 1\nsteps:\n- {bench: warm}", "is no temperature"),
        ("transcript: 1\nsteps:\n- {answered: grind, value: smear}", "did you mean 'smears'?"),
    ],
)
def test_a_bad_transcript_is_one_sentence_with_its_place(
    shipped: Model, tmp_path: Path, text: str, words: str
) -> None:
    """File, line, column, what is wrong, what instead."""
    path = tmp_path / "bad.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadAnswers) as caught:
        read_transcript(shipped, path)
    assert str(caught.value).startswith(f"{path}:") and words in str(caught.value)


@settings(max_examples=12)
@given(text=st.text(max_size=60))
def test_no_free_text_breaks_its_record(desk: Desk, tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    """Notes may hold anything that a keyboard or a paste gives; the record is read back and recorded the same."""
    path = tmp_path_factory.mktemp("notes") / "one.yaml"
    path.write_text(recorded(desk, transcript_from([Noted(text)], (), "decision")), encoding="utf-8")
    assert replay(desk, path).differences == ()


def test_a_finished_journal_is_saved_beside_it(shipped: Model, tmp_path: Path) -> None:
    """Found again by number and by name; a wrong name is one sentence."""
    journal = Journal.start(tmp_path, shipped.key, State(shop=("welder",)))
    for event in EVENTS:
        journal.write(event)
    journal.finish()
    path = save_transcript(shipped, journal.path)
    assert path == journal.path.with_suffix(".yaml")
    transcript = read_transcript(shipped, path)
    assert transcript.events == EVENTS and transcript.shop == ("welder",) and transcript.started
    assert find(tmp_path, "1") == find(tmp_path, path.stem)
    with pytest.raises(LookupError, match="there is no finished interview 'x'"):
        find(tmp_path, "x")
