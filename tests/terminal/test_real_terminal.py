"""The real command on a real (pseudo-)terminal: single keys, sizes, monochrome, Ctrl-C and Ctrl-D."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import pexpect
import pyte
import pytest

WAIT = 30


class Desk:
    """The guided interview in a terminal emulator; `raw` is everything it wrote."""

    def __init__(self, folder: Path, columns: int = 80, *args: str, **extra: str) -> None:
        env = {**os.environ, "TERM": "xterm-256color", "WHICHRESIN_DATA": str(folder), "PROMPT_TOOLKIT_NO_CPR": "1"}
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "whichresin", "interview", *args],
            env={**env, **extra},
            dimensions=(24, columns),
            encoding="utf-8",
        )
        self._screen = pyte.HistoryScreen(columns, 24, history=2000)
        self._stream = pyte.Stream(self._screen)
        self.raw = ""

    def shown(self) -> str:
        """The screen with everything that scrolled off it, one line a row."""
        old = ["".join(row[x].data for x in range(self._screen.columns)) for row in self._screen.history.top]
        return "\n".join(line.rstrip() for line in [*old, *self._screen.display])

    def wait(self, text: str, times: int = 1) -> None:
        """Wait until the text has been shown that many times."""
        end = time.monotonic() + WAIT
        while self.shown().count(text) < times:
            assert time.monotonic() < end, f"{text!r} did not come up:\n{self.shown()}"
            if not self._read():
                assert self.shown().count(text) >= times, f"ended without {text!r}:\n{self.shown()}"

    def _read(self) -> bool:
        try:
            part = self.child.read_nonblocking(65536, 0.2)
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        self.raw += part
        self._stream.feed(part)
        return True

    def press(self, keys: str) -> None:
        """Press keys."""
        self.child.send(keys)

    def ended(self) -> int | None:
        """Wait for the end; the exit code."""
        end = time.monotonic() + WAIT
        while self._read():
            assert time.monotonic() < end, f"did not end:\n{self.shown()}"
        self.child.close()
        return self.child.exitstatus

    def to_first_test(self) -> None:
        """Past part, marking and the two gate questions."""
        self.wait("What is the part?")
        self.wait("cannot say.\n>")
        self.press("grille\r")
        self.wait("marking?")
        self.press("\r")
        self.wait("Your key:")
        self.press("1")
        self.wait("2. ")
        self.wait("Your key:", 2)
        self.press("1")
        self.wait("3. ")


def test_a_whole_interview_by_single_keys(tmp_path: Path) -> None:
    """No Enter after an answer key; help, why and so-far come up; the end is shown and the exit code is 0."""
    desk = Desk(tmp_path)
    desk.to_first_test()
    desk.wait("a key:")
    desk.press("h\r")
    desk.wait("How: ")
    desk.press("w\r")
    desk.wait("minutes of wrong work")
    desk.press("s\r")
    desk.wait("Repair group")
    desk.press("q\r")
    desk.wait("Where this ends")
    assert desk.ended() == 0


@pytest.mark.parametrize("key", ["\x03", "\x04"])
def test_ctrl_c_and_ctrl_d_leave_the_terminal_as_it_was(tmp_path: Path, key: str) -> None:
    """Either key leaves: the ending is shown, the exit is clean, every mode switched on is switched off."""
    desk = Desk(tmp_path)
    desk.to_first_test()
    desk.wait("a key:")
    desk.press(key)
    desk.wait("Stopped here")
    assert desk.ended() == 0
    assert "Traceback" not in desk.raw
    for mode in ("?1049", "?1000", "?1003", "?2004"):
        assert desk.raw.count(f"\x1b[{mode}h") <= desk.raw.count(f"\x1b[{mode}l")
    assert desk.raw.rfind("\x1b[?25h") >= desk.raw.rfind("\x1b[?25l"), "the cursor stays hidden"


@pytest.mark.parametrize("columns", [40, 80])
def test_the_screen_reads_well_at_this_width(tmp_path: Path, columns: int) -> None:
    """On the emulated screen the question and its keys stand in whole lines."""
    desk = Desk(tmp_path, columns)
    desk.wait("What is the part?")
    desk.press("grille\r")
    desk.wait("marking?")
    desk.press("\r")
    desk.wait("Your key:")
    assert "1. What does this part keep safe" in desk.shown()
    assert "  1  none of these" in desk.shown()
    desk.press("q")
    assert desk.ended() == 0


def test_no_color_writes_no_attributes(tmp_path: Path) -> None:
    """With NO_COLOR nothing of ours is bold, faint or coloured."""
    desk = Desk(tmp_path, 80, "--plain", NO_COLOR="1")
    desk.wait("What is the part?")
    desk.press("\r")
    desk.wait("marking?")
    desk.press("\r")
    desk.wait("Your key:")
    assert "\x1b[" not in desk.raw
    desk.press("q\r")
    assert desk.ended() == 0


def test_a_dumb_terminal_gets_plain_lines(tmp_path: Path) -> None:
    """TERM=dumb must work, with Enter after each key, and without one escape sequence."""
    desk = Desk(tmp_path, 80, TERM="dumb")
    desk.wait("What is the part?")
    desk.press("\r")
    desk.wait("marking?")
    desk.press("\r")
    desk.wait("Your key:")
    desk.press("1\r")
    desk.wait("2. ")
    desk.press("q\r")
    assert desk.ended() == 0
    assert "\x1b" not in desk.raw
