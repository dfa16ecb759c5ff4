"""A job sheet worked through in the terminal, line by line: what is due now, what lapses when, hold points asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import TextIO

from whichresin.repair.sheet import Sheet, SheetStep, minutes_text
from whichresin.session.bench_run import Happened, Running, Standing, Tick, standing, step_to_redo

from .asks import Asks, Leave
from .bench_lines import caution_lines, clock_lines, clock_text, list_lines, over_lines, standing_lines, step_lines
from .lines import KEPT, Line, wrap, write

_KEYS = (
    "Enter: done.", "t: clocks.", "w: wait until something is due.", "c: cautions in full.", "b: back to a step.",
    "n: note.", "s: all steps.", "q: leave, all is kept.",
)  # fmt: skip
_HELP = " ".join(key.replace(": ", f":{KEPT}", 1) for key in _KEYS)  # a key and its meaning stay on one line
_LONGEST_MINUTES = 100_000.0


class Bench:
    """Asks and tells. Every event goes through `keep` before it counts; `now` and `sleep` are handed in."""

    def __init__(
        self,
        sheet: Sheet,
        events: list[Happened],
        reader: Asks,
        out: TextIO,
        keep: Callable[[Happened], None],
        now: Callable[[], Tick],
        sleep: Callable[[float], None],
        attributes: bool = False,
        width: int = 78,
    ) -> None:
        self.sheet, self.events, self.reader, self.out = sheet, events, reader, out
        self._keep, self._now, self._sleep = keep, now, sleep
        self._attributes, self._width = attributes, width
        self._told: set[str] = set()  # clocks whose end was told
        self._prompted = ""
        self._cautioned: set[str] = set()  # cautions that stood on this screen in full

    def run(self) -> bool:
        """Work through the sheet; True when it was finished, False when it was left."""
        if not self._standing().finished:
            self._happen("opened")  # from here on this session's own clock counts
        self._say(standing_lines(self.sheet, self._standing(), self._now(), self._width))
        if self._standing().finished:
            return True
        try:
            self._read_first()
            self._say(wrap(_HELP, self._width, "faint"))
            while (step := self._standing().current) is not None:
                self._step(step)
        except Leave:
            self._say(wrap("Kept. Go on with it any time; running clocks go on by the clock on the wall.", self._width))
            return False
        self._happen("finished")
        self._say([Line(""), *wrap("All steps are done. Sign the sheet and keep the record.", self._width, "strong")])
        return True

    def _read_first(self) -> None:
        """What holds for the whole job, before its first step; a page of text is waited for."""
        if self.sheet.cautions:
            self._say([Line(""), *wrap("Read this before you begin", self._width, "strong")])
            self._say(caution_lines(self.sheet.cautions, self._width))
            self._cautioned.update(one.id for one in self.sheet.cautions)
            self.reader.text("Enter when you have read it: ")

    def _standing(self) -> Standing:
        return standing(self.sheet, self.events, self._now())

    def _happen(self, kind: str, step: int = 0, name: str = "", text: str = "") -> None:
        self._keep(Happened(kind, self._now(), step, name, text))

    def _say(self, lines: list[Line]) -> None:
        write(lines, self.out, self._attributes)

    def _step(self, step: SheetStep) -> None:
        """Show a step, start its clocks once its cautions stand on the screen, and take what is said of it."""
        stand = self._standing()
        self._say(step_lines(step, self._width, self._cautioned))
        if step.number not in stand.begun:
            if step.timers:
                self.reader.text("Press Enter when you begin, so that the clock starts then: ")
            self._happen("begun", step.number)
            for timer in step.timers:
                running = next((c for c in self._standing().clocks if c.timer.clock == timer.clock), None)
                if running is not None and running.minutes is None:
                    self._ask_minutes(step, running)
        while True:
            self.alarms()
            self._prompted = self._prompt()
            said = self.reader.text(self._prompted).strip().lower()
            self.alarms()  # what came due while the person was at work
            if said == "q":
                raise Leave
            if said in ("", "d"):
                if self._finish(step):
                    return
            elif said == "b":
                if self._back():
                    return
            else:
                self._other(said, step)

    def _other(self, said: str, step: SheetStep) -> None:
        if said == "t":
            self._say(clock_lines(self._standing(), self._now(), self._width))
        elif said == "w":
            self._wait()
        elif said == "n":
            text = self.reader.text("Note: ").strip()
            if text:
                self._happen("noted", step.number, text=text[:500])
        elif said == "c":
            self._say(caution_lines((*self.sheet.cautions, *step.cautions), self._width))
        elif said == "s":
            self._say(list_lines(self.sheet, self._standing(), self._width))
        else:
            self._say(wrap(_HELP, self._width, "faint"))

    def _prompt(self) -> str:
        """What runs, in a few words, and the sign to type at."""
        said = [clock_text(one) for one in self._standing().clocks]
        return f"[{'; '.join(said)}] > " if said else "> "

    def watch(self, prompt: str) -> str:
        """While a line is waited for: tell what comes due; the prompt to write again, "" when nothing was told."""
        if not self.alarms():
            return ""
        return self._prompt() if prompt == self._prompted else prompt

    def alarms(self) -> bool:
        """Tell each clock that has come to its end, once; returns whether there was one."""
        told = False
        for one in self._standing().clocks:
            key = f"{one.timer.clock}@{one.step}"
            if one.over and key not in self._told:
                self._told.add(key)
                told = True
                self.out.write("\a\n" if self.out.isatty() else "")
                self._say(over_lines(self.sheet, one, self._width))
        return told

    def _finish(self, step: SheetStep) -> bool:
        """Take a step as done: lapsed limits first, then waits, then the hold point, then what to write down."""
        stand = self._standing()
        early = False
        for one in stand.clocks:
            if one.timer.kind == "limit" and (one.over or one.elapsed.doubtful):
                why = "has lapsed" if one.over else "may have lapsed: the computer's clock went back"
                redo = step_to_redo(self.sheet, one)
                said = self.reader.text(
                    f"The {one.timer.name} {why}. Do it again from step {redo}? y, or n if your own watch says no: "
                )
                if not said.lower().startswith("n"):
                    self._happen("back", redo)
                    return True
                self._happen("dismissed", step.number, one.timer.clock, f"{one.timer.name} {why}, own watch says no")
        own = {timer.clock for timer in step.timers}
        for one in stand.waits:
            if one.timer.clock in own:
                left = minutes_text(max(0.1, (one.seconds_left or 0.0) / 60.0)) if one.minutes is not None else "?"
                said = self.reader.text(f"The {one.timer.name} is not over, {left} to go. Really go on? yes / n: ")
                if said.strip().lower() != "yes":
                    return False
                early = True
        if step.hold and not self._hold(step):
            return False
        for name in step.record:
            text = self.reader.text(f"Write down, {name} (Enter: on paper): ").strip()
            if text.lower() == "q":  # the key for leaving, and nothing anybody would write down
                raise Leave
            if text:
                self._happen("recorded", step.number, name, text[:500])
        self._happen("early" if early else "done", step.number)
        return True

    def _hold(self, step: SheetStep) -> bool:
        said = self.reader.text(f"STOP and look: {step.hold} All right, go on? y / n: ").strip().lower()
        if said.startswith("y"):
            self._happen("hold_yes", step.number)
            return True
        self._happen("hold_no", step.number)
        self._say(wrap("Then this step is not done. Put it right, or go back to an earlier step with b.", self._width))
        return False

    def _ask_minutes(self, step: SheetStep, running: Running) -> None:
        while True:
            text = self.reader.text(
                f"The {running.timer.name} in minutes, off the product's sheet (Enter: not known): "
            )
            if not text.strip():
                return
            try:
                minutes = float(text)
            except ValueError:
                minutes = -1.0
            if 0.0 < minutes <= _LONGEST_MINUTES:
                self._happen("minutes", step.number, running.timer.clock, f"{minutes:g}")
                return
            self._say(wrap("Give minutes as a number, such as 12.", self._width))

    def _back(self) -> bool:
        text = self.reader.text("Back to which step? Its number: ").strip()
        if text.isdigit() and 1 <= int(text) <= len(self.sheet.steps):
            self._happen("back", int(text))
            return True
        self._say(wrap(f"There are steps 1 to {len(self.sheet.steps)}.", self._width))
        return False

    def _wait(self) -> None:
        """Say what is left now and then, until a clock ends; Ctrl-C stops the waiting, not the clock."""
        try:
            while (left := self._next_end()) is not None:
                self._say(clock_lines(self._standing(), self._now(), self._width))
                self._sleep(min(left + 0.5, 60.0 if left > 90.0 else max(5.0, left / 2.0)))
                self.alarms()
        except KeyboardInterrupt:
            self._say([Line("")])
            return
        if not self._standing().clocks:
            self._say([Line("No clock is running.")])

    def _next_end(self) -> float | None:
        """Seconds to the next end of a clock that has not been told; None when there is none."""
        lefts = [one.seconds_left for one in self._standing().clocks]
        return min((left for left in lefts if left is not None and left > 0.0), default=None)
