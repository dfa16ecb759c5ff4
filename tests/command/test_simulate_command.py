"""`whichresin simulate`: one JSON document, a picture on request, and bad options as one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from whichresin.command.main import run


def test_json_and_picture(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Standard output holds the document and nothing else; no progress bar away from a terminal."""
    picture, keep = tmp_path / "r.svg", tmp_path / "k.jsonl"
    args = ["simulate", "--interviews", "3", "--seed", "5", "--misfit", "errs=1.5", "bursts=1"]
    assert run([*args, "--json", "--picture", str(picture), "--resume", str(keep)]) == 0
    out, err = capsys.readouterr()
    said = json.loads(out)
    assert said["schema"] == 1 and said["interviews"] == 3 and said["misfit"] == {"errs": 1.5, "bursts": 1.0}
    assert err == "" and picture.read_text().startswith("<svg")
    assert run([*args, "--resume", str(keep)]) == 0
    assert capsys.readouterr().out.startswith("3 interviews\n")


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--misfit", "luck=2"], "'luck=2' is no misfit"),
        (["--interviews", "0"], "--interviews must be"),
        (["--jobs", "0"], "--jobs must be"),
        (["--part", "no-such-part"], "kind of part"),
        (["--misfit", "missing=900"], "leaves no material"),
        (["--picture", "/no/such/folder/a.svg"], "name another file"),
    ],
)
def test_bad_options(args: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 2 and one sentence on standard error."""
    assert run(["simulate", "--interviews", "1", *args]) == 2
    out, err = capsys.readouterr()
    assert out == "" and said in err and err.count("\n") == 1
