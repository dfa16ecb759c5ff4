"""The full screen, with prompt_toolkit: draws pages as `layout` lays them out, hands back keys and typed lines."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Coroutine, Iterator
from typing import Any, TypeVar

from prompt_toolkit.application import Application
from prompt_toolkit.buffer import Buffer
from prompt_toolkit.formatted_text import StyleAndTextTuples
from prompt_toolkit.input import Input
from prompt_toolkit.layout import BufferControl, FormattedTextControl, HSplit, Layout, Window
from prompt_toolkit.layout.processors import BeforeInput
from prompt_toolkit.output import ColorDepth, Output

from . import words
from .asks import EndOfInput, Leave
from .front import Text
from .keyboard import bindings_for
from .layout import Drawn, compose, prompt_fits
from .lines import Line, wrap
from .look import Look, look_for
from .page import Page

_T = TypeVar("_T")
_ECHO = 0.004  # seconds for the screen to show a key before it is worked on
_PAUSE = 0.25  # seconds
_WITHOUT_LASTING = ("read", "ending", "consent")  # pages that need the room
_UNWRAPPED = 100_000  # columns


class Screen:
    """A front end over the whole terminal. One application runs from the first page to the last."""

    has_panel = True

    def __init__(
        self,
        source: Input | None = None,
        out: Output | None = None,
        attributes: bool = True,
        look: Look | None = None,
        pause: float = _PAUSE,
    ) -> None:
        """`pause`: seconds without a key before the questions ahead are counted."""
        self._pause = pause
        self._page = Page("read", words.TITLE, "")
        self.typing = False
        self._remarks: list[Text] = []
        self._lasting: list[Text] = []
        self._skip: list[int] = [0]  # how much of a long page is past, one entry a screen of it
        self._last: Drawn | None = None  # what stands on the screen
        self._echo = ""  # the key that is being worked on
        self._size = (0, 0)
        self._marked, self._marked_for = "", ""
        self._waiting: asyncio.Future[str] | None = None
        self._early: deque[str] = deque()  # keys that were pressed before anything asked for them
        self._gone: Leave | None = None
        self.buffer = Buffer(multiline=False)
        self._app: Application[None] = Application(
            layout=Layout(self._windows()),
            key_bindings=bindings_for(self),
            full_screen=True,
            input=source,
            output=out,
            color_depth=ColorDepth.DEPTH_1_BIT,
            erase_when_done=True,
        )
        self._look = look or look_for(self._app.output.encoding(), attributes)

    # ---- what the flow asks for

    def hold(self, flow: Coroutine[Any, Any, _T]) -> _T:
        """Run the flow on the screen; returns what it returns. Raises whatever the terminal or the flow raises."""
        return asyncio.run(self.hold_here(flow))

    async def hold_here(self, flow: Coroutine[Any, Any, _T]) -> _T:
        """As `hold`, in the event loop that runs already."""
        held: asyncio.Task[_T] = asyncio.ensure_future(flow)
        held.add_done_callback(lambda task: self._app.exit() if self._app.is_running else None)
        try:
            if not held.done():
                await self._app.run_async(set_exception_handler=False)
        except (EOFError, KeyboardInterrupt):
            self.leave(EndOfInput())
            return await held
        except BaseException:
            held.cancel()
            raise
        return await held

    def say(self, text: Text, lasting: bool = False) -> None:
        """Keep it beside the next page; what is not lasting goes with the next key."""
        if lasting:
            self._lasting = [text]
        else:
            self._remarks.append(text)

    async def show(self, title: str, text: Text, prompt: str = words.READ_PROMPT) -> str:
        """A page to read: the space bar goes on, any other key goes back and is returned."""
        page = Page("read", title, prompt, body=text)
        while True:
            key = await self._wait(page)
            if key not in ("", " ") or not self.turn():
                return key

    async def key(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """One key. A page that must be read to its end takes no yes before."""
        while True:
            key = await self._wait(page, meanwhile)
            meanwhile = None
            page = self._page
            if key == " ":
                self.turn(round_again=True)
            elif page.kind == "consent" and key == words.YES and (self._last or self._drawn()).more:
                self.say(lambda width: wrap(words.READ_ON, width, "strong"))
            else:
                return key

    async def marks(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """Tick answers by their keys; Enter hands them back, a command key only itself.

        After a look at something else the same question still bears its ticks.
        """
        if page.question != self._marked_for:
            self._marked, self._marked_for = "", page.question
        known = {key for key, _ in page.answers}
        while True:
            key = await self._wait(page.with_prompt(words.MARKS_PROMPT), meanwhile)
            meanwhile = None
            if key == " ":
                self.turn(round_again=True)
            elif key in known:
                self._marked = self._marked.replace(key, "") if key in self._marked else self._marked + key
            elif key or self._marked:
                marked = self._marked
                if not key:
                    self._marked = self._marked_for = ""
                return key or marked
            else:
                self.say(lambda width: wrap(words.NOTHING_MARKED, width))

    async def text(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """A typed line; where a figure is wanted a single letter comes back as soon as it is pressed."""
        self.buffer.reset()
        self.typing = True
        try:
            return (await self._wait(page, meanwhile)).strip()
        finally:
            self.typing = False
            self.buffer.reset()

    @property
    def waits(self) -> bool:
        """Whether a page stands on the screen and waits for a key or a typed line."""
        return self.awaited and not self._app.invalidated

    @property
    def awaited(self) -> bool:
        """Whether something waits for a key or a line just now."""
        return self._waiting is not None and not self._waiting.done()

    def resized(self) -> None:
        """The terminal has another size: draw it anew."""
        self._app.renderer.erase(leave_alternate_screen=False)
        self._app.invalidate()

    # ---- waiting

    async def _wait(self, page: Page, meanwhile: Iterator[Page] | None = None) -> str:
        """Show the page and wait for a key or a typed line."""
        if not self._same(page):
            self._skip = [0]
        self._page = page
        self._entry.horizontal_scroll = 0
        if self._gone is not None:
            raise self._gone
        self._waiting = asyncio.get_running_loop().create_future()
        self._app.invalidate()
        self._take_early()
        counting = asyncio.ensure_future(self._count(meanwhile)) if meanwhile is not None else None
        try:
            found = await self._waiting
        finally:
            self._waiting = None
            if counting is not None:
                counting.cancel()
        self._remarks.clear()
        if not self.typing:
            self._echo = f"{found} ..."  # the key was heard, whatever it takes to work out what it means
            self._app.invalidate()
            await asyncio.sleep(_ECHO)
            self._echo = ""
        return found

    def _same(self, page: Page) -> bool:
        old = self._page
        return (old.kind, old.question, old.number, old.aside) == (page.kind, page.question, page.number, page.aside)

    async def _count(self, meanwhile: Iterator[Page]) -> None:
        """Draw better pages while nobody presses anything; every step gives way to a key."""
        await asyncio.sleep(self._pause)
        for page in meanwhile:
            if page.left != self._page.left:
                self._page = self._page.with_left(page.left)
                self._app.invalidate()
            await asyncio.sleep(0.02)

    def turn(self, round_again: bool = False) -> bool:
        """Go on to the next screen of a long page; False when there is none, after which it may begin again."""
        drawn = self._last or self._drawn()
        if drawn.more:
            self._skip.append(self._skip[-1] + drawn.shown)
        elif round_again:
            self._skip = [0]
        return bool(drawn.more)

    def pressed(self, key: str) -> None:
        if self._waiting is not None and not self._waiting.done():
            self._waiting.set_result(key)
        else:
            self._early.append(key)

    def _take_early(self) -> None:
        """Keys pressed before the page stood there begin a typed line, but never answer a question nobody saw.

        A key pressed twice by a thick glove is the usual reason.
        """
        while self._early and self.typing and self._waiting is not None and not self._waiting.done():
            key = self._early.popleft()
            if key:
                self.buffer.insert_text(key)
            else:
                self._waiting.set_result(self.buffer.text)
        self._early.clear()

    @property
    def wants_figure(self) -> bool:
        """Whether the line is a figure, so that a letter can only be a key."""
        return self._page.kind in ("number", "liquids")

    def turn_back(self) -> None:
        """Back to the part of a long page before this one."""
        if len(self._skip) > 1:
            self._skip.pop()

    def leave(self, how: Leave) -> None:
        """The person goes: whatever waits is told."""
        self._gone = how
        if self._waiting is not None and not self._waiting.done():
            self._waiting.set_exception(how)

    def refuse(self, count: int) -> None:
        """Say that so many characters at once are no answer."""
        self._early.clear()
        self._remarks = [lambda width: wrap(words.PASTED.format(count=count), width, "strong")]
        self._app.invalidate()

    # ---- drawing

    def _windows(self) -> HSplit:
        page = FormattedTextControl(self._fragments, show_cursor=False)
        entry = BufferControl(
            self.buffer, input_processors=[BeforeInput(self._prompt)], include_default_input_processors=False
        )
        self._entry = Window(entry, height=1)
        return HSplit([Window(page, wrap_lines=False), self._entry])

    def _prompt(self) -> str:
        fits = prompt_fits(self._page, self._app.output.get_size().columns)
        return f" {self._page.sureness + self._page.prompt if fits else words.TEXT_PROMPT}{self._echo}"

    def _drawn(self) -> Drawn:
        size = self._app.output.get_size()
        if self._size != (size.columns, size.rows):  # wrapped anew, a long page has other rows
            self._size, self._skip = (size.columns, size.rows), [0]
        return compose(
            self._page,
            size.columns,
            size.rows,
            self._look,
            _lines(self._remarks),
            _lines(self._lasting) if self._page.kind not in _WITHOUT_LASTING else [],
            self._skip[-1],
            self._marked,
        )

    def _fragments(self) -> StyleAndTextTuples:
        found: StyleAndTextTuples = []
        self._last = self._drawn()
        for row in self._last.rows:
            found += [*row, ("", "\n")]
        return found[:-1]


def _lines(texts: list[Text]) -> list[Line]:
    """Remarks as single lines: the layout wraps them."""
    return [line for text in texts for line in text(_UNWRAPPED)]
