"""The check as a whole: the shipped knowledge passes it, and it ends as its contract says."""

from __future__ import annotations

from pathlib import Path

import pytest

from whichresin.knowledge.paths import shipped
from whichresin.training.check import check, main


def test_the_shipped_knowledge_is_sound_and_its_examples_run() -> None:
    """Every rule shipped does on its own examples what it says, and nothing on its near misses."""
    checked = check()
    assert [str(problem) for problem in checked.problems] == []
    assert checked.compiled is not None
    assert checked.examples >= 2 * len(checked.compiled.rules) > 240


def test_exit_code_and_lines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """1 with errors, 0 with warnings or none; one line a problem."""
    monkeypatch.chdir(tmp_path)
    Path("own.yaml").write_text("rules: [{id: x, wehn: {}, because: b., source: from memory}]\n")
    assert main(["own.yaml"]) == 1
    assert capsys.readouterr().out.splitlines() == [
        "own.yaml:1:9: error: a rule without conclude; expected a list of conclusions, such as [{withhold: grind}] "
        "[missing-key]",
        "own.yaml:1:9: error: a rule without when; expected conditions [missing-key]",
        "own.yaml:1:17: error: 'wehn' is not a key of a rule; expected id, when, conclude, because, source, examples, "
        "near_misses, note; did you mean 'when'? [unknown-key]",
    ]
    Path("own.yaml").write_text(
        "rules:\n  - {id: x, when: {all: [{grind: powder}]}, conclude: [{withhold: grind_fast}], because: b.,\n"
        "     source: from memory, examples: [{given: {grind: powder}}]}\n"
    )
    assert main(["own.yaml"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "own.yaml:2:10: warning: rule 'x' has no near_misses, cases in which it must not fire [no-example]"
    ]


def test_a_path_inside_the_shipped_knowledge() -> None:
    """Looking at one folder looks at what is there, with all else read as well."""
    assert check([str(Path(shipped().knowledge) / "rules")]).problems == ()
