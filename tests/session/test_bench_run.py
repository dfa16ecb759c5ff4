"""A sheet being worked through: what is due, what lapses, across restarts and clocks that lie."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.repair.sheet import Sheet, SheetStep, SheetTimer
from whichresin.session.bench_run import Happened, Standing, Tick, standing, step_to_redo
from whichresin.session.run_file import RunError, RunFile, read_run

WINDOW = SheetTimer("promoter_window", "bonding window", "limit", 45.0, "", "p", "flash_off", "work")
FLASH = SheetTimer("flash_off", "flash-off", "wait", 10.0, "", "p", "", "")
WORK = SheetTimer("work", "work time", "limit", 6.0, "", "a", "", "work")
CURE = SheetTimer("cure", "cure", "wait", 60.0, "", "a", "", "")
OPEN = SheetTimer("work", "work time", "limit", None, "", "", "", "work")


def step(number: int, stage: str, *timers: SheetTimer) -> SheetStep:
    return SheetStep(number, f"s{number}", stage, f"do {number}", "why", "", (), "", (), timers, ())


STEPS = (
    step(1, "Clean"), step(2, "Promoter"), step(3, "Promoter", FLASH, WINDOW), step(4, "Back"), step(5, "Back", WORK),
    step(6, "Back", WORK), step(7, "Back", CURE), step(8, "Check"),
)  # fmt: skip


def sheet(steps: tuple[SheetStep, ...] = STEPS) -> Sheet:
    return Sheet(
        "0123456789ab", "2026-06-01", "Job sheet", "repair", "two_part_adhesive", "bond", "part", "", "", "", "", (),
        (), 0.0, "concluded", (), (), (), "", "", (), (), (), (), (), (), "", steps, "key",
    )  # fmt: skip


class Bench:
    """Plays events at chosen minutes; the wall clock may be moved under it."""

    def __init__(self) -> None:
        self.wall, self.mono, self.session = 1_000_000.0, 50.0, "a"
        self.events: list[Happened] = []

    def at(self) -> Tick:
        return Tick(self.wall, self.mono, self.session)

    def passes(self, minutes: float) -> Bench:
        self.wall += minutes * 60.0
        self.mono += minutes * 60.0
        return self

    def restart(self, gap_minutes: float) -> Bench:
        self.wall += gap_minutes * 60.0
        self.mono, self.session = 3.0, f"{self.session}+"
        return self.does("opened", 0)

    def does(self, kind: str, number: int, name: str = "", text: str = "") -> Bench:
        self.events.append(Happened(kind, self.at(), number, name, text))
        return self

    def stands(self, of: Sheet | None = None) -> Standing:
        return standing(of or sheet(), self.events, self.at())


def flashed() -> Bench:
    """The coat is on and flashes off."""
    bench = Bench().does("begun", 1).does("done", 1).does("begun", 2).does("done", 2)
    return bench.does("begun", 3)


def left(stand: Standing) -> dict[str, float | None]:
    return {one.timer.clock: one.seconds_left for one in stand.clocks}


def test_flash_off_and_window_run_side_by_side() -> None:
    """After four minutes: six to wait, forty-one to bond in."""
    assert left(flashed().passes(4).stands()) == {"flash_off": 360.0, "promoter_window": 41 * 60.0}


def test_spreading_closes_the_window_and_the_last_spread_the_work_time() -> None:
    """The work clock runs on from one spreading step to the next, and ends with the last."""
    bench = flashed().passes(12).does("done", 3).does("begun", 4).does("done", 4).does("begun", 5)
    assert set(left(bench.stands())) == {"promoter_window", "work"}
    bench.passes(2).does("done", 5).does("begun", 6).passes(1)
    assert left(bench.stands()) == {"work": 180.0}
    assert set(left(bench.does("done", 6).does("begun", 7).stands())) == {"cure"}


def test_a_lapsed_window_sends_back_to_the_coat() -> None:
    """Bonding into a stale coat is the trade's usual failure: do it again from the coat, not from the wait."""
    bench = flashed().passes(46)
    lapsed = bench.stands().lapsed
    assert [one.timer.clock for one in lapsed] == ["promoter_window"]
    assert step_to_redo(sheet(), lapsed[0]) == 2
    again = bench.does("back", 2).stands()
    assert again.current is not None and again.current.number == 2 and not again.clocks and again.done == {1}


def test_clocks_go_on_while_the_program_is_off() -> None:
    """Left for half an hour and begun again: the wall clock carries the clocks over."""
    stand = flashed().passes(2).restart(30).passes(1).stands()
    assert left(stand) == {"flash_off": -23 * 60.0, "promoter_window": 12 * 60.0}


def test_a_wall_clock_set_back_is_said_and_hurries_nothing() -> None:
    """Set back by an hour between two sessions: the wait counts nothing for the gap, the limit is doubtful."""
    stand = flashed().passes(2).restart(-60).passes(1).stands()
    clocks = {one.timer.clock: one for one in stand.clocks}
    assert stand.went_back == pytest.approx(3480.0), "seen from the last entry, two minutes before"
    assert clocks["flash_off"].seconds_left == pytest.approx(9 * 60.0)
    assert clocks["promoter_window"].elapsed.doubtful


@pytest.mark.parametrize("jump", [-120.0, 120.0])
def test_a_wall_clock_moved_while_it_runs_is_taken_the_safe_way(jump: float) -> None:
    """Within a session: a wait is over only when both clocks say so, a limit lapses when either does."""
    bench = flashed().passes(5)
    bench.wall += jump * 60.0
    clocks = {one.timer.clock: one for one in bench.stands().clocks}
    assert not clocks["flash_off"].over
    assert clocks["promoter_window"].over == (jump > 0)


def test_a_laptop_that_slept_lapses_the_window() -> None:
    """Asleep the monotonic clock may stand still; the adhesive does not."""
    bench = flashed().passes(1)
    bench.wall += 50 * 60.0
    assert [one.timer.clock for one in bench.stands().lapsed] == ["promoter_window"]


def test_a_time_read_off_the_sheet_is_used() -> None:
    """Without a product file the person types the minutes; until then nobody knows."""
    steps = sheet((step(1, "Back", OPEN), step(2, "Back", OPEN)))
    bench = Bench().does("begun", 1)
    assert left(bench.stands(steps)) == {"work": None}
    assert left(bench.does("minutes", 1, "work", "8").passes(3).stands(steps)) == {"work": 300.0}
    assert left(bench.does("done", 1).does("begun", 2).stands(steps)) == {"work": 300.0}


@settings(max_examples=150)
@given(st.lists(st.tuples(st.integers(0, 10), st.floats(-90, 90), st.booleans()), max_size=25))
def test_no_order_of_events_and_no_clock_hurries_a_wait(moves: list[tuple[int, float, bool]]) -> None:
    """Whatever happens: a wait that counts as over has really had its minutes, as a true clock would tell them."""
    bench, true = Bench(), 0.0
    begun_at: dict[int, float] = {}
    kinds = ("begun", "done", "back", "early", "hold_yes", "noted", "opened", "hold_no", "recorded", "begun", "done")
    for what, minutes, restart in moves:
        passed = abs(minutes)
        true += passed
        wall = minutes if restart or minutes < 0 else passed  # the wall clock may be moved back, never honestly forward
        bench.mono += passed * 60.0
        bench.wall += wall * 60.0
        if restart:
            bench.session, bench.mono = f"{bench.session}+", 1.0
        stand = bench.stands()
        current = stand.current.number if stand.current else 8
        bench.does(kinds[what], current)
        if kinds[what] == "begun":
            begun_at[current] = true
    for one in bench.stands().clocks:
        if one.timer.kind == "wait" and one.over:
            assert true - begun_at[one.step] >= (one.minutes or 0.0) - 1e-6


def test_events_are_on_the_disk_when_they_count(tmp_path: Path) -> None:
    """Written, closed, opened again: the same events; a line cut off by a crash is left out."""
    path = tmp_path / "runs" / "x.run"
    record = RunFile(path, "0123456789ab")
    bench = flashed()
    for event in bench.events:
        record.write(event)
    record.close()
    assert read_run(path, "0123456789ab") == bench.events
    with path.open("ab") as stream:
        stream.write(b'{"kind":"done","at":{"wall":1')
    again = RunFile(path, "0123456789ab")
    assert again.events == bench.events
    again.write(bench.events[0])
    again.close()
    assert read_run(path, "0123456789ab") == [*bench.events, bench.events[0]]


def test_two_windows_cannot_run_one_sheet(tmp_path: Path) -> None:
    """Two people ticking one sheet would each see half of it."""
    path = tmp_path / "x.run"
    record = RunFile(path, "0123456789ab")
    with pytest.raises(RunError, match="in another window"):
        RunFile(path, "0123456789ab")
    record.close()
    RunFile(path, "0123456789ab").close()


def test_another_sheets_record_is_not_written_into(tmp_path: Path) -> None:
    """Clocks of one job must not be taken for those of another."""
    path = tmp_path / "x.run"
    RunFile(path, "0123456789ab").close()
    with pytest.raises(RunError, match="not the record of this sheet"):
        RunFile(path, "ba9876543210")


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files there")
def test_a_full_disk_is_said_and_the_record_stays_whole(tmp_path: Path) -> None:
    """The event that did not fit has not happened; all before it have."""
    path = tmp_path / "x.run"
    code = f"""
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (900, 900))
from pathlib import Path
from whichresin.session.bench_run import Happened, Tick
from whichresin.session.run_file import RunError, RunFile
record = RunFile(Path({str(path)!r}), "0123456789ab")
for number in range(50):
    try:
        record.write(Happened("noted", Tick(1.0, 1.0, "a"), 0, "", str(number)))
    except RunError as error:
        print(number, error); sys.exit(0)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    count = int(done.stdout.split()[0])
    assert "disk is full" in done.stdout or "cannot be written" in done.stdout
    assert [one.text for one in read_run(path, "0123456789ab")] == [str(n) for n in range(count)]


def test_a_kill_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    """Killed while writing: every event that was told as written is there."""
    path = tmp_path / "x.run"
    code = f"""
from pathlib import Path
from whichresin.session.bench_run import Happened, Tick
from whichresin.session.run_file import RunFile
record = RunFile(Path({str(path)!r}), "0123456789ab")
for number in range(100000):
    record.write(Happened("noted", Tick(1.0, 1.0, "a"), 0, "", str(number)))
    print(number, flush=True)
"""
    running = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert running.stdout is not None
    told = [running.stdout.readline().strip() for _ in range(20)]
    os.kill(running.pid, signal.SIGKILL)
    running.communicate(timeout=30)
    assert [one.text for one in read_run(path, "0123456789ab")][: len(told)] == told


@pytest.mark.parametrize("line", ["[]", "3", '{"kind": "eaten"}', json.dumps({"kind": "minutes", "text": "many"})])
def test_lines_that_are_no_event_are_left_out(tmp_path: Path, line: str) -> None:
    """Whatever stands in the file, reading it does not fail."""
    path = tmp_path / "x.run"
    RunFile(path, "0123456789ab").close()
    with path.open("a") as stream:
        stream.write(line + "\n")
    assert read_run(path, "0123456789ab") == []
