"""What a person can do at any question beside answering it: look, try, change, go elsewhere, type a measurement."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.knowledge.model import Cue
from whichresin.session.events import Allowed, Answered, AnswerValue, Noted, TakenBack, WhatIf
from whichresin.session.learned import learned

from . import render, said, words
from .lines import Line, wrap
from .page import Page, answer_keys, known_now
from .telling import LONGEST_TEXT, Telling

_MOST_CUES_LISTED = 12
_NEXT_SURENESS = {"medium": "low", "low": "high", "high": "medium"}


class Powers(Telling):
    """The powers of an interview, each under its key. Subclassed by the flow, which asks the questions."""

    async def _ask(self, cue: Cue, again: bool = False) -> bool:
        raise NotImplementedError

    async def _power(self, key: str, cue: Cue | None, page: Page) -> bool | None:
        """Carry out one key: True when the question is done with, None to ask it again. `cue` is None at the end."""
        moving = {"b": self._back, "r": self._back_far, "c": self._change}
        if key in moving:
            return True if await moving[key](page) else None
        typing = {"g": self._go, "m": self._marking, "t": self._measured}
        if key in typing:
            return True if await typing[key](page) else None
        if key == "?":
            chosen = await self._front.show(words.MORE_KEYS_TITLE, render.more_key_lines, words.MORE_KEYS_PROMPT)
            return await self._power(chosen, cue, page) if chosen in words.MORE_KEYS and chosen != "p" else None
        looking = {"s": self._so_far, "y": self._all_reasons}
        if key in looking:
            await looking[key](page)
        elif key == "u":
            self._sureness = _NEXT_SURENESS[self._sureness]
            self._remark(words.SURENESS[self._sureness])
        elif key == "n":
            text = await self._front.text(page.asking(words.NOTE_PROMPT))
            if text:
                self._tell(Noted(text[:LONGEST_TEXT]))
                self._remark(words.NOTED)
        elif key == "i":
            await self._suppose(page)
        elif key == "k":
            await self._not_asked(page)
        elif cue is not None and key in ("h", "w", "x"):
            await {"h": self._how, "w": self._why, "x": self._what_if}[key](cue, page)
        else:
            self._not_a_key(key)
        return None

    # ---- looking

    async def _how(self, cue: Cue, page: Page) -> None:
        await self._front.show(
            page.question,
            lambda width: [*render.caution_lines(page.cautions, width), *render.how_lines(cue, page.how, width)],
        )

    async def _why(self, cue: Cue, page: Page) -> None:
        result, question = self._interview.result, self._interview.question(cue.id)
        if cue.physics not in ("float_liquids", "density"):
            await self._front.show(cue.question, lambda width: render.why_lines(cue, question, result, width))
            return
        from .density_lines import density_lines  # weight is what is asked: shown on its axis

        picture = self._interview.density_picture(question.liquid)
        await self._front.show(
            question.question,
            lambda width: [*render.why_lines(cue, question, result, width), *density_lines(picture, width)],
        )

    async def _so_far(self, page: Page) -> None:
        result, answers = self._interview.result, self._interview.answers_in_words()
        # With a panel the number stands on the page, counted while nobody pressed anything: it takes a while.
        left = 0 if self._front.has_panel else self._interview.questions_left()
        await self._front.show(
            words.SO_FAR,
            lambda width: [
                *render.standing_lines(result, width),
                *render.answered_lines(answers, result, width),
                *render.left_lines(left, width),
            ],
        )

    async def _all_reasons(self, page: Page) -> None:
        reasons = self._interview.reasons()
        await self._front.show(words.ALL_REASONS, lambda width: render.reason_lines(reasons, width))

    async def _suppose(self, page: Page) -> None:
        text = await self._front.text(page.asking(words.SUPPOSE_PROMPT))
        supposed = self._interview.suppose(text) if text else None
        if supposed is not None:
            await self._front.show(words.SUPPOSED, lambda width: render.supposed_lines(supposed, width))
        elif text:
            self._remark(words.NOT_A_MATERIAL.format(text=text))

    async def _not_asked(self, page: Page) -> None:
        """Why a question is not asked: one by name, or all that are kept back or worth less."""
        text = await self._front.text(page.asking(words.WHY_NOT_PROMPT))
        if text:
            found = [self._interview.why_not(cue.id) for cue in self._interview.find_cues(text, 3)]
            if not found:
                self._remark(words.GO_NONE.format(text=text))
                return
            await self._front.show(words.WHY_NOT_TITLE, lambda width: said.why_not_lines(found, width))
            return
        result = self._interview.result
        asked = result.gate_question or result.next
        asked_cue = asked.cue if asked is not None else ""
        await self._front.show(
            words.WHY_NOT_TITLE, lambda width: said.not_asked_lines(result, asked_cue, width)
        )

    async def _what_if(self, cue: Cue, page: Page) -> None:
        """Show where an answer would lead, without giving it."""
        value = await self._tried(cue, page)
        if value is None:
            return
        would = self._interview.what_if(Answered(cue.id, value, self._sureness, self._uncertainty))
        self._uncertainty = None
        self._tell(WhatIf(cue.id, value))
        taught = said.learned_text(learned(self._interview.result, would))
        title = words.WHAT_IF.format(answer=self._interview.value_text(cue.id, value))
        await self._front.show(
            title,
            lambda width: [*render.standing_lines(would, width), *wrap(taught, width, "plain", "  ", "  ")],
        )

    async def _tried(self, cue: Cue, page: Page) -> AnswerValue | None:
        keys = self._sheet.keys if self._sheet is not None else answer_keys(cue)
        if not keys:
            text = await self._front.text(page.asking(words.WHAT_IF_PROMPT))
            return await self._typed(cue, text, page) if text else None
        key = await self._front.key(page.asking(words.WHAT_IF_PROMPT, "choice"))
        if key not in keys:
            self._not_a_key(key)
            return None
        if self._sheet is not None:
            return self._sheet.answer(keys[key], self._sureness).value
        return (keys[key],) if cue.kind == "set" else keys[key]

    # ---- going back and elsewhere

    async def _back(self, page: Page) -> bool:
        last = self._interview.last_cue()
        if last is None:
            self._remark(words.NOTHING_TO_TAKE_BACK)
            return False
        self._tell(TakenBack())
        self._remark(words.TAKEN_BACK.format(cue=self._interview.model.cues[last].question))
        return True

    async def _back_far(self, page: Page) -> bool:
        """Take back one answer and all that were given after it."""
        steps = self._interview.steps()
        texts = [self._interview.step_text(event) for event in steps]
        number = await self._numbered(words.CHANGE_TITLE, texts, words.BACK_WHICH)
        if number is None:
            return False
        for _ in range(len(steps) - number):
            self._tell(TakenBack())
        self._remark(words.TAKEN_BACK.format(cue=texts[number]))
        return True

    async def _change(self, page: Page) -> bool:
        """Answer again a cue that was answered before; the new answer takes the place of the old one."""
        answers = list(self._interview.state.answers.values())
        texts = [f"{question} {answer}" for question, answer in self._interview.answers_in_words()]
        number = await self._numbered(words.CHANGE_TITLE, texts, words.CHANGE_WHICH)
        return number is not None and await self._ask_again(answers[number].cue)

    async def _go(self, page: Page) -> bool:
        """Go to any test by name, in free words."""
        text = await self._front.text(page.asking(words.GO_PROMPT))
        found = self._interview.find_cues(text, _MOST_CUES_LISTED)
        if not found:
            if text:
                self._remark(words.GO_NONE.format(text=text))
            return False
        number = await self._numbered(words.GO_TITLE, [cue.question for cue in found], words.GO_WHICH)
        return number is not None and await self._ask_again(found[number].id)

    async def _numbered(self, title: str, texts: Sequence[str], prompt: str) -> int | None:
        """Let one line out of many be chosen by its number; its place from 0, or None."""

        def body(width: int) -> list[Line]:
            lines: list[Line] = []
            for number, text in enumerate(texts, 1):
                lines += wrap(text, width, "plain", f"  {number:<2} ", "     ")
            return lines

        if not texts:
            self._remark(words.NOTHING_TO_TAKE_BACK)
            return None
        text = await self._front.text(Page("list", title, prompt, body=body, known=known_now(self._interview)))
        if not (text.isascii() and text.isdigit() and 1 <= int(text) <= len(texts)):
            return None
        return int(text) - 1

    async def _ask_again(self, cue_id: str) -> bool:
        cue = self._interview.model.cues[cue_id]
        if cue.opt_in and cue.opt_in not in self._interview.state.allowed and not await self._leave_for(cue.opt_in):
            return False
        answer = self._interview.state.answers.get(cue_id)
        if answer is not None:
            self._remark(words.ANSWER_NOW.format(answer=self._interview.value_text(cue_id, answer.value)))
        if cue.kind == "text":
            return await self._free_words(cue)
        return await self._ask(cue, again=True)

    async def _leave_for(self, what: str) -> bool:
        """Ask for leave to propose a kind of hazardous test; told to the interview when it is given."""
        page = Page("text", words.ALLOW[what], words.YES_NO_PROMPT, known=known_now(self._interview))
        if await self._front.key(page) != words.YES:
            return False
        self._tell(Allowed(what))
        return True
