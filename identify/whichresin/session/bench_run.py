"""A job sheet being worked through: events folded into steps done and clocks that run. Pure; the time is handed in.

Two tallies of time are kept, because clocks lie: within one session the least and the most of what the wall clock
and the monotonic clock say has passed (a laptop that slept stops one, a corrected clock moves the other); from one
session to the next the wall clock alone. A wait is over when the least is long enough, a limit has lapsed when the
most is. When the wall clock went backwards between sessions, waits count nothing for the gap and limits are doubtful.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from whichresin.repair.sheet import Sheet, SheetStep, SheetTimer

EVENTS = (
    "opened",
    "begun",
    "done",
    "early",
    "hold_yes",
    "hold_no",
    "back",
    "minutes",
    "dismissed",
    "recorded",
    "noted",
    "finished",
)


@dataclass(frozen=True, slots=True)
class Tick:
    """A moment: wall clock in seconds since 1970, monotonic clock in seconds, and the session it belongs to."""

    wall: float
    mono: float
    session: str


@dataclass(frozen=True, slots=True)
class Happened:
    """Something that happened. `step` is the number on the sheet, 0 for none; `name` and `text` as the kind wants."""

    kind: str  # one of EVENTS
    at: Tick
    step: int = 0
    name: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Elapsed:
    """Seconds that have passed: at least, at most; `doubtful` when the wall clock went backwards meanwhile."""

    least: float = 0.0
    most: float = 0.0
    doubtful: bool = False

    def plus(self, before: Tick, after: Tick) -> Elapsed:
        """With the time from one moment to the next added."""
        wall = after.wall - before.wall
        if before.session == after.session:
            mono = max(0.0, after.mono - before.mono)
            return replace(self, least=self.least + max(0.0, min(wall, mono)), most=self.most + max(wall, mono))
        if wall < 0.0:
            return replace(self, doubtful=True)
        return replace(self, least=self.least + wall, most=self.most + wall)


@dataclass(frozen=True, slots=True)
class Running:
    """A clock that runs, started at a step. `minutes` None: the person has not read it off the product's sheet yet."""

    timer: SheetTimer
    step: int
    minutes: float | None
    elapsed: Elapsed = field(default_factory=Elapsed)

    @property
    def seconds_left(self) -> float | None:
        """Seconds still to wait, or still to go before it lapses; below zero when past; None when nobody knows."""
        if self.minutes is None:
            return None
        passed = self.elapsed.least if self.timer.kind == "wait" else self.elapsed.most
        return self.minutes * 60.0 - passed

    @property
    def over(self) -> bool:
        """A wait that is over, or a limit that has lapsed."""
        return self.seconds_left is not None and self.seconds_left <= 0.0


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the work stands. `current` is the first step that is not done, None when all are."""

    done: frozenset[int]
    begun: frozenset[int]
    held: frozenset[int]  # steps whose hold point was answered yes
    current: SheetStep | None
    clocks: tuple[Running, ...]
    finished: bool
    went_back: float  # seconds by which the wall clock was seen to go backwards, 0 if never

    @property
    def waits(self) -> tuple[Running, ...]:
        """Waits that are not over."""
        return tuple(one for one in self.clocks if one.timer.kind == "wait" and not one.over)

    @property
    def lapsed(self) -> tuple[Running, ...]:
        """Limits that have lapsed."""
        return tuple(one for one in self.clocks if one.timer.kind == "limit" and one.over)


def standing(sheet: Sheet, events: Iterable[Happened], now: Tick) -> Standing:
    """Fold the events; clocks are read at `now`."""
    done: set[int] = set()
    begun: set[int] = set()
    held: set[int] = set()
    clocks: list[Running] = []
    read: dict[tuple[int, str], float] = {}
    before: Tick | None = None
    went_back, finished = 0.0, False
    steps = {step.number: step for step in sheet.steps}
    for event in [*events, Happened("", now)]:
        if before is not None:
            clocks = [replace(one, elapsed=one.elapsed.plus(before, event.at)) for one in clocks]
            went_back = max(went_back, before.wall - event.at.wall)
        before = event.at
        step = steps.get(event.step)
        if event.kind == "begun" and step is not None:
            begun.add(step.number)
            clocks = _start(step, clocks, read)
        elif event.kind in ("done", "early") and step is not None:
            done.add(step.number)
            clocks = _stop(sheet, step, clocks)
        elif event.kind == "hold_yes":
            held.add(event.step)
        elif event.kind == "back":
            gone = range(event.step, len(sheet.steps) + 1)
            done, begun, held = (found.difference(gone) for found in (done, begun, held))
            clocks = [one for one in clocks if one.step < event.step]
        elif event.kind == "minutes" and step is not None:
            minutes = float(event.text)
            read[(step.number, event.name)] = minutes
            clocks = [replace(c, minutes=minutes) if c.timer.clock == event.name else c for c in clocks]
        elif event.kind == "dismissed":  # the person's own watch says otherwise
            clocks = [one for one in clocks if one.timer.clock != event.name]
        elif event.kind == "finished":
            finished = True
    current = next((step for step in sheet.steps if step.number not in done), None)
    return Standing(
        frozenset(done), frozenset(begun), frozenset(held), current, tuple(clocks), finished, max(0.0, went_back)
    )


def _start(step: SheetStep, clocks: Sequence[Running], read: dict[tuple[int, str], float]) -> list[Running]:
    """Start the clocks of a step; a limit that runs already goes on, a wait begins anew."""
    kept = list(clocks)
    for timer in step.timers:
        running = next((one for one in kept if one.timer.clock == timer.clock), None)
        if running is not None and timer.kind == "limit":
            continue
        kept = [one for one in kept if one.timer.clock != timer.clock]
        kept.append(Running(timer, step.number, read.get((step.number, timer.clock), timer.minutes)))
    return kept


def _stop(sheet: Sheet, step: SheetStep, clocks: Sequence[Running]) -> list[Running]:
    """Stop what the end of a step ends: its own waits, windows that it closes, a limit that no step after it shares."""
    own = {timer.clock for timer in step.timers}
    after = next((one for one in sheet.steps if one.number > step.number), None)
    shared = {timer.clock for timer in after.timers} if after is not None else set()

    def ends(one: Running) -> bool:
        if one.timer.kind == "wait":
            return one.timer.clock in own
        if one.timer.ends and one.timer.ends != one.timer.clock:
            return one.timer.ends in own
        return one.timer.clock in own and one.timer.clock not in shared

    return [one for one in clocks if not ends(one)]


def step_to_redo(sheet: Sheet, lapsed: Running) -> int:
    """The step from which to do it again when a limit has lapsed: the first of the stage in which its clock began."""
    started = next(step for step in sheet.steps if step.number == lapsed.step)
    number = started.number
    for step in reversed(sheet.steps[: started.number - 1]):
        if step.stage != started.stage:
            break
        number = step.number
    return number
