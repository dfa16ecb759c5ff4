"""`whichresin drill` and `learn` as a person uses them: lines in, lines out, files kept."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from whichresin.command.main import run

TRAY = 'plaques:\n  - {id: "1", compound: PP, proven_by: own weighing}\n'


def _type(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def test_a_whole_part(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Tests by name or number, a hazard refused, a claim, a judgement; the file holds the attempt."""
    out = tmp_path / "me.json"
    _type(monkeypatch, "look", "float in watr", "flame", "no", "so far", "name", "1", "80", "PP", "60 %", "1")
    assert run(["drill", "--number", "1", "--seed", "4", "--name", "12", "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "Do it all the same?" in said and "Left undone." in said and "points" in said
    assert said.index("danger:") < said.index("Do it all the same?")
    (part,) = json.loads(out.read_text())["parts"]
    assert [test["cue"] for test in part["tests"]] == ["look", "float_in_water"]
    assert run(["drill", "--summary", str(out)]) == 0
    assert capsys.readouterr().out.startswith("12:\n  1 parts:")


def test_leaving_keeps_what_was_finished(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The input ends in the middle of the second card: the first one is in the file."""
    out = tmp_path / "me.json"
    _type(monkeypatch, "3")
    assert run(["drill", "--level", "gate", "--number", "5", "--out", str(out)]) == 0
    assert "what was finished is kept" in capsys.readouterr().out
    assert len(json.loads(out.read_text())["gate"]) == 1


def test_one_test_cards_and_json(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """With --json standard output holds one document; the dialogue goes to standard error."""
    _type(monkeypatch, "9", "1", "1")
    assert run(["drill", "--level", "one-test", "--number", "2", "--json"]) == 0
    out, err = capsys.readouterr()
    assert len(json.loads(out)["cards"]) == 2 and "Type a number from 1 to 4" in err


def test_counts_from_the_bench_become_a_proposal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Twelve hands-on looks at a plaque that powders although it is PP: learn proposes, check accepts the pack."""
    tray, counts, pack = tmp_path / "tray.yaml", tmp_path / "counts.json", tmp_path / "pack"
    tray.write_text(TRAY)
    for _ in range(12):
        _type(monkeypatch, "grind", "6", "leave")
        args = ["drill", "--tray", str(tray), "--plaque", "1", "--hands-on", "--counts", str(counts)]
        assert run(args) == 0
    assert json.loads(counts.read_text())["counts"]["grind"]["PP"]["looks"] == 12
    capsys.readouterr()
    assert run(["learn", str(counts), "--write", str(pack)]) == 0
    said = capsys.readouterr().out
    assert "does not fit" in said and "+  - for: {compound: PP}" in said
    assert run(["check", str(pack)]) == 0
    capsys.readouterr()
    assert run(["learn", str(counts), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["changes"][0]["file"] == "cues/grind.yaml"


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["drill", "--number", "0"], "--number must be"),
        (["drill", "--hands-on"], "--hands-on needs --tray"),
        (["drill", "--counts", "c.json"], "--counts goes with --hands-on"),
        (["drill", "--plaque", "1"], "--plaque needs --tray"),
        (["drill", "--tray", "no-such.yaml"], "no-such.yaml"),
        (["drill", "--summary", "no-such.json"], "name another file"),
        (["drill", "--knowledge", "no-such-folder"], "no-such-folder"),
        (["learn", "no-such.json"], "name another file"),
        (["learn", "x", "--least", "0"], "--least must be"),
        (["learn", "x", "--weight", "nan"], "--weight must be"),
    ],
)
def test_bad_options(args: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 2 and one sentence on standard error."""
    assert run(args) == 2
    out, err = capsys.readouterr()
    assert out == "" and said in err and err.count("\n") == 1
