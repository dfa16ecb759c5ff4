"""`whichresin check` and `whichresin help`: what a trainer sees on a terminal, in a pipe and in a program."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pexpect
import pytest

from whichresin.command.check_text import caret_lines, plain_lines
from whichresin.command.main import run
from whichresin.knowledge.problems import Problem

RULE = """\
rules:
  - id: own
    when: {all: [{grind: powdr}]}
    conclude: [{withhold: grind_fast}]
    because: Dust is dust.
    source: common practice
    examples: [{given: {grind: powder}}]
    near_misses: [{given: {grind: smears}}]
"""
SAYS = "own.yaml:3:26: error: 'powdr' is not a value of 'grind'"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one faulty file of rules, and the current folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WHICHRESIN_CACHE", str(tmp_path / "cache"))
    Path("own.yaml").write_text(RULE, encoding="utf-8")
    return tmp_path


def under(line: str, column: int, width: int) -> list[str]:
    """What is shown below a problem at this place of this line."""
    problem = Problem("f.yaml", 1, column, "error", "bad-id", "no")
    return list(caret_lines([problem], width, lambda _: [line]))[1:]


def test_the_caret_stands_under_the_place() -> None:
    """The eye goes to the place without counting columns."""
    assert under("hazard: lo", 9, 80) == ["    hazard: lo", "            ^"]
    assert under("hazard:", 8, 80) == ["    hazard:", "           ^"]


def test_the_caret_reckons_with_wide_letters_tabs_and_marks() -> None:
    """Two columns for a wide letter, one for a tab, none for a mark on the letter before."""
    assert under("a: 広い x", 7, 80) == ["    a: 広い x", "            ^"]
    assert under("a:\tx", 4, 80) == ["    a: x", "       ^"]
    assert under("e\u0301: x", 5, 80)[1] == "       ^"


def test_a_long_line_is_cut_around_the_place() -> None:
    """The place is on the screen however long the line is, and nothing wraps."""
    line = "x" * 200 + "HERE" + "y" * 200
    for width in (24, 40, 80, 300):
        text, caret = under(line, 201, width)
        assert len(text) <= width
        assert text[caret.index("^") :].startswith("HE")
        assert text.startswith("    ...") and text.endswith("...")


def test_a_file_cannot_make_the_terminal_act() -> None:
    """A control character in the faulty line is shown as an escape, and the caret still stands right."""
    text, caret = under("name: a\x1b[31mb c", 15, 80)
    assert "\x1b" not in text
    assert text[caret.index("^")] == "c"


def test_a_place_that_is_no_more_gives_no_caret() -> None:
    """The file may have changed, or the problem may concern the whole of it."""
    problem = Problem("f.yaml", 0, 0, "error", "empty-file", "the file is empty")
    late = Problem("f.yaml", 9, 1, "error", "bad-id", "no")
    assert list(caret_lines([problem, late], 80, lambda _: ["x"])) == list(plain_lines([problem, late]))


def test_in_a_pipe_one_line_a_problem(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Editors and scripts split lines; a caret would only disturb them."""
    assert run(["check", "own.yaml"]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith(SAYS) and lines[0].endswith("[unknown-word]")
    assert lines[-1] == "1 error, 0 other remarks" and len(lines) == 2


def test_json_holds_every_part_by_itself(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One document and nothing else; the code and the place need no parsing."""
    assert run(["check", "--json", "own.yaml"]) == 1
    (problem,) = json.loads(capsys.readouterr().out)["problems"]
    assert (problem["file"], problem["line"], problem["column"], problem["level"]) == ("own.yaml", 3, 26, "error")
    assert problem["code"] == "unknown-word" and problem["hint"] == "did you mean 'powder'?"


def test_watch_and_json_exclude_each_other(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A stream of documents would be a format of its own."""
    assert run(["check", "--watch", "--json"]) == 2
    assert "--watch does not go with --json" in capsys.readouterr().err


def test_on_a_terminal_with_watch(desk: Path) -> None:
    """The caret is shown; saving the mended file shows that it is well; Ctrl-C ends with the last state's code."""
    child = pexpect.spawn(
        sys.executable, ["-m", "whichresin", "check", "--watch", "own.yaml"], env={**os.environ, "TERM": "xterm"},
        dimensions=(24, 100), encoding="utf-8", timeout=30,
    )  # fmt: skip
    child.expect_exact("when: {all: [{grind: powdr}]}\r\n" + " " * 29 + "^")
    child.expect("1 error, 0 other remarks .(\\d+) ms; save a file")
    Path("own.yaml").write_text(RULE.replace("powdr", "powder"), encoding="utf-8")
    child.expect("0 errors, 0 other remarks .(\\d+) ms")
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0


def test_help_explains_a_code(capsys: pytest.CaptureFixture[str]) -> None:
    """The code as it stands in the line, with or without its brackets."""
    assert run(["help", "[unknown-word]"]) == 0
    page = capsys.readouterr().out
    assert page.startswith("unknown-word: a word is not in the closed list")
    assert "\n    hazard: lo\n" in page and "\n    hazard: low\n" in page
    assert all(len(line) <= 100 for line in page.splitlines())


def test_help_lists_and_corrects(capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong code is answered with the nearest; without a code the commands are listed, as ever."""
    assert run(["help", "unknwn-word"]) == 2
    assert "did you mean 'unknown-word'?" in capsys.readouterr().err
    assert run(["help", "--codes"]) == 0
    assert "never-fires " in capsys.readouterr().out
    assert run(["help", "never-fires", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["code"] == "never-fires"
    assert run(["help"]) == 0
    assert "usage: whichresin COMMAND" in capsys.readouterr().out
