"""The guided interview: shows what the session proposes, reads a key, hands the session an event."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from typing import TYPE_CHECKING, TextIO

from whichresin.knowledge.model import Cue
from whichresin.session.events import Allowed, Answered, AnswerValue, Declined, Event, Noted, TakenBack, WhatIf
from whichresin.session.interview import Interview
from whichresin.session.result import Question, Result

from . import render, words
from .lines import Line, wrap, write
from .opening import opening_lines
from .plain import Leave, Reader

if TYPE_CHECKING:
    from .float_test import FloatTest

_CONSENT_AT = ("medium", "high")
_MOST_CUES_LISTED = 12
_LONGEST_TEXT = 200
_FLOAT_RESULTS = {"1": "floats", "2": "sinks", "3": "neutral"}
_TYPED = "typed"  # stands for a line that was no command key


class Guided:
    """One guided interview on one terminal. `on_event` is told every event before it takes effect.

    `tutor` adds a line to each question on why the test works.
    """

    def __init__(
        self,
        interview: Interview,
        reader: Reader,
        out: TextIO,
        attributes: bool,
        width: Callable[[], int] | None = None,
        on_event: Callable[[Event], None] | None = None,
        tutor: bool = False,
    ) -> None:
        self._interview = interview
        self._reader = reader
        self._out = out
        self._attributes = attributes
        self._width = width or (lambda: shutil.get_terminal_size((80, 24)).columns)
        self._on_event = on_event or (lambda event: None)
        self._number = 0
        self._unsure = False
        self._uncertainty: float | None = None  # g/cm3, of a density that was just weighed
        self._tutor = tutor
        self.left = False  # the person went away in the middle: the interview stays open
        self._offered: set[str] = set()

    def run(self, greeted: bool = False) -> Result:
        """Ask until nothing is worth asking or the person stops; returns the last result, its ending shown."""
        try:
            self._opening(greeted)
            self._questions()
        except Leave:
            self.left = True
            self._say([Line(""), Line(words.LEAVING, "faint")])
        result = self._interview.closing()
        self._say(render.ending_lines(result, self._columns()))
        return result

    def _opening(self, greeted: bool) -> None:
        state = self._interview.state
        known = {*state.answers, *state.declined}
        if not greeted:
            self._say([Line(line) for line in opening_lines(self._columns(), "part" not in known)])
        if "part" not in known:
            self._free_text("part", "")
        if "marking" not in known:
            self._free_text("marking", words.MARKING_QUESTION)

    def _free_text(self, cue: str, question: str) -> None:
        """Ask for free words; the question is left out where it stands on the screen already."""
        if question:
            self._say([Line(""), *wrap(question, self._columns())])
        text = self._reader.text(words.TEXT_PROMPT)
        self._tell(Answered(cue, text[:_LONGEST_TEXT]) if text else Declined(cue))
        self._understood(cue)

    def _understood(self, cue: str) -> None:
        result = self._interview.result
        width = self._columns()
        if cue == "part" and result.part is not None:
            said = {
                "clear": f"Understood as: {result.part.name}.",
                "unsure": f"Perhaps: {result.part.name}. Not sure, so the safe reading counts.",
            }.get(result.part.sure, "Not understood: no matter, the questions settle it.")
            self._say(wrap(said, width, "faint", "  ", "  "))
        if cue == "marking" and result.marking is not None:
            self._say(wrap(str(result.marking["text_for_people"]), width, "faint", "  ", "  "))
        if cue == "part" and result.gate.state == "shut":
            self._say(render.gate_lines(result, width))
            self._say(render.caution_lines([(c.level, c.text) for c in result.cautions], width))

    def _questions(self) -> None:
        while True:
            result = self._interview.result
            question = result.gate_question or result.next
            if question is None:
                if result.offer and result.offer not in self._offered:
                    self._offered.add(result.offer)
                    if self._yes(words.ALLOW[result.offer]):
                        self._tell(Allowed(result.offer))
                        continue
                return
            if not self._ask(self._interview.model.cues[question.cue], question):
                return

    def _ask(self, cue: Cue, question: Question | None) -> bool:
        """Ask one cue until it is answered or put aside; False when the person stops here."""
        self._number += 1
        width = self._columns()
        sheet = None
        if question is not None and question.liquid is not None:
            from .float_test import FloatTest  # with what makes liquids: few interviews come to one

            sheet = FloatTest(self._interview, question, question.liquid)
        lines = sheet.lines(self._number, width) if sheet else None
        self._say(lines or render.question_lines(cue, self._number, width, self._tutor))
        if not self._consent(cue, width, sheet):
            self._say(wrap(words.HAZARD_SKIPPED, width, "faint", "  ", "  "))
            self._tell(Declined(cue.id))
            return True
        if sheet is not None:
            self._say(sheet.recipe_lines(width))
        while True:
            self._say(render.key_lines(self._columns()))
            key, value = self._entry(cue) if sheet is None else self._floated(cue, sheet)
            if value is not None:
                self._answer(cue, value)
                return True
            outcome = self._command(key, cue, question)
            if outcome is not None:
                return outcome

    def _entry(self, cue: Cue) -> tuple[str, AnswerValue | None]:
        """A command key and no value, or a value: one key for listed answers, else a typed line."""
        keys = render.answer_keys(cue)
        if cue.kind == "choice":
            status = render.panel(self._interview.result, self._columns())
            key = self._reader.key(words.KEY_PROMPT, "".join([*keys, *words.KEYS, *words.MORE_KEYS]), status)
            return key, keys.get(key)
        prompt = {"number": words.NUMBER_PROMPT, "set": words.SET_PROMPT, "liquids": words.LIQUID_PROMPT}
        text = self._reader.text(prompt.get(cue.kind, words.TEXT_PROMPT))
        if len(text) <= 1 and not text.isdigit() and text.lower() not in keys:
            return text.lower(), None
        return _TYPED, self._typed(cue, text)

    def _floated(self, cue: Cue, sheet: FloatTest) -> tuple[str, AnswerValue | None]:
        """As `_entry`, for a float test in a liquid to be made: its results, another liquid, another temperature."""
        from .float_test import OTHER_LIQUID, OTHER_TEMPERATURE

        own = (*sheet.keys, OTHER_LIQUID, OTHER_TEMPERATURE)
        status = render.panel(self._interview.result, self._columns())
        key = self._reader.key(words.KEY_PROMPT, "".join([*own, *words.KEYS, *words.MORE_KEYS]), status)
        if key in sheet.keys:
            answer = sheet.answer(sheet.keys[key], "medium")
            self._uncertainty = answer.uncertainty
            return key, answer.value
        if key == OTHER_LIQUID:
            found = self._typed(cue, self._reader.text(words.LIQUID_PROMPT))
            return _TYPED, found and self._interview.with_earlier(cue.id, found)
        if key == OTHER_TEMPERATURE:
            from whichresin.session.typed import bench_celsius

            try:
                sheet.at(bench_celsius(self._reader.text(words.CELSIUS_PROMPT)))
                self._say(sheet.recipe_lines(self._columns()))
            except ValueError as error:
                self._say(wrap(str(error), self._columns(), "plain", "  ", "  "))
            return _TYPED, None
        return key, None

    def _command(self, key: str, cue: Cue, question: Question | None) -> bool | None:
        """Carry out a command key: True when the question is done with, False to stop, None to ask again."""
        width = self._columns()
        if key == _TYPED:  # what was wrong with it has been said
            return None
        if key == "q":
            return False
        if key == "d":
            self._tell(Declined(cue.id))
            return True
        if key == "b":
            return True if self._back() else None
        if key == "c":
            return True if self._change() else None
        if key == "g":
            return True if self._go() else None
        if key == "?":
            self._say(render.more_key_lines(width))
        elif key == "u":
            self._unsure = not self._unsure
            self._say([Line("  " + (words.UNSURE_ON if self._unsure else words.UNSURE_OFF))])
        elif key == "n":
            text = self._reader.text(words.NOTE_PROMPT)
            if text:
                self._tell(Noted(text[:_LONGEST_TEXT]))
                self._say([Line("  " + words.NOTED)])
        elif key == "i":
            self._suppose(width)
        elif key == "k":
            self._say(render.kept_back_lines(self._interview.result, width))
        elif key == "h":
            self._say(render.how_lines(cue, width))
        elif key == "w":
            self._say(render.why_lines(question, self._interview.result, width))
        elif key == "s":
            result = self._interview.result
            self._say(render.answered_lines(self._interview.answers_in_words(), result, width))
            self._say(render.standing_lines(result, width))
            self._say(render.left_lines(self._interview.questions_left(), width))
        elif key == "y":
            self._say(render.reason_lines(self._interview.reasons(), width))
        elif key == "x":
            self._what_if(cue, width, question)
        else:
            self._say(wrap(words.NOT_A_KEY.format(key=repr(key) if key else "Enter"), width, "plain", "  ", "  "))
        return None

    def _consent(self, cue: Cue, width: int, sheet: FloatTest | None = None) -> bool:
        """Cautions before the instructions; an explicit yes where the test can hurt."""
        hazard = cue.hazard if sheet is None else sheet.question.hazard
        if hazard != "none" or sheet is not None:
            cautions = self._interview.cautions_for(cue.id) if sheet is None else sheet.made.cautions
            self._say(render.caution_lines([(c.level, c.text) for c in cautions], width))
        safer = self._interview.safer(cue.id) if hazard in _CONSENT_AT else None
        if safer is not None:
            self._say(wrap(words.SAFER.format(question=safer.question), width, "strong", "  ", "  "))
        if hazard in _CONSENT_AT and not self._yes(words.HAZARD_CONSENT):
            return False
        if hazard in _CONSENT_AT and sheet is None:
            self._say(render.how_lines(cue, width))
        return True

    def _what_if(self, cue: Cue, width: int, question: Question | None) -> None:
        """Show where an answer would lead, without giving it."""
        made = question.liquid if question is not None else None
        keys = render.answer_keys(cue)
        if made is not None and question is not None:
            keys = {str(number): value for number, (value, _) in enumerate(question.values, 1)}
        key = self._reader.key(words.WHAT_IF_PROMPT, "".join(keys), "") if keys else ""
        if key not in keys:
            self._say(wrap(words.NOT_A_KEY.format(key=repr(key)), width, "plain", "  ", "  "))
            return
        value: AnswerValue = (keys[key],) if cue.kind == "set" else keys[key]
        if made is not None:
            value = self._interview.floated(made, keys[key]).value
        title = words.WHAT_IF.format(answer=self._interview.value_text(cue.id, value))
        self._say(render.standing_lines(self._interview.what_if(Answered(cue.id, value)), width, title))
        self._tell(WhatIf(cue.id, value))

    def _suppose(self, width: int) -> None:
        text = self._reader.text(words.SUPPOSE_PROMPT)
        supposed = self._interview.suppose(text) if text else None
        if supposed is not None:
            self._say(render.supposed_lines(supposed, width))
        elif text:
            self._say(wrap(words.NOT_A_MATERIAL.format(text=text), width, "plain", "  ", "  "))

    def _answer(self, cue: Cue, value: AnswerValue) -> None:
        self._tell(Answered(cue.id, value, "low" if self._unsure else "medium", self._uncertainty))
        self._unsure, self._uncertainty = False, None
        self._say(wrap(render.standing_line(self._interview.result), self._columns(), "strong", "  > ", "    "))

    def _typed(self, cue: Cue, text: str) -> AnswerValue | None:
        """What was typed as the value that the cue wants; None, with a word on why, when it is not usable."""
        if cue.kind == "number":
            return self._density(text)
        if cue.kind == "set":
            keys = render.answer_keys(cue)
            unknown = [c for c in text.lower() if c not in keys and c not in " ,"]
            if unknown:
                self._say(wrap(words.NOT_A_KEY.format(key=repr(unknown[0])), self._columns(), "plain", "  ", "  "))
                return None
            return tuple(dict.fromkeys(keys[c] for c in text.lower() if c in keys)) or None
        if cue.kind == "liquids":
            found: list[tuple[float, str]] = []
            while text:
                density = self._density(text)
                result = self._reader.key(words.FLOATS_PROMPT, "123", "") if density is not None else ""
                if density is not None and result in _FLOAT_RESULTS:
                    found.append((density, _FLOAT_RESULTS[result]))
                text = self._reader.text(words.MORE_LIQUIDS_PROMPT)
            return tuple(found) or None
        return text

    def _density(self, text: str) -> float | None:
        """A density, or weights that give one; None, with a word on why, when it cannot be."""
        try:
            value, self._uncertainty = self._interview.density_typed(text)
        except ValueError as error:
            self._say(wrap(str(error), self._columns()))
            return None
        if self._uncertainty is not None:
            self._say(wrap(words.WEIGHED.format(density=value, uncertainty=self._uncertainty), self._columns()))
        return value

    def _back(self) -> bool:
        last = self._interview.last_cue()
        if last is None:
            self._say([Line("  " + words.NOTHING_TO_TAKE_BACK)])
            return False
        self._tell(TakenBack())
        self._say([Line("  " + words.TAKEN_BACK.format(cue=self._interview.model.cues[last].question))])
        return True

    def _change(self) -> bool:
        """Answer again a cue that was answered before; the new answer takes the place of the old one."""
        answers = list(self._interview.state.answers.values())
        width = self._columns()
        for number, answer in enumerate(answers, 1):
            cue = self._interview.model.cues[answer.cue]
            said = self._interview.value_text(answer.cue, answer.value)
            self._say(wrap(f"{cue.question} {said}", width, "plain", f"  {number}  ", "     "))
        text = self._reader.text(words.CHANGE_WHICH)
        if not text.isdigit() or not 1 <= int(text) <= len(answers):
            return False
        return self._ask_again(answers[int(text) - 1].cue)

    def _go(self) -> bool:
        """Go to any test by name, in free words."""
        found = self._interview.find_cues(self._reader.text(words.GO_PROMPT), _MOST_CUES_LISTED)
        for number, cue in enumerate(found, 1):
            self._say(wrap(cue.question, self._columns(), "plain", f"  {number}  ", "     "))
        if not found:
            return False
        text = self._reader.text(words.GO_WHICH)
        if not text.isdigit() or not 1 <= int(text) <= len(found):
            return False
        return self._ask_again(found[int(text) - 1].id)

    def _ask_again(self, cue_id: str) -> bool:
        cue = self._interview.model.cues[cue_id]
        if cue.opt_in and cue.opt_in not in self._interview.state.allowed:
            if not self._yes(words.ALLOW[cue.opt_in]):
                return False
            self._tell(Allowed(cue.opt_in))
        return self._ask(cue, self._interview.question(cue_id))

    def _yes(self, prompt: str) -> bool:
        return self._reader.key(prompt, words.YES + words.NO, "") == words.YES

    def _tell(self, event: Event) -> None:
        self._on_event(event)
        self._interview.tell(event)

    def _columns(self) -> int:
        return max(20, min(100, self._width() - 1))

    def _say(self, lines: list[Line]) -> None:
        write(lines, self._out, self._attributes)

