"""The author's guide is run as it stands: its files, its command and the faults that it shows."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from whichresin.knowledge.load import load
from whichresin.knowledge.paths import shipped

GUIDE = (Path(shipped().shared) / "authoring.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", GUIDE, re.S | re.M)
FILES = {text.partition("\n")[0].removeprefix("# "): text for kind, text in BLOCKS if kind == "yaml"}


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder in which every file of the guide lies where the guide puts it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WHICHRESIN_CACHE", str(tmp_path / "cache"))
    for name, text in FILES.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


def run(command: str) -> tuple[int, list[str]]:
    """A command line of the guide, as if `whichresin` were on the path."""
    words = command.split()
    assert words[0] == "whichresin"
    done = subprocess.run([sys.executable, "-m", *words], capture_output=True, text=True, check=False)
    return done.returncode, [line for line in done.stdout.splitlines() if "[" in line] + done.stderr.splitlines()


def test_the_guide_shows_every_file_it_lists() -> None:
    """A reader copies the files one by one; none may be missing."""
    listed = re.findall(r"^      ?(\S+/\S+\.yaml|\w+\.yaml) ", GUIDE, re.M)
    assert sorted(f"my-shop/{name}" for name in listed) == sorted(FILES)


def test_the_guides_files_pass_the_guides_command(shop: Path) -> None:
    """An hour spent on copying examples that fail would be the reader's last."""
    (command,) = [text.strip() for kind, text in BLOCKS if kind == "sh"]
    assert run(command) == (0, [])


def test_the_guides_faults_are_told_as_the_guide_says(shop: Path) -> None:
    """The lines shown are the lines printed."""
    cue, rule = shop / "my-shop/cues/cut_shine.yaml", shop / "my-shop/rules/cut.yaml"
    cue.write_text(cue.read_text().replace("hazard: low", "hazard: lo"))
    head, _, tail = rule.read_text().rpartition("foam_core: yes")
    rule.write_text(f"{head}foam_core: maybe{tail}")
    (said,) = [text.splitlines() for kind, text in BLOCKS if kind == "text"]
    assert run("whichresin check my-shop") == (1, said)


def test_the_new_polymer_and_cue_take_part(shop: Path) -> None:
    """What the guide says of specificity is what the compiled tables hold."""
    model = load(["my-shop"]).model
    assert model is not None
    index = {compound.id: place for place, compound in enumerate(model.compounds)}
    assert {"PMP", "PMP-GF30"} <= set(index)
    table = model.cues["cut_shine"].table
    assert table is not None
    seen = {name: table.rows[table.row_of[place]] for name, place in index.items()}
    assert seen["PP-TD20"] == seen["PMP-GF30"] == seen["PA66-GF30"]
    assert seen["PMP"] == seen["PP"]
    assert seen["PP"][1] > 0.8 > seen["PP-TD20"][1]


def test_every_word_that_the_guide_teaches_is_known() -> None:
    """Tables of conditions, conclusions and words are compared with what the loader takes."""
    from whichresin.knowledge.conclusions import KINDS
    from whichresin.knowledge.conditions import BOUNDS, GROUPS
    from whichresin.knowledge.selectors import WEIGHTS

    model = load().model
    assert model is not None
    for word in (*KINDS, *BOUNDS, *GROUPS, *WEIGHTS, "part_kind", "part_gate", "shop", "allow", "floats_at", "status"):
        assert re.search(rf"\b{word}\b", GUIDE), f"the guide does not mention {word}"
    order = GUIDE.partition("From the least to the most specific: ")[2].partition(".")[0]
    assert [word.replace(" ", "_") for word in order.split(", ")] == list(WEIGHTS)
