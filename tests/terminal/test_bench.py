"""A job sheet worked through in the terminal: cautions first, clocks told, hold points that hold."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable

import pytest

from whichresin.repair.sheet import Sheet, SheetCaution, SheetStep, SheetTimer
from whichresin.session.bench_run import Happened, Tick
from whichresin.terminal.asks import Leave
from whichresin.terminal.bench import Bench
from whichresin.terminal.watchful import WatchfulAsks

FLASH = SheetTimer("flash_off", "flash-off", "wait", 10.0, "wait 10 min", "p", "", "")
WINDOW = SheetTimer("promoter_window", "bonding window", "limit", 45.0, "", "p", "flash_off", "work")
WORK = SheetTimer("work", "work time", "limit", None, "as the sheet says", "", "", "work")
FIRE = SheetCaution("solvent-flash", "danger", "flash fire", "The vapour of this can be lit.", False)


def step(
    number: int, stage: str, *timers: SheetTimer, hold: str = "", cautions: tuple[SheetCaution, ...] = ()
) -> SheetStep:
    record = ("time of coat",) if number == 2 else ()
    return SheetStep(number, f"s{number}", stage, f"Do thing {number}.", "why", "", cautions, hold, record, timers, ())


SHEET = Sheet(
    "0123456789ab", "2026-06-01", "Job sheet", "repair", "two_part_adhesive", "bond", "engine cover", "", "", "",
    "", (), (), 0.0, "concluded", (), (), (), "", "", (), (), (), (), (), (), "",
    (
        step(1, "Clean", hold="Matt everywhere?"), step(2, "Promoter", cautions=(FIRE,)),
        step(3, "Promoter", FLASH, WINDOW, hold="No wet shine?"), step(4, "Back", WORK),
    ), "key",
)  # fmt: skip


class Played:
    """Answers one after the other; a number lets that many minutes pass before the next one."""

    def __init__(self, *said: str | float) -> None:
        self.said, self.minutes, self.prompts = list(said), 0.0, []  # type: ignore[var-annotated]

    def text(self, prompt: str) -> str:
        self.prompts.append(prompt)
        while self.said and isinstance(self.said[0], float):
            self.minutes += self.said.pop(0)  # type: ignore[arg-type]
        if not self.said:
            raise Leave
        return str(self.said.pop(0))

    def now(self) -> Tick:
        return Tick(1e9 + self.minutes * 60.0, self.minutes * 60.0, "a")

    def sleep(self, seconds: float) -> None:
        self.minutes += seconds / 60.0


def play(*said: str | float, sleep: Callable[[float], None] | None = None) -> tuple[bool, list[Happened], str, Played]:
    events: list[Happened] = []
    out, played = io.StringIO(), Played(*said)
    bench = Bench(SHEET, events, played, out, events.append, played.now, sleep or played.sleep)
    finished = bench.run()
    assert events.pop(0).kind == "opened"
    return finished, events, out.getvalue(), played


def kinds(events: list[Happened]) -> list[tuple[str, int]]:
    return [(one.kind, one.step) for one in events]


def test_a_whole_job_from_first_to_last() -> None:
    """Hold points answered, a time written down, the wait kept, the work time read off the sheet."""
    finished, events, shown, _ = play("", "y", "", "10:02", "", 12.0, "", "y", "", "8", "")
    assert finished and events[-1].kind == "finished"
    assert [number for kind, number in kinds(events) if kind == "done"] == [1, 2, 3, 4]
    assert ("recorded", 2) in kinds(events) and ("minutes", 4) in kinds(events)
    assert "DUE: the flash-off is over." in shown


def test_the_caution_stands_before_the_step_and_in_full() -> None:
    """A screen has no 'above': the whole text comes before the words of the step, and before its clock can start."""
    _, _, shown, _ = play("", "y")
    assert shown.index("DANGER: flash fire. The vapour of this can be lit.") < shown.index("2. Do thing 2.")


def test_a_hold_point_that_is_not_met_holds() -> None:
    """'No' does not tick the step; the next Enter asks it again."""
    _, events, shown, _ = play("", "n", "", "maybe", "", "y")
    assert kinds(events)[:4] == [("begun", 1), ("hold_no", 1), ("hold_no", 1), ("hold_yes", 1)]
    assert "Then this step is not done." in shown


def test_a_wait_is_not_cut_short_by_an_enter() -> None:
    """Only a spelled-out yes goes on before the flash-off is over, and that is kept as a deviation."""
    before = ("", "y", "", "", "")
    _, events, _, played = play(*before, 2.0, "", "y")
    assert ("done", 3) not in kinds(events) and ("early", 3) not in kinds(events)
    assert any("The flash-off is not over, 8 min to go." in prompt for prompt in played.prompts)
    _, events, _, _ = play(*before, 2.0, "", "yes", "y")
    assert ("early", 3) in kinds(events)


def test_a_lapsed_window_sends_back_unless_the_own_watch_says_no() -> None:
    """Enter means the safe way: coat again. 'n' goes on, and is kept."""
    before = ("", "y", "", "", "", 50.0)
    _, events, shown, played = play(*before, "", "")
    assert ("back", 2) in kinds(events) and "LAPSED: the bonding window. Stop; do it again from step 2." in shown
    assert any("Do it again from step 2?" in prompt for prompt in played.prompts)
    _, events, _, _ = play(*before, "", "n", "y")
    assert ("dismissed", 3) in kinds(events) and ("done", 3) in kinds(events)


def test_waiting_tells_when_it_is_due() -> None:
    """`w` sleeps until the next clock ends and says so; the clock is handed in, so the test does not wait."""
    _, _, shown, played = play("", "y", "", "", "", "w")
    assert "DUE: the flash-off is over." in shown and "LAPSED: the bonding window" in shown
    assert 45.0 <= played.minutes < 47.0


def test_ctrl_c_stops_the_waiting_and_not_the_clock() -> None:
    """Interrupting the wait gives the prompt back."""

    def interrupted(_: float) -> None:
        raise KeyboardInterrupt

    finished, events, _, _ = play("", "y", "", "", "", "w", 11.0, "", "y", sleep=interrupted)
    assert not finished and ("done", 3) in kinds(events)


@pytest.mark.parametrize("said", ["t", "s", "h", "x"])
def test_looking_changes_nothing(said: str) -> None:
    """Clocks, the list and help may be asked for at any time."""
    assert kinds(play(said)[1]) == [("begun", 1)]


def test_leaving_keeps_everything() -> None:
    """q, the end of the input and Ctrl-C all leave with what was done."""
    finished, events, shown, _ = play("", "y", "q")
    assert not finished and ("done", 1) in kinds(events) and "Kept. Go on with it any time" in shown


def test_q_leaves_where_something_is_to_be_written_down_too() -> None:
    """Whoever wants to go must not end up with `q` as the time of a coat and the step as done."""
    finished, events, _, _ = play("", "y", "", "q", "", "")
    assert not finished and ("done", 2) not in kinds(events)
    assert not any(one.kind == "recorded" for one in events)


def test_a_key_stays_on_one_line_with_its_meaning() -> None:
    """`b:` at the end of one line and its meaning on the next is not read."""
    _, _, shown, _ = play("h")
    assert all(not line.endswith(":") for line in shown.splitlines() if "Enter:" in line or "back" in line)


def test_going_back_undoes_what_follows() -> None:
    """Back to a step that exists; others are named."""
    _, events, shown, _ = play("", "y", "b", "9", "b", "1")
    assert ("back", 1) in kinds(events) and "There are steps 1 to 4." in shown


def test_minutes_must_be_a_number() -> None:
    """Words, nothing sensible and a day too many are asked again; Enter leaves it open."""
    _, events, shown, _ = play("", "y", "", "", "", 12.0, "", "y", "", "lots", "-3", "nan", "1e9", "7.5")
    assert events[-1].text == "7.5" and shown.count("Give minutes as a number") == 4


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals there")
def test_what_comes_due_is_told_while_nobody_types() -> None:
    """The person stands at the part and not at the keyboard: the clock speaks by itself, and the prompt comes again."""
    master, slave = os.openpty()
    out = io.StringIO()
    with os.fdopen(slave, "r") as source:
        asks = WatchfulAsks(source, out, seconds=0.01)
        calls: list[int] = []

        def watch(prompt: str) -> str:
            calls.append(1)
            if len(calls) == 3:
                out.write("DUE\n")
            if len(calls) == 6:
                os.write(master, b"done\n")
            return f"again {prompt}" if len(calls) == 3 else ""

        asks.watch = watch
        assert asks.text("> ") == "done"
    os.close(master)
    assert out.getvalue() == "> DUE\nagain > " and len(calls) >= 6


def test_without_a_terminal_lines_are_simply_read() -> None:
    """A pipe is not waited for, and its end is the end."""
    asks = WatchfulAsks(io.StringIO("y\n"), io.StringIO())
    assert asks.text("> ") == "y"
    with pytest.raises(Leave):
        asks.text("> ")
