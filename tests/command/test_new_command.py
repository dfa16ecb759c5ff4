"""`whichresin new`: a blank passes the check apart from the places that it lists, and as a whole once filled in."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from whichresin.command.main import run
from whichresin.knowledge import forms
from whichresin.knowledge.schema import Many, Record
from whichresin.training.blank import KINDS, questions
from whichresin.training.check import Memory, check

IDS = {"material": "PMP", "cue": "cut_shine", "rule": "dust-and-foam", "part": "bale-grab",
       "process": "plug_and_patch", "filler": "BF", "caution": "hot-wire"}  # fmt: skip
FILES = {
    "material": "materials/polymers/pmp.yaml", "cue": "cues/cut_shine.yaml", "rule": "rules/dust-and-foam.yaml",
    "part": "parts/bale-grab.yaml", "process": "repair/processes/plug_and_patch.yaml",
    "filler": "materials/fillers/bf.yaml", "caution": "cautions/hot-wire.yaml",
}  # fmt: skip
# What a trainer writes: the empty places of a line, one after the other.
ANSWERS = {
    "material": {
        "name": ["polymethylpentene"], "class": ["thermoplastic"], "family": ["polyolefin"], "cell": ["polyolefin"],
        "share": ["0.2"], "low, high, source": ["0.83", "0.84", "from memory"], "weldable": ["doubtful"],
        "source": ["from memory"],
    },
    "cue": {
        "question": ["Does a fresh knife cut shine?"], "how": ["Pare a sliver off a hidden edge."],
        "fooled_by": ["A blunt blade tears."], "lesson": ["Glassy plastics part in one smooth face."],
        "text": ["it shines like glass", "it is dull"], "minutes": ["2"], "hazard": ["low"], "source": ["from memory"],
        "yes, no, source": ["sometimes", "often", "from memory", "often", "sometimes", "from memory"],
    },
    "rule": {
        "about": ["what foam does to dust"], "known": ["foam_core"], "withhold": ["grind_fast"],
        "because": ["A foam core crumbles under a fast disc."], "source": ["from memory"], "given": [],
        "because (near miss)": ["nothing is known of the core"],
    },
    "part": {
        "name": ["bale grab"], "words": [], "gate": ["ask"], "gate_reason": ["Grain for people may touch it."],
        "source": ["common practice"],
    },
    "process": {
        "name": ["plug it from behind"], "process": ["mechanical"],
        "because": ["A plug that is wider than the hole holds by its shape."],
        "source": ["common practice", "common practice"], "text": ["a plug of the same plastic"],
        "text, because, source": ["Do not force it in.", "It splits the wall.", "common practice"],
        "do": ["Press the plug in from behind until its rim lies flat."], "why": ["The rim carries it."],
        "outside": ["100"], "minutes": ["60"],
    },
    "filler": {
        "name": ["basalt fibre"], "kind": ["fibre"], "low, high, source": ["2.6", "2.8", "from memory"],
        "source": ["from memory"],
    },
    "caution": {
        "level": ["warning"], "hazard": ["burns"], "text": ["A hot wire burns to the bone. Let it cool first."],
        "source": ["common practice"],
    },
}  # fmt: skip
# Lists that a blank holds empty, and what a trainer puts between the brackets.
LISTED = {
    "- {given: {}}": "- {given: {foam_core: yes}}", "minutes: []": "minutes: [5, 10]", "work: []": "work: [align]",
    "processes: []": "processes: [drill]",
}  # fmt: skip
MAY_STAY_EMPTY = ("words", "work", "processes")  # a list of words says nothing wrong by being empty
MEMORY = Memory()


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def filled(kind: str, text: str) -> str:
    """The blank with every empty place filled in, in the order of the file."""
    wanted = sum(len(words) for words in ANSWERS[kind].values())
    order = {key: list(words) for key, words in ANSWERS[kind].items()}
    order |= {key: order.get(key, []) for key in MAY_STAY_EMPTY}
    asked = {one.line: one.key for one in questions(text)}
    lines = text.splitlines()
    used = 0
    for number, key in asked.items():
        line = lines[number - 1]
        words = order["because (near miss)" if "{given" in line and key == "because" else key]
        for _ in range(len(re.findall(r"\w+: *(?=[,}]|# \?)", line))):
            line = re.sub(r"(\w+:) *(?=[,}]|# \?)", rf"\1 {words.pop(0)} ", line, count=1)
            used += 1
        lines[number - 1] = line
    assert used == wanted
    text = "\n".join(lines)
    for empty, given in LISTED.items():
        text = text.replace(empty, given)
    return text


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_lacks_only_what_it_asks(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every problem of a fresh file stands on a line that asks; every line that asks for a value has a problem."""
    assert run(["new", kind, IDS[kind], "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["file"] == str(Path("my-shop", FILES[kind]))
    asked = {place["line"] for place in said["places"]}
    problems = check(["my-shop"], memory=MEMORY).problems
    assert {Path(problem.file) for problem in problems} == {Path(said["file"])}
    assert {problem.line for problem in problems} <= asked
    # Some lists may stay empty, and examples are run only once the rule itself can be read.
    later = {p["line"] for p in said["places"] if p["key"] in MAY_STAY_EMPTY or "{given" in _line(said, p)}
    assert asked - later <= {problem.line for problem in problems}


def _line(said: dict[str, str], place: dict[str, int]) -> str:
    return Path(said["file"]).read_text(encoding="utf-8").splitlines()[place["line"] - 1]


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_that_is_filled_in_passes(kind: str) -> None:
    """Answer the questions and nothing else is needed."""
    run(["new", kind, IDS[kind]])
    path = Path("my-shop", FILES[kind])
    path.write_text(filled(kind, path.read_text(encoding="utf-8")), encoding="utf-8")
    assert [str(one) for one in check(["my-shop"], memory=MEMORY).problems] == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_names_every_key_that_its_form_knows(kind: str) -> None:
    """What a blank does not mention, its author will not know of. `physics` is for the program's own float cues."""
    run(["new", kind, IDS[kind]])
    text = Path("my-shop", FILES[kind]).read_text(encoding="utf-8")
    for form in (KINDS[kind].form, *_inner(KINDS[kind].form)):
        for key in form.fields:
            known_elsewhere = key in ("physics", "integral", "group") or (
                form is not KINDS[kind].form and key == "note"
            )
            assert re.search(rf"\b{key}:", text) or known_elsewhere, key


def _inner(form: Record) -> list[Record]:
    pieces = [field.piece.of if isinstance(field.piece, Many) else field.piece for field in form.fields.values()]
    return [piece for piece in pieces if isinstance(piece, Record)] + ([forms.EXAMPLE] if form is forms.RULE else [])


def test_nothing_is_ever_written_over(capsys: pytest.CaptureFixture[str]) -> None:
    """An hour's work must not be lost to a second call."""
    run(["new", "cue", "cut_shine"])
    path = Path("my-shop/cues/cut_shine.yaml")
    path.write_text("mine\n")
    assert run(["new", "cue", "cut_shine"]) == 2
    assert path.read_text() == "mine\n"
    assert "is there already" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["../out", "a/b", "", "Cut", "cut shine", "con\x1b[31m", "x" * 300])
def test_an_id_cannot_lead_out_of_the_folder(name: str, desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An id becomes a file name; one that is no id is refused in a sentence and nothing is written."""
    assert run(["new", "cue", name]) == 2
    said = capsys.readouterr().err
    assert said.startswith("whichresin: the id") and "\x1b" not in said and said.count("\n") == 1
    assert list(desk.iterdir()) == []


def test_a_folder_that_cannot_be_made_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence, no traceback."""
    Path("file").write_text("x")
    assert run(["new", "part", "bale-grab", "--into", "file"]) == 2
    assert "cannot be written" in capsys.readouterr().err
