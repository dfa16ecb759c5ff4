"""The flow of a guided interview: shows what the session proposes, reads a key, hands the session an event."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from whichresin.knowledge.model import Cue
from whichresin.session.events import Answered, AnswerValue, AtBench, Declined, Event, PutOff
from whichresin.session.interview import Interview
from whichresin.session.nothing_said import only_yes, says_nothing
from whichresin.session.result import Result

from . import render, words
from .asks import EndOfInput, Leave
from .ending import ending_lines, status_text
from .front import Front
from .lines import Line, wrap
from .page import CONSENT_AT, Page, answer_keys, known_now, question_page
from .powers import Powers

if TYPE_CHECKING:
    from .float_test import FloatTest

_LONGEST_TEXT = 200
_MOST_AHEAD = 12
_GO, _ASIDE, _STOP = "go", "aside", "stop"  # how a hazardous test is met
_TYPED = "typed"  # stands for a line that was no command key
_OTHER_SHEET = "other sheet"  # another liquid than the one on the screen, or none


class Guided(Powers):
    """One guided interview on one front end. `on_event` is told every event before it takes effect, and
    may return a sentence for the person.

    `tutor` adds to each question why the test works and what fools it; `hint` is said at the end,
    `notice` at the start where a full screen has hidden it.
    """

    def __init__(
        self,
        interview: Interview,
        front: Front,
        on_event: Callable[[Event], str | None] | None = None,
        tutor: bool = False,
        hint: str = "",
        notice: str = "",
    ) -> None:
        super().__init__(interview, front, on_event or (lambda event: None))
        self._notice = notice
        self._tutor = tutor
        self._hint = hint
        self.left = False  # the person went away in the middle: the interview stays open
        self._offered: set[str] = set()
        self._cautions_seen: set[str] = set()

    async def run(self, greeted: bool = False) -> Result:
        """Ask until nothing is worth asking or the person stops, then show the ending; returns the last result.

        `greeted`: title and first question stand on the screen already.
        """
        try:
            if self._notice and self._front.has_panel:
                self._remark(self._notice)
            if not greeted:
                self._front.say(lambda width: wrap(words.TITLE, width) + wrap(words.INTRO, width))
            while True:
                await self._questions()
                if await self._ended():
                    break
        except Leave:
            self.left = True
        return self._interview.closing()

    def last_lines(self, result: Result, width: int) -> list[Line]:
        """What is left on the paper after the screen has gone, or after the person has."""
        left = [Line(""), Line(words.LEAVING, "faint")] if self.left else []
        return left + ending_lines(result, width, self._hint)

    async def _opening(self) -> None:
        state = self._interview.state
        known = {*state.answers, *state.declined}
        for cue, question in (("part", words.PART_QUESTION), ("marking", words.MARKING_QUESTION)):
            if cue in known:
                continue
            how = self._interview.model.cues[cue].how
            page = Page("text", question, words.TEXT_PROMPT, part=state.text("part"), how=how)
            text = await self._front.text(page)
            while cue == "marking" and only_yes(text):
                self._remark(words.TYPE_THE_MARKING)
                text = await self._front.text(page)
            text = text[:_LONGEST_TEXT]
            if cue == "part" and not says_nothing(text):
                text = await self._meant(text)
            self._tell(Declined(cue) if says_nothing(text) else Answered(cue, text))
            await self._understood(cue)

    async def _questions(self) -> None:
        """Ask until nothing is left to ask, or the person stops."""
        while True:
            await self._opening()  # going back far enough brings these questions back too
            result = self._interview.result
            question = result.gate_question or result.next
            if question is None:
                if result.offer and result.offer not in self._offered:
                    self._offered.add(result.offer)
                    if await self._leave_for(result.offer):
                        continue
                return
            if not await self._ask(self._interview.model.cues[question.cue]):
                return

    async def _ask(self, cue: Cue, again: bool = False) -> bool:
        """Ask one cue until it is answered or put aside; False when the person stops here."""
        number = 0 if again else len(self._asked_before()) + 1
        self._sheet = self._liquid(cue)
        ready = await self._ready(cue, number)
        if ready != _GO:
            return ready != _STOP
        while True:
            mark = words.SURENESS_MARK[self._sureness]
            page = question_page(self._interview, cue, number, self._tutor, mark)
            if self._sheet is not None:
                page = self._sheet.page(page)
            key, value = await (self._entry(cue, page) if self._sheet is None else self._floated(cue, page))
            if key == _OTHER_SHEET:  # with cautions of its own
                return await self._ask(cue, again) if self._sheet is not None else True
            if value is not None:
                self._answer(cue, value)
                return True
            outcome = await self._command(key, cue, page)
            if outcome is not None:
                return outcome

    def _liquid(self, cue: Cue) -> FloatTest | None:
        """The float test in a liquid to be made, if that is what is asked about this cue."""
        question = self._interview.question(cue.id)
        if question.liquid is None:
            return None
        from .float_test import FloatTest  # with what makes liquids: few interviews come to one

        return FloatTest(self._interview, question, question.liquid)

    async def _floated(self, cue: Cue, page: Page) -> tuple[str, AnswerValue | None]:
        """As `_entry`, for a float test in a liquid to be made: its results, another liquid, another temperature."""
        from .float_test import OTHER_LIQUID, OTHER_TEMPERATURE

        sheet = self._sheet
        assert sheet is not None
        key = await self._front.key(page, self._ahead(page))
        if key in sheet.keys:
            answer = sheet.answer(sheet.keys[key], self._sureness)
            self._uncertainty = answer.uncertainty
            return key, answer.value
        if key == OTHER_LIQUID:
            found = await self._typed(cue, await self._front.text(page.asking(words.LIQUID_PROMPT)), page)
            return _TYPED, found and self._interview.with_earlier(cue.id, found)
        if key != OTHER_TEMPERATURE:
            return key, None
        return await self._bench_told(cue, page), None

    async def _bench_told(self, cue: Cue, page: Page) -> str:
        """Take another temperature of the bench; what key it comes to: on with the liquid, or another one to show."""
        from whichresin.session.typed import bench_celsius

        before = self._sheet
        try:
            celsius = bench_celsius(await self._front.text(page.asking(words.CELSIUS_PROMPT)))
        except ValueError as error:
            self._remark(str(error))
            return _TYPED
        if celsius != self._interview.state.celsius:
            self._tell(AtBench(celsius))
            self._sheet = self._liquid(cue)
        if self._sheet is None:
            self._remark(words.NO_LIQUID_AT.format(celsius=celsius))
        same = self._sheet is not None and before is not None and self._sheet.made.solute == before.made.solute
        return _TYPED if same else _OTHER_SHEET

    def _asked_before(self) -> list[str]:
        state, cues = self._interview.state, self._interview.model.cues
        return [cue for cue in (*state.answers, *state.declined) if cues[cue].kind != "text"]

    async def _entry(self, cue: Cue, page: Page) -> tuple[str, AnswerValue | None]:
        """A command key and no value, or a value: one key for listed answers, else a typed line."""
        keys = answer_keys(cue)
        ahead = self._ahead(page)
        if cue.kind == "choice":
            key = await self._front.key(page, ahead)
            return key, keys.get(key)
        if cue.kind == "set":
            text = await self._front.marks(page, ahead)
        else:
            text = await self._front.text(page, ahead)
        if len(text) <= 1 and not text.isdigit() and text.lower() not in keys:
            return text.lower(), None
        return _TYPED, await self._typed(cue, text, page)

    def _ahead(self, page: Page) -> Iterator[Page]:
        """The page again and again while the questions ahead are counted, at last with their number."""
        if not page.number:
            return
        count = 0
        for count, _ in enumerate(self._interview.steps_ahead()):
            yield page
            if count > _MOST_AHEAD:
                yield replace(page, left=words.LEFT_SHORT_MANY)
                return
        yield replace(page, left=words.LEFT_SHORT.format(count=count) if count else words.LEFT_SHORT_NONE)

    async def _command(self, key: str, cue: Cue, page: Page) -> bool | None:
        """Carry out a command key: True when the question is done with, False to stop, None to ask again."""
        if key == _TYPED:  # what was wrong with it has been said
            return None
        if key == "q":
            return False
        if key == "d":
            self._tell(Declined(cue.id))
            return True
        if key == "p":
            answered = cue.id in self._interview.state.answers
            self._remark(words.NOT_PUT_OFF if answered else words.PUT_OFF)
            if not answered:
                self._tell(PutOff(cue.id))
            return True
        return await self._power(key, cue, page)

    async def _ready(self, cue: Cue, number: int) -> str:
        """Cautions before the instructions; an explicit yes where the test can hurt.

        Go on with the test, leave it aside, or stop.
        """
        sheet = self._sheet
        hazard = cue.hazard if sheet is None else sheet.question.hazard
        cautions = self._interview.cautions_for(cue.id) if hazard != "none" else ()
        if sheet is not None:
            cautions = sheet.made.cautions
        asks = hazard in CONSENT_AT
        question = cue.question if sheet is None else sheet.question.question
        if not asks:
            cautions = tuple(c for c in cautions if c.id not in self._cautions_seen)
        self._cautions_seen.update(c.id for c in cautions)
        warned = [(c.level, c.text) for c in cautions]
        if not asks:
            if warned:
                title = words.BEFORE_TEST.format(question=question)
                await self._front.show(title, lambda width: render.caution_lines(warned, width))
            return _GO
        safer = self._interview.safer(cue.id)
        keys = {**words.CONSENT_KEYS, **(words.SAFER_KEY if safer else {})}

        def body(width: int) -> list[Line]:
            said = words.SAFER.format(question=safer.question) if safer else ""
            lines = wrap(said, width, "strong", "  ", "  ") if said else []
            lines += render.caution_lines(warned, width)
            return lines + (wrap(f"Wear: {cue.wear}", width, "strong", "  ", "        ") if cue.wear else [])

        page = Page(
            "consent",
            question,
            words.HAZARD_CONSENT,
            number=number,
            part=self._interview.state.text("part"),
            keys=keys,
            body=body,
            known=known_now(self._interview),
        )
        while (key := await self._front.key(page)) not in (*keys, "d"):
            if key == "q":
                return _STOP
            if await self._power(key, None, page):  # None: no instructions before the yes
                return _ASIDE
        if key == "a" and safer is not None:
            return _ASIDE if await self._ask_again(safer.id) else _STOP
        if key in ("p", "n", "d") and cue.id not in self._interview.state.answers:
            self._remark(words.PUT_OFF if key == "p" else words.HAZARD_SKIPPED)
            self._tell(PutOff(cue.id) if key == "p" else Declined(cue.id))
        return _GO if key == "y" else _ASIDE

    async def _ended(self) -> bool:
        """Show the ending; True when the person is through, False to go on with the questions."""
        while True:
            result = self._interview.closing()
            asked = result.gate_question or result.next
            keys = {**words.ENDING_KEYS, **(words.GO_ON_KEY if asked is not None else {})}
            page = Page(
                "ending",
                f"{words.ENDING}: {status_text(result)}",
                words.ENDING_PROMPT,
                part=self._interview.state.text("part"),
                keys=keys,
                body=lambda width, result=result: ending_lines(result, width, self._hint)[3:],  # type: ignore[misc]
                known=known_now(self._interview),
            )
            try:
                key = await self._front.key(page)
            except EndOfInput:
                return True
            if key in ("", "q"):
                return True
            if key == "o" and asked is not None:
                return False
            if key == "l":
                raise Leave
            if key not in keys:
                self._not_a_key(key)
            elif await self._power(key, None, page):
                return False
