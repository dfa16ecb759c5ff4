"""`whichresin words`: whoever writes a rule file can look up every name that it may hold."""

from __future__ import annotations

import json

import pytest

from whichresin.command.main import run
from whichresin.knowledge.model import Model


def test_every_kind_and_every_name_is_listed(shipped: Model, capsys: pytest.CaptureFixture[str]) -> None:
    """The overview names the kinds with their numbers; a kind lists all of its names, in text and in JSON."""
    assert run(["words"]) == 0
    overview = capsys.readouterr().out
    for kind, rows in (("cues", shipped.cues), ("cells", shipped.cells), ("materials", shipped.materials)):
        assert any(line.split()[:2] == [kind, str(len(rows))] for line in overview.splitlines())
        assert run(["words", kind]) == 0
        text = capsys.readouterr().out
        assert run(["words", kind, "--json"]) == 0
        assert [one["name"] for one in json.loads(capsys.readouterr().out)["words"]] == list(rows)
        assert all(any(line.startswith(name) for line in text.splitlines()) for name in rows)
        assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("grind", ["clumps", "smears_waxy"]),
        ("PP", ["polyolefin", "PP-TD20"]),
        ("laminate", ["means"]),
        ("halogen_sign", ["shown"]),
        ("dust-glass", ["text"]),
        ("shop", ["welder", "a plastic welder"]),
        ("mechanical", ["holes", "drill from the middle"]),
        ("solvent_wipe", ["work", "cleaner that holds solvent"]),
    ],
)
def test_one_name_says_what_it_stands_for(name: str, wanted: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A cue gives its answers, a material its family and what it is sold as, a fact its values."""
    assert run(["words", name]) == 0
    text = capsys.readouterr().out
    assert all(word in text for word in wanted)


def test_a_name_that_nothing_bears(capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence with the nearest name."""
    assert run(["words", "grnd"]) == 2
    assert capsys.readouterr().err == "whichresin: nothing is called 'grnd'; did you mean 'grind'?\n"
