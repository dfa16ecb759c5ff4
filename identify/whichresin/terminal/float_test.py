"""A float test in a liquid to be made, on the screen: what it costs, what to mind, the recipe, a key an answer."""

from __future__ import annotations

from dataclasses import replace

from whichresin.session.events import Answered
from whichresin.session.interview import Interview
from whichresin.session.recipes import MadeLiquid
from whichresin.session.result import Question

from . import words
from .lines import doubt
from .page import Page

OTHER_LIQUID, OTHER_TEMPERATURE = "4", "5"


class FloatTest:
    """One proposed liquid, its recipe made for the bench's temperature."""

    def __init__(self, interview: Interview, question: Question, made: MadeLiquid) -> None:
        self.made = made
        self.question = question
        self._interview = interview
        self.keys = {str(number): value for number, (value, _) in enumerate(question.values, 1)}

    def page(self, plain: Page) -> Page:
        """The page of its cue turned into that of this liquid: recipe, cautions, and a key for every result."""
        asked, marks = self.question, "leaves no mark on the part"
        parts = [f"{asked.minutes:g} minutes", marks, f"needs kitchen scale, {self.made.name}, water, a cup"]
        if asked.hazard != "none":
            parts.append(f"hazard {asked.hazard}")
        results = [(str(number), text) for number, (_, text) in enumerate(asked.values, 1)]
        other = words.OTHER_TEMPERATURE.format(celsius=self.made.celsius)
        return replace(
            plain,
            kind="choice",
            question=asked.question,
            prompt=words.KEY_PROMPT,
            cost="; ".join(parts),
            hazard="",
            cautions=tuple((c.level, c.text) for c in self.made.cautions),
            how=made_text(self.made),
            consented=True,
            answers=(*results, (OTHER_LIQUID, words.OTHER_LIQUID), (OTHER_TEMPERATURE, other)),
        )

    def answer(self, value: str, sure: str) -> Answered:
        """The result as the interview takes it, with the doubt of the liquid as made."""
        return self._interview.floated(self.made, value, sure)


def made_text(made: MadeLiquid) -> str:
    """How to make one liquid and what it then weighs."""
    said = []
    if made.grams_per_100_g_water > 0.0:
        text = f"Make it: {made.grams_per_100_g_water:.1f} g of {made.name} in 100 g of water, both by weight"
        bought = "" if made.strength_percent in (None, 100.0) else f" ({made.name} of {made.strength_percent:g} %)"
        said.append(f"{text}{bought}.")
    weighs = f"{made.density_g_cm3:.3f} g/cm3 at {made.celsius:g} C, give or take {doubt(made.uncertainty_g_cm3)}."
    return " ".join([*said, weighs, *made.how])
