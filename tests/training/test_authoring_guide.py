"""The author's guide is run as it stands: its files, its commands and what it says that they print."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from whichresin.command import main
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.knowledge.paths import shipped

GUIDE = (Path(shipped().shared) / "authoring.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", GUIDE, re.S | re.M)
FILES = {text.partition("\n")[0].removeprefix("# "): text for kind, text in BLOCKS if kind == "yaml"}
# The command that a person would run by hand to get the faults of the last section into the files.
FAULTS = (
    ("cues/cut_shine.yaml", "hazard: low", "hazard: lo"),
    ("rules/cut.yaml", "foam_core: yes}, bec", "foam_core: maybe}, bec"),
)


class Walk:
    """The guide's hour, as it was walked: every file written and every command run, in order."""

    def __init__(self) -> None:
        self.said: list[tuple[str, int, str]] = []  # command, exit code, both outputs
        self.shown: list[tuple[str, str]] = []  # a block of output in the guide, what the commands above it said

    def go(self, capture: pytest.CaptureFixture[str]) -> None:
        latest = ""
        for kind, text in BLOCKS:
            if kind in ("yaml", "yml"):
                path = Path(text.partition("\n")[0].removeprefix("# "))
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text, encoding="utf-8")
            elif kind == "sh":
                if "whichresin help" in text:
                    for name, old, new in FAULTS:
                        file = Path("my-shop", name)
                        head, found, tail = file.read_text(encoding="utf-8").rpartition(old)
                        assert found
                        file.write_text(f"{head}{new}{tail}", encoding="utf-8")
                latest = ""
                for line in text.splitlines():
                    words = line.split()
                    assert words[0] == "whichresin"
                    code = main.run(words[1:])
                    out, error = capture.readouterr()
                    self.said.append((line, code, out + error))
                    latest += out + error
            elif kind == "text":
                self.shown.append((text, latest))


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Iterator[Walk]:
    """One walk through the guide in an empty folder."""
    folder = tmp_path_factory.mktemp("hour")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("WHICHRESIN_CACHE", str(folder / "cache"))
        patch.setenv("XDG_STATE_HOME", str(folder / "state"))
        yield Walk()


@pytest.fixture
def walked(walk: Walk, capsys: pytest.CaptureFixture[str]) -> Walk:
    if not walk.said:
        walk.go(capsys)
    return walk


def test_the_guide_shows_every_file_it_lists() -> None:
    """A reader copies the files one by one; none may be missing."""
    listed = re.findall(r"^      ?(\S+/\S+\.yaml|\w+\.yaml) ", GUIDE, re.M)
    assert sorted(f"my-shop/{name}" for name in listed) == sorted(FILES)


def test_every_command_of_the_guide_does_its_work(walked: Walk) -> None:
    """An hour spent on commands that fail would be the reader's last. 1 is what check says of an unfinished file,
    compare of knowledge that differs; no command is misused."""
    codes = {(line, code) for line, code, _ in walked.said}
    assert {code for _, code in codes} == {0, 1}
    assert {line.split()[1] for line, code in codes if code == 1} == {"check", "compare"}
    used = {line.split()[1] for line, _ in codes}
    assert used == {"interview", "new", "check", "coverage", "trace", "replay", "compare", "help", "words"}


def test_what_the_guide_shows_is_what_is_said(walked: Walk) -> None:
    """Each line of each block of output stands in what the commands above it said; ... stands for anything."""
    assert len(walked.shown) >= 5
    for block, said in walked.shown:
        lines = said.splitlines()
        for wanted in block.splitlines():
            pattern = ".*".join(map(re.escape, wanted.split("...")))
            assert any(re.fullmatch(pattern, line) for line in lines), wanted


def test_the_walk_leads_where_it_says(walked: Walk) -> None:
    """The new polymer is unknown before and named after; nothing of one's own is left unexercised; the record holds."""
    said = {line: text for line, _, text in walked.said}
    before, after = (
        text for line, text in said.items() if line.startswith("whichresin interview") and "record" not in line
    )
    assert "PMP" not in before and "PMP, polymethylpentene" in after
    (coverage,) = (text for line, text in said.items() if line.startswith("whichresin coverage"))
    assert not [line for line in coverage.splitlines() if line.startswith("  my-shop/")]
    assert "sight-glass.yaml: the same" in said["whichresin replay my-records --knowledge my-shop"]
    faulty = [text for line, code, text in walked.said if line == "whichresin check my-shop" and code == 1]
    assert faulty[-1].count(": error: ") == 2


def test_the_new_polymer_and_cue_take_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the guide says of specificity, and of what a material says of itself, is what the compiled tables hold."""
    monkeypatch.chdir(tmp_path)
    for name, text in FILES.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    model = load(["my-shop"], use_cache=False).model
    assert model is not None
    index = {compound.id: place for place, compound in enumerate(model.compounds)}
    assert {"PMP", "PMP-GF30"} <= set(index)
    seen = {name: _row(model, "cut_shine", place) for name, place in index.items()}
    assert seen["PP-TD20"] == seen["PMP-GF30"] == seen["PA66-GF30"]
    assert seen["PMP"] == seen["PP"]
    assert seen["PP"][1] > 0.8 > seen["PP-TD20"][1]
    clear = {name: _row(model, "clarity", place)[0] for name, place in index.items()}
    assert clear["PMP"] > 0.7 > clear["PP"] > clear["PMP-GF30"]


def _row(model: Model, cue: str, place: int) -> tuple[float, ...]:
    table = model.cues[cue].table
    assert table is not None
    return table.rows[table.row_of[place]]


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
