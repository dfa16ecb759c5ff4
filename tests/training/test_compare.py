"""`whichresin compare`: every change is named once, with what changed, and nothing that only moved."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from whichresin.command.main import run
from whichresin.knowledge.paths import shipped

TRANSCRIPTS = Path(__file__).parents[2] / "transcripts"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A whole knowledge of one's own, the same as the shipped one."""
    places = shipped()
    shutil.copytree(places.knowledge, tmp_path / "knowledge")
    shutil.copytree(places.shared, tmp_path / "shared")
    return tmp_path / "knowledge"


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def said(capsys: pytest.CaptureFixture[str]) -> list[str]:
    return capsys.readouterr().out.splitlines()


def test_the_same_is_the_same(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 0 and one line, however the folders are called."""
    assert run(["compare", "shipped", str(copy)]) == 0
    assert said(capsys) == ["no row differs"]


def test_each_change_is_named_with_its_part(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rule, cue, material: the words that changed and no others; a removed file's rules one by one."""
    change(copy / "rules" / "foam.yaml", "because: ", "because: Well, ")
    change(copy / "cues" / "grind.yaml", "minutes: 2", "minutes: 3")
    change(copy / "cues" / "grind.yaml", "smears: usually", "smears: often")
    change(copy / "materials" / "polymers" / "pp.yaml", "weldable: yes", "weldable: doubtful")
    (copy / "rules" / "unknown.yaml").unlink()
    assert run(["compare", "shipped", str(copy)]) == 1
    lines = said(capsys)
    assert "changed  cues      grind: minutes, expectations" in lines
    assert "changed  materials PP: weldable" in lines
    assert [line.split()[1] for line in lines if line.startswith("changed")] == ["rules", "cues", "materials"]
    assert [line.split()[0] for line in lines].count("removed") == len(lines) - 3 > 0


def test_a_new_material_shifts_nothing_else(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Compounds are numbered; what only got another number did not change."""
    pack = copy.parent / "pack" / "materials" / "polymers"
    pack.mkdir(parents=True)
    (pack / "aaa.yaml").write_text(
        "id: AAA\nsymbol: AAA\nname: an invented resin\nclass: thermoplastic\nfamily: invented\ncell: polar\nshare: 1\n"
        "share_source: from memory\ndensity_g_cm3: {low: 1.1, high: 1.2, source: from memory}\nweldable: yes\n"
        "source: from memory\ncompounds:\n  - {filler: none, share: 1, source: from memory}\n",
        encoding="utf-8",
    )
    assert run(["compare", "shipped", str(copy.parent / "pack")]) == 1
    lines = said(capsys)
    assert lines == ["added    materials AAA"]


def test_the_effect_on_transcripts(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A trainer sees which recorded interview comes out otherwise, and by which rule."""
    (copy / "rules" / "rubber.yaml").unlink()
    assert run(["compare", "shipped", str(copy), "--transcripts", str(TRANSCRIPTS), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["same"] + len(found["effects"]) == len(list(TRANSCRIPTS.glob("*.yaml")))
    gone = {change["id"] for change in found["changes"]}
    for effect in found["effects"]:
        assert {text.removeprefix("no longer says: ") for text in effect["other"] if "no longer" in text} <= gone


@pytest.mark.parametrize("args", [["shipped", "nowhere"], ["nowhere", "shipped"]])
def test_a_folder_that_is_not_there(args: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence."""
    assert run(["compare", *args]) == 2
    assert "nowhere: there is no such folder" in capsys.readouterr().err


def test_a_folder_with_errors(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The first error with its place, and how to see the rest."""
    change(copy / "cues" / "grind.yaml", "hazard: low", "hazard: lo")
    assert run(["compare", "shipped", str(copy)]) == 2
    assert "hazard is 'lo'" in capsys.readouterr().err
