"""A guided interview on the full screen inside the test: keys in through a pipe, the screen out through an emulator."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable
from typing import TypeVar

import pyte
from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, Declined, Event
from whichresin.session.interview import Interview
from whichresin.session.result import Result
from whichresin.terminal.guided import Guided
from whichresin.terminal.screen import Screen

T = TypeVar("T")
PATIENCE = 20.0
OPENED = (
    Answered("part", "grille"),
    Declined("marking"),
    Answered("duty", "none_of_these"),
    Answered("condition", "sound"),
)


class Paper:
    """What the screen writes, fed to a terminal emulator; the part of a text stream that is needed."""

    encoding = "utf-8"

    def __init__(self, stream: pyte.Stream) -> None:
        self._stream = stream
        self.written = ""

    def write(self, text: str) -> int:
        self.written += text
        self._stream.feed(text)
        return len(text)

    def flush(self) -> None:
        """Nothing is kept back."""

    def isatty(self) -> bool:
        return True

    def fileno(self) -> int:
        raise OSError("no descriptor")


class Bench:
    """One interview held on an emulated screen."""

    def __init__(
        self,
        model: Model,
        columns: int = 80,
        rows: int = 24,
        events: Iterable[Event] = OPENED,
        tutor: bool = False,
        attributes: bool = False,
        pause: float = 600.0,
    ) -> None:
        """`pause`: seconds before the questions ahead are counted; most stories do not wait for that."""
        self._pause = pause
        self.size = Size(rows=rows, columns=columns)
        self._emulator = pyte.Screen(columns, rows)
        self.paper = Paper(pyte.Stream(self._emulator))
        self.told: list[Event] = []
        self.interview = Interview(model, None, events)
        self._tutor, self._attributes = tutor, attributes

    def run(self, story: Callable[[Bench], Awaitable[T]]) -> T:
        """Play a story against the running interview."""

        async def play() -> T:
            with create_pipe_input() as self.pipe:
                out = Vt100_Output(self.paper, lambda: self.size, term="xterm", enable_cpr=False)  # type: ignore[arg-type]
                self.front = Screen(self.pipe, out, self._attributes, pause=self._pause)
                self.flow = Guided(self.interview, self.front, self.told.append, self._tutor)
                self.held: asyncio.Task[Result] = asyncio.ensure_future(self.front.hold_here(self.flow.run()))
                try:
                    await self.settled()
                    return await story(self)
                finally:
                    self.held.cancel()
                    await asyncio.gather(self.held, return_exceptions=True)

        return asyncio.run(play())

    async def press(self, *keys: str) -> str:
        """Send keys one after another, each once the screen stands still; the screen after the last."""
        for key in keys:
            self.pipe.send_text(key)
            await asyncio.sleep(0.003)
            await self.settled()
        return self.shown()

    async def settled(self) -> None:
        """Wait until the screen is drawn and something is asked, or the interview has ended."""
        quiet = 0
        end = asyncio.get_running_loop().time() + PATIENCE
        while quiet < 3:
            assert asyncio.get_running_loop().time() < end, f"the screen does not come to rest:\n{self.shown()}"
            before = len(self.paper.written)
            await asyncio.sleep(0.002)
            still = self.held.done() or self.front.waits
            quiet = quiet + 1 if still and len(self.paper.written) == before else 0

    async def resize(self, columns: int, rows: int) -> str:
        """Change the size as a terminal does: the emulator, then the word to the application."""
        self.size = Size(rows=rows, columns=columns)
        self._emulator.resize(rows, columns)
        self._emulator.reset()
        self.front.resized()
        await self.settled()
        return self.shown()

    def shown(self) -> str:
        """The screen, one line a row."""
        return "\n".join(line.rstrip() for line in self._emulator.display)

    async def ended(self) -> Result:
        """The result, once the interview is over."""
        return await asyncio.wait_for(self.held, PATIENCE)
