"""What the screen of a running job says: a step, its clocks, the list, and where the work stands."""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from dataclasses import replace

from whichresin.repair.sheet import LEVELS, Sheet, SheetCaution, SheetStep, minutes_text, still_holds
from whichresin.session.bench_run import Running, Standing, Tick, step_to_redo

from .lines import Line, wrap


def caution_lines(cautions: Iterable[SheetCaution], width: int) -> list[Line]:
    """Cautions in full."""
    texts = (f"{LEVELS[one.level]}: {one.hazard}. {one.text}" for one in cautions)
    return [line for text in texts for line in wrap(text, width, "caution", first="! ", rest="  ")]


def step_lines(step: SheetStep, width: int, told: set[str]) -> list[Line]:
    """A step, its cautions in front of it: in full the first time on this screen, in a sentence after that."""
    shown = replace(step, cautions=tuple(replace(one, full=one.id not in told) for one in step.cautions))
    lines = [Line("")]
    again = still_holds(shown, None)
    if again:
        lines += wrap(again, width, "caution", first="! ", rest="  ")
    lines += caution_lines((one for one in shown.cautions if one.full), width)
    told.update(one.id for one in step.cautions)
    lines += wrap(f"{step.number}. {step.do}", width, "strong", rest="   ")
    lines += wrap(f"Why: {step.why}", width, first="   ", rest="   ")
    return lines + (wrap(f"Time: {step.time}", width, first="   ", rest="   ") if step.time else [])


def clock_text(one: Running) -> str:
    """A clock in a few words."""
    left = one.seconds_left
    if left is None:
        return f"{one.timer.name}: not known"
    if one.elapsed.doubtful:
        return f"{one.timer.name}: doubtful"
    if one.timer.kind == "wait":
        return f"{one.timer.name}: over" if one.over else f"{one.timer.name}: {_left(left)} to go"
    return f"{one.timer.name}: LAPSED" if one.over else f"{one.timer.name}: lapses in {_left(left)}"


def clock_lines(stand: Standing, now: Tick, width: int) -> list[Line]:
    """Every clock with the time of day at which it ends."""
    lines: list[Line] = []
    for one in stand.clocks:
        at = ""
        if one.seconds_left is not None and not one.elapsed.doubtful:
            at = f", at {time.strftime('%H:%M', time.localtime(now.wall + one.seconds_left))}"
        lines += wrap(f"{clock_text(one)}{at} (since step {one.step})", width)
    return lines or [Line("No clock is running.")]


def over_lines(sheet: Sheet, one: Running, width: int) -> list[Line]:
    """What to do now that a clock has come to its end."""
    if one.timer.kind == "wait":
        return wrap(f"DUE: the {one.timer.name} is over. Look before you go on.", width, "strong")
    redo = step_to_redo(sheet, one)
    return wrap(f"LAPSED: the {one.timer.name}. Stop; do it again from step {redo}.", width, "strong")


def list_lines(sheet: Sheet, stand: Standing, width: int) -> list[Line]:
    """All steps, done or not."""
    lines: list[Line] = []
    for step in sheet.steps:
        here = stand.current is not None and stand.current.number == step.number
        mark = "x" if step.number in stand.done else ">" if here else " "
        lines += wrap(f"[{mark}] {step.number}. {step.do}", width, "strong" if here else "plain", rest="       ")
    return lines


def standing_lines(sheet: Sheet, stand: Standing, now: Tick, width: int) -> list[Line]:
    """Where the work stands: for the start, after a restart, and for a look from outside."""
    lines = wrap(f"{sheet.title}: {sheet.part or 'part not named'}", width, "strong")
    if stand.went_back > 1.0:
        lines += wrap(
            f"The clock of this computer went back by {_left(stand.went_back)} during this job. Waits count nothing "
            "for that time; take limits that ran then as lapsed unless your own watch says no.", width, "caution",
        )  # fmt: skip
    if stand.current is None:
        return lines + wrap("All steps are done.", width)
    lines += wrap(f"{len(stand.done)} of {len(sheet.steps)} steps done; now step {stand.current.number}.", width)
    return lines + (clock_lines(stand, now, width) if stand.clocks else [])


def standing_json(sheet: Sheet, stand: Standing) -> Mapping[str, object]:
    """The same for scripts."""
    return {
        "schema": 1,
        "sheet": sheet.id,
        "done": sorted(stand.done),
        "current": stand.current.number if stand.current else None,
        "finished": stand.finished,
        "clock_went_back_seconds": round(stand.went_back, 1),
        "clocks": [
            {
                "clock": one.timer.clock,
                "kind": one.timer.kind,
                "step": one.step,
                "seconds_left": None if one.seconds_left is None else round(one.seconds_left, 1),
                "over": one.over,
                "doubtful": one.elapsed.doubtful,
            }
            for one in stand.clocks
        ],
    }


def _left(seconds: float) -> str:
    return minutes_text(seconds / 60.0) if seconds >= 60.0 else f"{seconds:.0f} s"
