"""Lines of a report: whole into a pipe, broken at spaces and set in on a narrow terminal, never raw."""

from __future__ import annotations

import pytest

from whichresin.command import output

LONG = "  PPE+PA and PPE+PS: wrong up to 21%; best cues: after_flame 0.74, odour 0.77, density 0.78"


def test_into_a_pipe_a_line_goes_whole(capsys: pytest.CaptureFixture[str]) -> None:
    """Programs read lines."""
    output.say_lines([LONG, "a\nb", "\x1b[31m"])
    first, *rest = capsys.readouterr().out.splitlines()
    assert first == LONG and rest[:2] == ["a", "b"] and "\x1b" not in rest[2]


@pytest.mark.parametrize("width", [40, 80])
def test_on_a_terminal_a_line_is_broken_and_set_in(
    width: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is cut off, nothing runs over, and what follows stands further in than the entry."""
    monkeypatch.setenv("COLUMNS", str(width))
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    output.say_lines([LONG, "short"])
    first, *rest, last = capsys.readouterr().out.splitlines()
    assert last == "short" and rest
    assert all(len(line) <= width for line in (first, *rest))
    assert all(line.startswith(" " * 6) for line in rest)
    assert " ".join([first, *rest]).split() == LONG.split()
