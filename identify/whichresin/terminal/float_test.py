"""A float test in a liquid to be made, on the screen: what it costs, what to mind, the recipe, a key an answer."""

from __future__ import annotations

from whichresin.session.events import Answered
from whichresin.session.interview import Interview
from whichresin.session.recipes import MadeLiquid
from whichresin.session.result import Question

from . import words
from .lines import Line, doubt, wrap
from .render import heading

OTHER_LIQUID, OTHER_TEMPERATURE = "4", "t"


class FloatTest:
    """One proposed liquid; its recipe follows the bench's temperature."""

    def __init__(self, interview: Interview, question: Question, made: MadeLiquid) -> None:
        self.made = made
        self.question = question
        self._interview = interview
        self.keys = {str(number): value for number, (value, _) in enumerate(question.values, 1)}

    def lines(self, number: int, width: int) -> list[Line]:
        """The question and what it costs."""
        asked, marks = self.question, "leaves no mark on the part"
        parts = [f"{asked.minutes:g} minutes", marks, f"needs kitchen scale, {self.made.name}, water, a cup"]
        if asked.hazard != "none":
            parts.append(f"hazard {asked.hazard}")
        return heading(f"{number}. {asked.question}", width) + wrap(" · ".join(parts), width, "faint", "  ", "  ")

    def recipe_lines(self, width: int) -> list[Line]:
        """The recipe at the bench's temperature, how it is used and checked, and the answers."""
        lines = made_lines(self.made, width)
        for number, (_, text) in enumerate(self.question.values, 1):
            lines += wrap(text, width, "plain", f"  {number}  ", "     ")
        lines += wrap(words.OTHER_LIQUID, width, "plain", f"  {OTHER_LIQUID}  ", "     ")
        said = words.OTHER_TEMPERATURE.format(celsius=self.made.celsius)
        return lines + wrap(said, width, "plain", f"  {OTHER_TEMPERATURE}  ", "     ")

    def at(self, celsius: float) -> None:
        """The recipe for another temperature of the bench; ValueError, one sentence, when it cannot be made there."""
        self.made = self._interview.liquid_at(self.made, celsius)

    def answer(self, value: str, sure: str) -> Answered:
        """The result as the interview takes it, with the doubt of the liquid as made."""
        return self._interview.floated(self.made, value, sure)


def made_lines(made: MadeLiquid, width: int) -> list[Line]:
    """How to make one liquid and what it then weighs."""
    lines: list[Line] = []
    if made.grams_per_100_g_water > 0.0:
        text = f"Make it: {made.grams_per_100_g_water:.1f} g of {made.name} in 100 g of water, both by weight"
        bought = "" if made.strength_percent in (None, 100.0) else f" ({made.name} of {made.strength_percent:g} %)"
        lines += wrap(f"{text}{bought}.", width, "strong", "  ", "  ")
    at = f"{made.density_g_cm3:.3f} g/cm3 at {made.celsius:g} C, give or take {doubt(made.uncertainty_g_cm3)}."
    lines += wrap(at, width, "plain", "  ", "  ")
    for text in made.how:
        lines += wrap(text, width, "plain", "  ", "  ")
    return lines
