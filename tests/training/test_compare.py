"""`whichresin compare`: every change is named once, with what changed, and nothing that only moved."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from whichresin.command.main import run
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.knowledge.paths import shipped
from whichresin.training.compare_played import compare_played, truth_for
from whichresin.training.misfit import without

TRANSCRIPTS = Path(__file__).parents[2] / "transcripts"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A whole knowledge of one's own, the same as the shipped one."""
    places = shipped()
    shutil.copytree(places.knowledge, tmp_path / "knowledge")
    shutil.copytree(places.shared, tmp_path / "shared")
    return tmp_path / "knowledge"


@pytest.fixture
def model() -> Model:
    found = load().model
    assert found is not None
    return found


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
    assert run(["compare", "shipped", str(copy), "--interviews", "0"]) == 1
    lines = said(capsys)
    after = next(place for place, line in enumerate(lines) if line.endswith("come out otherwise"))
    lines = lines[:after]
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
    assert run(["compare", "shipped", str(copy.parent / "pack"), "--interviews", "0"]) == 1
    first, second = said(capsys)
    assert first == "added    materials AAA"
    assert second.startswith("0 of ") and second.endswith("examples and near misses come out otherwise")


def test_the_effect_on_transcripts(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A trainer sees which recorded interview comes out otherwise, and by which rule."""
    (copy / "rules" / "rubber.yaml").unlink()
    assert run(["compare", "shipped", str(copy), "--transcripts", str(TRANSCRIPTS), "--interviews", "0", "--json"]) == 1
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


def test_the_effect_on_examples(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A rule that is made stricter: the case that it loses is named, with what no longer follows, and nothing else."""
    change(
        copy / "rules" / "old-repair.yaml", "{old_repair: peeled_clean}]", "{old_repair: peeled_clean}, {flex: rigid}]"
    )
    assert run(["compare", "shipped", str(copy), "--interviews", "0", "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert [(one["kind"], one["id"]) for one in found["changes"]] == [("rules", "peeled-whole")]
    effects = found["cases"]["effects"]
    assert found["cases"]["run"] > 900 and found["played"] is None
    assert {(one["rule"], one["what"]) for one in effects} >= {("peeled-whole", "example")}
    for one in effects:
        assert "old_repair = peeled_clean" in one["given"] and not one["now"]
        assert "old_failure = at_the_face" in one["no_longer"]


def test_the_effect_on_simulated_interviews(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same parts with both; a seed gives the same report again, and so few interviews say so."""
    change(copy / "cues" / "float_in_water.yaml", "minutes: ", "minutes: 1")
    args = ["compare", "shipped", str(copy), "--interviews", "2", "--seed", "2"]
    assert run([*args, "--json"]) == 1
    played = json.loads(capsys.readouterr().out)["played"]
    assert played["interviews"] == 2 and len(played["listed"]) == played["otherwise"] > 0
    assert played["before"]["cost_minutes"] != played["after"]["cost_minutes"]
    assert run(args) == 1
    text = capsys.readouterr().out
    assert f"seed 2, parts drawn as NEW has them: {played['otherwise']} end otherwise" in text
    assert "Fewer than 500 interviews" in text
    for one in played["listed"]:
        assert f"part {one['index']}, {one['material']}: {one['before']}" in text


def test_both_can_be_held_on_the_same_parts(model: Model) -> None:
    """A cue, an answer and a material that only one of the two knows: interviews are held all the same."""
    kept = {id: cue for id, cue in model.cues.items() if id != "look"}
    grind = model.cues["grind"]
    values = (replace(grind.values[0], id="crumbles_away"), *grind.values[1:])
    new = replace(model, key="new", cues={**kept, "grind": replace(grind, values=values)})
    old = without(model, frozenset(["ABS"]))
    truth = truth_for(old, new)
    assert truth.cues.keys() == old.cues.keys() and truth.cues["flex"] is new.cues["flex"]
    assert truth.cues["grind"].values == old.cues["grind"].values
    table, before = truth.cues["look"].table, old.cues["look"].table
    assert table is not None and before is not None
    assert len(table.row_of) == len(new.compounds)
    place = {compound.id: index for index, compound in enumerate(old.compounds)}
    for compound, row in zip(new.compounds, table.row_of, strict=True):
        assert row == before.row_of[place.get(compound.id, -1)]
    assert compare_played(old, new, 2).interviews == 2
    same = compare_played(new, new, 2)
    assert same.otherwise == 0 and same.before == same.after
