"""Bad input ends in a sentence or an honest refusal, quickly, and never in a traceback."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from whichresin.command import decode as command
from whichresin.command.output import BadInput
from whichresin.marking.decoder import MOST_WORK, decode
from whichresin.marking.load import read
from whichresin.marking.tables import Tables

AWKWARD = [
    "",
    " ",
    "><",
    "?",
    "????",
    "_" * 30,
    "x" * 10_000,
    ">" * 500,
    "ПП",
    "聚丙烯",
    "\x1b[31mPP\x1b[0m",
    "\x00\x07",
    "🙂",
    "(((((",
    "PP" * 30,
    ",,,,",
    "_,_,_",
]


@pytest.mark.parametrize("text", AWKWARD, ids=range(len(AWKWARD)))
def test_awkward_text(text: str, tables: Tables) -> None:
    """Nothing raises; what cannot be read is said to be unreadable with a sentence."""
    decoded = decode(text, tables)
    assert decoded.verdict == "unreadable" or decoded.readings
    assert decoded.says


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=70) | st.text("PA6GFTD302+-/(),?_. <>", max_size=50))
@example(text="0000::::''''''\x08\x08¼")
def test_any_text(text: str, tables: Tables) -> None:
    """Any text at all gives odds that add up."""
    decoded = decode(text, tables)
    total = sum(r.probability for r in decoded.readings) + decoded.not_a_marking + decoded.unseen
    assert total == pytest.approx(1.0)


UNCLEAR = (
    "PPA6GFTD30PPA6GFTD30PPA6", "A-B+C/D(E)F-G+H/I", "?P?A?6?G?F?3?0?", "XQXQXQXQXQXQXQXQXQXQ", "P.P+E P.D?M.",
    "PP,PA?6,A?S,P?,?E", "M2YVRQPPDLW197DW908M81E", "PP?PA66?ABS", "PUR - GF 3?0",
)  # fmt: skip


def test_work_is_bounded(tables: Tables) -> None:
    """No text, however unclear, makes the search wander: all its searches share one budget, and the result says when
    that was used up. Work is counted, so what was decoded before changes nothing."""
    fresh = replace(tables)  # with a memory of its own
    fresh.__dict__["language"] = tables.language
    for text in UNCLEAR:
        before = tables.searcher.worked()
        once = decode(text, tables)
        assert tables.searcher.worked() - before < 1.5 * MOST_WORK
        assert decode(text, tables) == once
        assert not once.cut_short or not once.readings or once.unseen >= tables.verdicts.unseen[-1] * 0.9
    for text in reversed(UNCLEAR):
        assert decode(text, fresh) == decode(text, tables)


def test_a_text_that_is_too_unclear_says_so(tables: Tables, capsys: pytest.CaptureFixture[str]) -> None:
    """Where the budget is used up, the JSON and the page say that not everything was looked for."""
    text = "P.P+E P.D?M."
    assert decode(text, tables).cut_short
    assert decode(text, tables).as_dict()["cut_short"] is True
    command.run([text])
    assert "not everything" in " ".join(capsys.readouterr().out.split())


def test_control_characters_never_reach_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """The text that is echoed has its control characters escaped."""
    command.run(["\x1b[31mPP\x07\x9b", "PP\x1b]0;title\x07"])
    shown = capsys.readouterr()
    assert not any(ord(c) < 32 and c != "\n" for c in shown.out + shown.err)


def test_exit_codes(capsys: pytest.CaptureFixture[str]) -> None:
    """0 read, 1 unreadable, 2 wrong usage."""
    assert command.run([">PA66-GF30<"]) == 0
    assert command.run(["205/55R16", "--json"]) == 1
    with pytest.raises(BadInput, match="nothing to decode"):
        command.run([])
    with pytest.raises(BadInput, match="not both"):
        command.run(["PP", "--batch", "x"])
    with pytest.raises(BadInput, match="no option"):
        command.run(["--no-such-option"])
    capsys.readouterr()


def test_json_contract(capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON that scripts rely on."""
    command.run([">PA66-(GF25+MD15)-FR(52)<", "--json"])
    document = json.loads(capsys.readouterr().out)
    assert document["schema"] == 1
    result = document["results"][0]
    assert {"text", "verdict", "readings", "not_a_marking"} <= set(result)
    best = result["readings"][0]
    assert best["marking"] == ">PA66-(GF25+MD15)-FR(52)<"
    assert best["class"] == "thermoplastic"
    assert best["fillers"][1] == {"code": "MD", "material": "mineral", "form": "powder", "percent": 15}
    assert best["flame_retardants"] == [52]
    assert best["plasticizer"] is None
    assert best["meaning"]


@pytest.mark.parametrize("columns", [80, 40])
def test_page_fits(columns: int, tables: Tables) -> None:
    """The page is readable at 80 and at 40 columns."""
    from whichresin.command.decode_text import page

    shown = page([decode(t, tables) for t in (">PA6?-GF3_<", "UP?", "205/55R16", "pa66gf30")], 8, columns)
    assert max(map(len, shown.splitlines())) <= columns


def test_bad_tables_are_reported_with_their_place(tmp_path: Path) -> None:
    """A wrong table names file, line and column, and what to do."""
    from shutil import copytree

    from whichresin.knowledge import paths

    folder = tmp_path / "markings"
    copytree(Path(paths.shipped().knowledge) / "markings", folder)
    rubbers = folder / "rubbers.yaml"
    rubbers.write_text(
        rubbers.read_text(encoding="utf-8").replace("class: elastomer", "class: elastomr", 1), encoding="utf-8"
    )
    tables, problems = read(str(folder))
    assert tables is None
    assert any(
        "rubbers.yaml:" in str(p) and "elastomr" in str(p) and "did you mean 'elastomer'" in str(p) for p in problems
    )
