"""What a person types in an interview: free words, a marking, densities and weights; and how it is told."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from whichresin.knowledge.model import Cue
from whichresin.session.events import Answered, AnswerValue, Event
from whichresin.session.interview import Interview
from whichresin.session.learned import learned
from whichresin.session.nothing_said import only_yes, says_nothing
from whichresin.session.result import Result
from whichresin.session.understand import SOMETHING_ELSE, as_meant

from . import render, said, words
from .front import Front
from .lines import wrap
from .page import Page, answer_keys

if TYPE_CHECKING:
    from .float_test import FloatTest

LONGEST_TEXT = 200
_FLOAT_RESULTS = {"1": "floats", "2": "sinks", "3": "neutral"}


class Telling:
    """Takes what was typed, tells the interview, and says what came of it."""

    def __init__(self, interview: Interview, front: Front, on_event: Callable[[Event], str | None]) -> None:
        self._interview = interview
        self._front = front
        self._on_event = on_event
        self._sureness = "medium"  # of the next answer
        self._uncertainty: float | None = None  # g/cm3, of a density that was just weighed
        self._sheet: FloatTest | None = None  # the liquid to be made, where that is the question

    async def _free_words(self, cue: Cue) -> bool:
        text = await self._front.text(Page("text", cue.question, words.TEXT_PROMPT, how=cue.how))
        return await self._text_given(cue.id, text)

    async def _marking(self, page: Page) -> bool:
        return await self._text_given("marking", await self._front.text(page.asking(words.MARKING_PROMPT)))

    async def _text_given(self, cue: str, text: str) -> bool:
        if cue == "marking" and only_yes(text):
            self._remark(words.TYPE_THE_MARKING)
            return False
        if says_nothing(text):
            return False
        before = self._interview.result
        text = text[:LONGEST_TEXT]
        self._tell(Answered(cue, await self._meant(text) if cue == "part" else text, self._sureness))
        self._sureness = "medium"
        await self._understood(cue)
        self._taught(before)
        return True

    async def _meant(self, part: str) -> str:
        """Ask which kind of part was meant where the words could mean several; the words with the answer."""
        names = self._interview.could_mean(part)
        if not names:
            return part
        keys = {str(number): name for number, name in enumerate((*names, SOMETHING_ELSE), start=1)}
        question = words.DO_YOU_MEAN.format(name=names[0])
        page = Page("choice", question, words.DO_YOU_MEAN_PROMPT, part=part, answers=tuple(keys.items()))
        while (key := await self._front.key(page)) not in keys:
            if not key:
                return part
            self._not_a_key(key)
        return as_meant(part, keys[key])

    async def _understood(self, cue: str) -> None:
        """Say how free words were taken; a part that is not ours to mend is said at once."""
        result = self._interview.result
        if cue == "part" and result.part is not None:
            form = words.UNDERSTOOD.get(result.part.sure, words.NOT_UNDERSTOOD)
            unknown = result.part.not_known if result.part.kind else ()
            told = words.NOT_KNOWN_WORDS.format(words=", ".join(unknown)) if unknown else ""
            self._remark(form.format(name=result.part.name) + told)
        if cue == "marking" and result.marking is not None:
            self._remark(str(result.marking["text_for_people"]))
        if cue == "part" and result.gate.state == "shut":
            cautions = [(c.level, c.text) for c in result.cautions]
            await self._front.show(
                words.NOT_OURS,
                lambda width: [*render.gate_lines(result, width), *render.caution_lines(cautions, width)],
            )

    async def _measured(self, page: Page) -> bool:
        """A density or two weights, typed without going to the test first."""
        cue = next(cue for cue in self._interview.model.cues.values() if cue.physics == "density")
        text = await self._front.text(page.asking(words.MEASURED_PROMPT))
        value = self._density(text) if text else None
        if value is not None:
            self._answer(cue, value)
        return value is not None

    async def _typed(self, cue: Cue, text: str, page: Page) -> AnswerValue | None:
        """What was typed as the value that the cue wants; None, with a word on why, when it is not usable."""
        if cue.kind == "number":
            return self._density(text)
        if cue.kind == "set":
            keys = answer_keys(cue)
            unknown = [c for c in text.lower() if c not in keys and c not in " ,"]
            if unknown:
                self._not_a_key(unknown[0])
                return None
            return tuple(dict.fromkeys(keys[c] for c in text.lower() if c in keys)) or None
        if cue.kind == "liquids":
            found: list[tuple[float, str]] = []
            while text:
                density = self._density(text)
                if density is not None:
                    result = await self._front.key(page.asking(words.FLOATS_PROMPT, "choice"))
                    if result in _FLOAT_RESULTS:
                        found.append((density, _FLOAT_RESULTS[result]))
                text = await self._front.text(page.asking(words.MORE_LIQUIDS_PROMPT))
            return tuple(found) or None
        return text

    def _density(self, text: str) -> float | None:
        """A density, or weights that give one; None, with a word on why, when it cannot be."""
        try:
            value, self._uncertainty = self._interview.density_typed(text)
        except ValueError as error:
            self._remark(str(error))
            return None
        if self._uncertainty is not None:
            rough = words.ROUGH if self._interview.too_rough(self._uncertainty) else ""
            self._remark(words.WEIGHED.format(density=value, uncertainty=self._uncertainty) + rough)
        return value

    def _answer(self, cue: Cue, value: AnswerValue) -> None:
        """Give an answer to the interview, and say what it taught."""
        before = self._interview.result
        self._tell(Answered(cue.id, value, self._sureness, self._uncertainty))
        self._sureness, self._uncertainty = "medium", None
        self._taught(before)

    def _taught(self, before: Result) -> None:
        after = self._interview.result
        text = said.learned_text(learned(before, after))
        self._front.say(lambda width: wrap(text, width, "strong", "  > ", "    "), lasting=True)
        if not self._front.has_panel:
            now = render.standing_line(after)
            self._front.say(lambda width: wrap(now, width, "plain", "  > ", "    "))

    def _tell(self, event: Event) -> None:
        trouble = self._on_event(event)
        if trouble:
            self._front.say(lambda width: wrap(trouble, width, "strong", "  ", "  "))
        self._interview.tell(event)

    def _remark(self, text: str) -> None:
        self._front.say(lambda width: wrap(text, width, "plain", "  ", "  "))

    def _not_a_key(self, key: str) -> None:
        self._remark(words.NOT_A_KEY.format(key=repr(key) if key else "Enter"))
