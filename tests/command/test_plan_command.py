"""`whichresin plan` as a user runs it: text at two widths, JSON for scripts, one sentence for bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from whichresin.command.main import run
from whichresin.session.events import Answered
from whichresin.session.journal import Journal, folder
from whichresin.session.state import State

COVER = """\
part: engine cover
damage: crack 40 mm
context: no sensor
shop: [adhesive, promoter, mesh]
answers:
  duty: none_of_these
  condition: sound
  float_in_water: sinks
  marking: ">PP-TD20<"
"""


@pytest.fixture
def cover(tmp_path: Path) -> str:
    """An answers file of the invented workshop."""
    path = tmp_path / "cover.yaml"
    path.write_text(COVER, encoding="utf-8")
    return str(path)


def document(args: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    assert run(["plan", *args, "--json"]) == 0
    said = capsys.readouterr()
    found: dict[str, object] = json.loads(said.out)
    assert found["schema"] == 1 and said.err == ""
    return found


def test_json_from_a_file(cover: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One document and nothing else."""
    plan = document(["--answers", cover], capsys)
    assert (plan["decision"], plan["process"], plan["promoter"]) == ("repair", "two_part_adhesive", "required")
    assert plan["understood"]["damage"]["length_mm"] == 40.0  # type: ignore[index]


def test_words_given_as_options_win(cover: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A script can ask for variants without writing files."""
    plan = document(["--answers", cover, "--context", "in front of the radar", "--damage", "hole 3 cm"], capsys)
    assert plan["decision"] == "test_more" and plan["gate"] == "not_known"
    plan = document(["--answers", cover, "--part", "fuel tank"], capsys)
    assert plan["decision"] == "replace" and plan["steps"] == []


@pytest.mark.parametrize("columns", [80, 40])
def test_text_fits_the_width_and_says_the_decision_first(
    cover: str, columns: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Decision and reason on top; every caution stands before its step."""
    monkeypatch.setenv("COLUMNS", str(columns))
    assert run(["plan", "--answers", cover]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= columns
    assert "The plan: repair it" in lines[1]
    text = " ".join(" ".join(lines).split())
    assert text.index("Why:") < text.index("Must not") < text.index("Steps: Before")
    assert text.index("Extract at the tool") < text.index("Abrade the back")
    assert text.index("mostly flammable") < text.index("Put one or two light coats")


def test_a_referred_part_gets_reasons_and_no_steps(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing that could be read as leave to repair."""
    path = tmp_path / "seat.yaml"
    path.write_text("part: child seat\nanswers: {duty: restraint}\n", encoding="utf-8")
    assert run(["plan", "--answers", str(path)]) == 0
    text = capsys.readouterr().out
    assert "refer it" in text and "Steps:" not in text and "Do not bond" in text


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("damage: crack 40", "no unit"),
        ("damage: crack -3 cm", "no size"),
        ("context: room 300 C", "no temperature"),
        ("answers: {duti: none_of_these}", "did you mean 'duty'"),
    ],
)
def test_bad_input_is_one_sentence(
    line: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2, on standard error, with what to do instead."""
    path = tmp_path / "bad.yaml"
    path.write_text(f"{line}\n", encoding="utf-8")
    assert run(["plan", "--answers", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and told in said.err


def test_an_unknown_kind_of_part_is_said_with_the_nearest_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not an error: the gate then rests on the answer to what the part does."""
    path = tmp_path / "odd.yaml"
    path.write_text("part: xylophone\nanswers: {duty: none_of_these, condition: sound}\n", encoding="utf-8")
    plan = document(["--answers", str(path)], capsys)
    assert any("xylophone" in sentence for sentence in plan["understood"]["missing"])  # type: ignore[index]


def test_from_an_interview_of_the_journal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Finished or not: what was answered counts, the damage comes as an option."""
    monkeypatch.setenv("WHICHRESIN_DATA", str(tmp_path / "journals"))
    assert run(["plan", "--interview", "1"]) == 2
    assert "no interview has been held" in capsys.readouterr().err
    journal = Journal.start(folder(), "key", State())
    for cue, value in (("part", "engine cover"), ("duty", "none_of_these"), ("condition", "sound"),
                       ("marking", ">PP-TD20<"), ("float_in_water", "sinks")):  # fmt: skip
        journal.write(Answered(cue, value))
    journal.finish()
    plan = document(["--interview", "1", "--damage", "crack 4 cm"], capsys)
    assert plan["decision"] == "repair" and plan["promoter"] == "required"
    assert run(["plan", "--interview", "2"]) == 2
    assert "there is no interview 2" in capsys.readouterr().err


def test_a_part_that_could_be_two_things_says_how_to_say_which(cover: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Referred as the safe kind until somebody says; the words to write stand there, and they are understood."""
    assert run(["plan", "--answers", cover, "--part", "steering rack boot"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "do you mean steering or pedal part, or bellows or boot, or something else?" in text
    assert "write the part as 'steering rack boot = bellows or boot'" in text
    plan = document(["--answers", cover, "--part", "steering rack boot"], capsys)
    assert plan["decision"] == "refer"
    assert plan["understood"]["part"]["do_you_mean"] == ["steering or pedal part", "bellows or boot"]  # type: ignore[index]
    said = document(["--answers", cover, "--part", "steering rack boot = bellows or boot"], capsys)
    assert said["understood"]["part"]["kind"] == "bellows"  # type: ignore[index]
    assert said["decision"] == "test_more"  # the words still speak of steering, so the duty is asked


def test_a_part_that_is_not_known_names_what_is(cover: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Not forced onto the nearest: parts that share a word are named, and the plan goes by the answers."""
    plan = document(["--answers", cover, "--part", "sewage gizmo"], capsys)
    said = plan["understood"]["missing"]  # type: ignore[index]
    assert "'sewage gizmo' is no kind of part known here; known are sewage tank." in said
    plan = document(["--answers", cover, "--part", "kubersnack"], capsys)
    assert plan["understood"]["part"]["kind"] is None  # type: ignore[index]
    assert "'kubersnack' is no kind of part known here; say it in other words." in plan["understood"]["missing"]  # type: ignore[index]
