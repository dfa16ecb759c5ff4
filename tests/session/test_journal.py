"""A journal holds every answer on the disk, and is read back whatever happened to its last line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.session.events import Allowed, Answered, AtBench, Declined, Event, Noted, TakenBack
from whichresin.session.journal import Journal, JournalError, as_data, folder, from_data, read, recorded_in
from whichresin.session.state import USUAL_CELSIUS, State, fold

EVENTS: list[Event] = [
    Answered("part", "hood"),
    Answered("look", ("waxy", "opaque"), "low"),
    Answered("float_liquids", ((1.1, "sinks"), (1.19, "floats"))),
    Answered("density_measured", 1.37, "high", 0.01),
    Declined("grind"),
    TakenBack(),
    Allowed("burn"),
    AtBench(18.0),
    Noted("a word with a line\nbreak"),
]


def written(folder: Path) -> Path:
    journal = Journal.start(folder, "key", State(shop=("welder",)))
    for event in EVENTS:
        journal.write(event)
    journal.close()
    return journal.path


def test_what_was_written_is_read_back(tmp_path: Path) -> None:
    """Every kind of event, in order, with its types."""
    recorded = read(written(tmp_path))
    assert list(recorded.events) == EVENTS
    assert (recorded.knowledge, recorded.shop, recorded.finished, recorded.cut) == ("key", ("welder",), False, False)


@given(st.data())
def test_a_journal_cut_anywhere_loses_at_most_its_last_event(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """The machine may die in the middle of a line: all whole lines before it must come back."""
    path = written(tmp_path_factory.mktemp("journal"))
    raw = path.read_bytes()
    head = raw.index(b"\n") + 1
    cut = data.draw(st.integers(head, len(raw)))
    path.write_bytes(raw[:cut])
    whole = raw[head:cut].count(b"\n")
    events = list(read(path).events)
    assert events[:whole] == EVENTS[:whole]
    assert len(events) <= whole + 1


def test_a_cut_journal_can_be_gone_on_with(tmp_path: Path) -> None:
    """The next event must not be glued to the half line."""
    path = written(tmp_path)
    path.write_bytes(path.read_bytes()[:-5])
    journal = Journal.reopen(read(path))
    journal.write(Declined("nail"))
    journal.close()
    assert list(read(path).events) == [*EVENTS[:-1], Declined("nail")]


def test_two_interviews_at_once_keep_two_journals(tmp_path: Path) -> None:
    """Started in the same second they must not share a file."""
    first = Journal.start(tmp_path, "a", State())
    second = Journal.start(tmp_path, "b", State())
    assert first.path != second.path
    first.close(), second.finish()
    assert sorted(r.finished for r in recorded_in(tmp_path)) == [False, True]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"hello\n", "is not a journal"),
        (b'{"whichresin_journal": 99}\n', "this version reads format 1"),
        (b"", "is not"),
    ],
)
def test_other_files_are_refused_in_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    """A foreign file, or a journal of another version, is named as such."""
    path = tmp_path / "x.journal"
    path.write_bytes(content)
    with pytest.raises(JournalError, match=words):
        read(path)


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """A file stands where the folder should be: one sentence, no traceback."""
    (tmp_path / "file").write_text("")
    with pytest.raises(JournalError, match="no journal can be kept"):
        Journal.start(tmp_path / "file" / "deeper", "key", State())


@pytest.mark.parametrize("event", EVENTS)
def test_events_survive_as_plain_data(event: Event) -> None:
    """as_data and from_data are inverse."""
    assert from_data(as_data(event)) == event


def test_a_full_disk_is_named_and_not_swallowed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A half-written line or an error of the disk becomes one sentence; the caller decides to go on without."""
    journal = Journal.start(tmp_path, "key", State())
    monkeypatch.setattr("os.write", lambda descriptor, line: len(line) - 1)
    with pytest.raises(JournalError, match="the disk is full"):
        journal.write(Declined("grind"))


def test_a_relative_data_folder_is_ignored(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As the XDG Base Directory Specification wants it: only absolute paths count."""
    monkeypatch.delenv("WHICHRESIN_DATA")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert folder() == tmp_path / "whichresin"
    monkeypatch.setenv("XDG_DATA_HOME", "data")
    assert folder().is_absolute()


def test_one_interview_is_held_in_one_window(tmp_path: Path) -> None:
    """Two windows on one journal would mix their answers: a fuel tank in one, none of these in the other."""
    journal = Journal.start(tmp_path, "key", State())
    with pytest.raises(JournalError, match="open in another window"):
        Journal.reopen(read(journal.path))
    journal.close()
    again = Journal.reopen(read(journal.path))
    with pytest.raises(JournalError, match="open in another window"):
        Journal.reopen(read(journal.path))
    again.write(Declined("grind"))
    again.close()
    assert read(journal.path).events == (Declined("grind"),)


def test_the_temperature_of_the_bench_is_kept_and_its_absence_is_the_usual_one(tmp_path: Path) -> None:
    """A resumed interview makes its liquids for the bench they stand on; a journal without one was held at 23 C."""
    recorded = read(written(tmp_path / "told"))
    assert fold(recorded.events).celsius == 18.0
    path = tmp_path / "old.journal"
    path.write_bytes(b"\n".join(line for line in recorded.path.read_bytes().split(b"\n") if b"bench" not in line))
    old = read(path)
    assert not old.cut and list(old.events) == [event for event in EVENTS if not isinstance(event, AtBench)]
    assert fold(old.events).celsius == USUAL_CELSIUS
    started = Journal.start(tmp_path / "cold", "key", State(celsius=12.0))
    started.close()
    assert fold(read(started.path).events).celsius == 12.0
