"""The real command on a real (pseudo-)terminal: keys in, screen out, sizes, a flood, odd encodings."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pexpect
import pyte
import pytest

from whichresin.session.journal import recorded_in
from whichresin.terminal import words

WAIT = 30


class Desk:
    """The guided interview in a terminal emulator; `raw` is everything it wrote."""

    def __init__(self, folder: Path, columns: int = 80, rows: int = 24, *args: str, **extra: str) -> None:
        env = {**os.environ, "TERM": "xterm-256color", "WHICHRESIN_DATA": str(folder), **extra}
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "whichresin", "interview", *args],
            env=env,
            dimensions=(rows, columns),
            encoding="utf-8",
            codec_errors="replace",
        )
        self.child.delaybeforesend = None
        self._screen = pyte.HistoryScreen(columns, rows, history=2000)
        self._stream = pyte.Stream(self._screen)
        self.raw = ""

    def shown(self) -> str:
        """The screen, one line a row."""
        return "\n".join(line.rstrip() for line in self._screen.display)

    def past(self) -> str:
        """The screen with everything that scrolled off it."""
        old = ["".join(row[x].data for x in range(self._screen.columns)) for row in self._screen.history.top]
        return "\n".join([*old, self.shown()])

    def wait(self, *texts: str) -> str:
        """Wait until all texts are on the screen, line ends not counted; the screen."""
        end = time.monotonic() + WAIT
        while not all(text in " ".join(self.shown().split()) for text in texts):
            assert time.monotonic() < end, f"{texts} did not come up:\n{self.shown()}"
            if not self._read():
                assert all(text in " ".join(self.past().split()) for text in texts), f"ended:\n{self.past()}"
                break
        return self.shown()

    def _read(self) -> bool:
        try:
            part = self.child.read_nonblocking(65536, 0.05)
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        self.raw += part
        self._stream.feed(part)
        return True

    def rest(self) -> None:
        """Wait until nothing has been written for longer than a flood of keys is waited out."""
        quiet = time.monotonic()
        while time.monotonic() < quiet + 1.5:
            before = len(self.raw)
            self._read()
            quiet = quiet if len(self.raw) == before else time.monotonic()

    def press(self, keys: str) -> None:
        """Press keys."""
        self.child.send(keys)

    def resize(self, columns: int, rows: int) -> None:
        """The window is dragged to another size: the kernel tells the program by a signal."""
        self._screen.resize(rows, columns)
        self._screen.reset()
        self.child.setwinsize(rows, columns)

    def ended(self) -> int | None:
        """Wait for the end; the exit code."""
        end = time.monotonic() + WAIT
        while self._read():
            assert time.monotonic() < end, f"did not end:\n{self.shown()}"
        self.child.close()
        return self.child.exitstatus

    def to_first_gate(self, prompt: str = "q stop") -> None:
        """Past part and marking."""
        self.wait("What is the part?")
        self.press("grille\r")
        self.wait("marking?", "Understood as: grille")
        self.press("\r")
        self.wait("What does this part keep safe", prompt)


def test_one_interview_through_sizes_paste_hazard_and_end(tmp_path: Path) -> None:
    """Keys typed early count, sizes change in the middle of a question, a flood is no answer, a burn needs two yeses,
    and the ending stays on the paper; the journal holds it all."""
    desk = Desk(tmp_path)
    desk.press("gril")  # before the library is loaded
    desk.wait("What is the part?")
    desk.press("le\r")
    desk.wait("marking?", "Understood as: grille")
    desk.press("\r")
    desk.wait("What does this part keep safe", "food or feed", "Your key:")
    desk.resize(40, 24)
    screen = desk.wait("What does this part keep safe", "1 none of these", "Your key:")
    assert max(map(len, screen.splitlines())) <= 40
    desk.resize(120, 40)
    desk.wait("What does this part keep safe", "food or feed", "Your answers", "Your key:")
    desk.resize(80, 24)
    desk.wait("What does this part keep safe", "food or feed", "Your key:")
    desk.press("12ynd" * 2000)
    desk.wait("came at once")
    desk.rest()
    desk.press("1")
    desk.wait("Is the plastic itself still sound?", "Learned")
    desk.press("1")
    desk.wait("question 3")
    desk.press("g")
    desk.wait("Which test? A word or two:")
    desk.press("colour is the flame\r")
    desk.wait("Tests that could be meant")
    desk.press("1\r")
    desk.wait("Burn tests are off")
    desk.press("y")
    screen = desk.wait("DANGER", "Ready, and protected?")
    assert "Fine splinter" not in screen and "How:" not in screen
    desk.press("n")
    desk.wait("Left out", "question 4")
    desk.press("q")
    desk.wait(words.ENDING, "Class:", "Enter finish")
    desk.press("\r")
    assert desk.ended() == 0
    assert words.ENDING in desk.past() and words.STILL_OPEN in desk.past()
    assert "Traceback" not in desk.raw
    for mode in ("?1049", "?1000", "?1003", "?2004"):
        assert desk.raw.count(f"\x1b[{mode}h") <= desk.raw.count(f"\x1b[{mode}l")
    assert desk.raw.rfind("\x1b[?25h") >= desk.raw.rfind("\x1b[?25l"), "the cursor stays hidden"
    (recorded,) = recorded_in(tmp_path)
    assert recorded.finished and len(recorded.events) == 6, recorded.events


def test_ctrl_c_saves_and_leaves_and_resume_goes_on(tmp_path: Path) -> None:
    """The ending so far is shown, the exit is clean, and the interview is kept open with its answers."""
    desk = Desk(tmp_path)
    desk.to_first_gate()
    desk.press("1")
    desk.wait("still sound?")
    desk.press("\x03")
    assert desk.ended() == 0
    assert words.LEAVING in desk.past() and "whichresin resume" in desk.past()
    (recorded,) = recorded_in(tmp_path)
    assert not recorded.finished and len(recorded.events) == 3


def test_ctrl_z_puts_it_aside_and_fg_brings_it_back(tmp_path: Path) -> None:
    """As any program of the shell: stopped by the key, drawn again when it goes on, no sign left in the line."""
    env = {**os.environ, "TERM": "xterm-256color", "WHICHRESIN_DATA": str(tmp_path), "PS1": "shell> "}
    shell = pexpect.spawn("bash", ["--norc", "-i"], env=env, dimensions=(24, 80), encoding="utf-8", timeout=WAIT)
    shell.sendline(f"{sys.executable} -m whichresin interview")
    shell.expect("cannot say")
    shell.send("grille\r")
    shell.expect("there")
    shell.send("\r")
    shell.expect("Your key")
    shell.send("\x1a")
    shell.expect("Stopped")
    shell.sendline("fg")
    shell.expect("hold back")
    shell.expect("Your key")
    time.sleep(0.3)
    shell.send("1")
    shell.expect("still sound")
    assert "^Z" not in shell.before.rsplit("hold back", 1)[-1]
    shell.send("\x03")
    shell.expect("Kept")
    shell.close(force=True)


def test_a_broken_terminal_library_falls_back_to_plain_lines(tmp_path: Path) -> None:
    """The full screen is an extra: when it cannot start, one sentence says so and every power is there in lines."""
    broken = tmp_path / "broken" / "prompt_toolkit"
    broken.mkdir(parents=True)
    (broken / "__init__.py").write_text("raise ImportError('made to fail')\n")
    desk = Desk(tmp_path / "data", PYTHONPATH=str(broken.parent))
    desk.wait("The full screen does not work here (ImportError: made to fail)")
    desk.press("grille\r")
    desk.wait("marking?")
    desk.press("\r")
    desk.wait("Your key:")
    desk.press("q\r")
    desk.wait(words.ENDING_PROMPT.strip())
    desk.press("\r")
    assert desk.ended() == 0
    assert "Traceback" not in desk.raw and desk.raw.count("does not work here") == 1


@pytest.mark.parametrize(("args", "extra"), [((), {"TERM": "dumb"}), (("--plain",), {"NO_COLOR": "1"})])
def test_plain_lines_write_no_escape_sequence(tmp_path: Path, args: tuple[str, ...], extra: dict[str, str]) -> None:
    """TERM=dumb, or --plain with NO_COLOR: Enter after each key, nothing bold, nothing moved."""
    desk = Desk(tmp_path, 80, 60, *args, **extra)
    desk.to_first_gate("Your key:")
    desk.press("1\r")
    desk.wait("2. Is the plastic itself still sound?")
    desk.press("q\r")
    desk.wait(words.ENDING_PROMPT.strip())
    desk.press("\r")
    assert desk.ended() == 0
    assert "\x1b" not in desk.raw


def test_an_ascii_terminal_gets_ascii_bars(tmp_path: Path) -> None:
    """A console without block signs shows its own signs, and no question mark where a bar should be."""
    desk = Desk(tmp_path, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    desk.to_first_gate()
    screen = desk.wait("thermoplastic", "Your key:")
    assert "###" in screen and "???" not in screen
    desk.press("\x04")
    assert desk.ended() == 0


def piped(folder: Path, typed: bytes, *args: str, **extra: str) -> subprocess.CompletedProcess[bytes]:
    """The interview without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "whichresin", "interview", *args],
        input=typed,
        capture_output=True,
        check=False,
        timeout=120,
        env={**os.environ, "WHICHRESIN_DATA": str(folder), **extra},
    )


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_a_redirect_with_a_small_encoding_loses_signs_and_not_the_interview(tmp_path: Path, encoding: str) -> None:
    """Words typed in UTF-8 that the output cannot hold become question marks; the record keeps them."""
    typed = "Kotflügel \u6a39\u8102\n\n1\n1\ns\nq\n\n".encode(encoding if encoding == "cp1252" else "utf-8", "replace")
    done = piped(tmp_path, typed, PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert done.returncode == 0 and done.stderr == b"", done.stderr
    done.stdout.decode(encoding)
    (recorded,) = recorded_in(tmp_path)
    assert recorded.finished and len(recorded.events) == 4


def test_bytes_that_are_no_text_and_ten_thousand_keys_are_survived(tmp_path: Path) -> None:
    """A cat on a binary file, then a key held down: wrong lines, and the interview goes on to its end."""
    done = piped(tmp_path, b"grille\n\n" + bytes(range(256)) * 40 + b"\n" + b"1" * 10_000 + b"\nq\n\n")
    assert done.returncode == 0 and b"Traceback" not in done.stderr and words.ENDING.encode() in done.stdout


def test_no_home_no_input_and_a_closed_pipe(tmp_path: Path) -> None:
    """No home folder, standard input closed, and a reader that went away: no traceback, and what was said is kept."""
    bare = {k: v for k, v in os.environ.items() if k not in ("HOME", "XDG_DATA_HOME", "WHICHRESIN_DATA", "USERPROFILE")}
    base = f"{sys.executable} -m whichresin interview"
    stories = {
        "no home": (f"printf 'grille\\n\\nq\\n\\n' | {base}", {**bare, "HOME": "/proc/no/home"}),
        "closed input": (f"{base} <&-", {**os.environ, "WHICHRESIN_DATA": str(tmp_path / "a")}),
        "closed pipe": (
            f"printf 'grille\\n\\n1\\n1\\nq\\n' | {base} | head -9",
            {**os.environ, "WHICHRESIN_DATA": str(tmp_path / "b")},
        ),
        "closed output": (f"printf 'grille\\n' | {base} >&-", {**os.environ, "WHICHRESIN_DATA": str(tmp_path / "c")}),
    }
    running = {
        name: subprocess.Popen(["bash", "-c", line], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for name, (line, env) in stories.items()
    }
    for name, process in running.items():
        out, error = process.communicate(timeout=120)
        assert b"Traceback" not in error and b"Exception" not in error, (name, error)
        assert error.count(b"\n") <= 1, (name, error)
        if name == "no home":
            assert words.ENDING.encode() in out and b"cannot be resumed" in error
    kept = recorded_in(tmp_path / "b")
    assert kept and kept[0].events, "what was answered before the pipe closed is kept"


def test_the_first_interview_teaches_and_later_ones_when_asked(tmp_path: Path) -> None:
    """Why the test works stands beside it until one interview is finished; --tutor brings it back."""
    lesson = b"The plastic never decides this."
    typed = b"grille\n\nq\n\n"
    assert lesson in piped(tmp_path, typed).stdout
    assert lesson not in piped(tmp_path, typed).stdout
    assert lesson in piped(tmp_path, typed, "--tutor").stdout


def test_a_data_folder_that_may_not_be_written_is_said_once(tmp_path: Path) -> None:
    """A file stands where the folder should be: one sentence, and the interview is held all the same."""
    (tmp_path / "taken").write_text("")
    done = piped(tmp_path / "taken" / "data", b"grille\n\n1\n1\nq\n\n")
    assert done.returncode == 0 and done.stderr.count(b"cannot be resumed") == 1 and done.stderr.count(b"\n") == 1
