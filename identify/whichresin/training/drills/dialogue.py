"""A drill held line by line: plain questions out, plain answers in. Works typed, piped and read aloud."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from whichresin.belief.likelihood import Answer
from whichresin.knowledge.model import Cue, Model
from whichresin.session.answers import BadAnswers, answers_from_bytes
from whichresin.session.believed import NONE_ID
from whichresin.session.supposed import find_material
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import nearest

from .attempt import Attempt
from .cards import GATES, GateCard, TestCard
from .judge import DEFER, GUARDED, Claim, Judged, lines_of

Ask = Callable[[str], str]  # shows the prompt, returns the line; raises Left when there is no more
Say = Callable[[str], None]
_LEAVE = ("leave", "q")


class Left(Exception):
    """The apprentice left; what was finished before stands."""


class Dialogue:
    """One apprentice at the keyboard."""

    def __init__(self, model: Model, ask: Ask, say: Say) -> None:
        self.model, self._ask, self._say = model, ask, say
        self._numbered: Sequence[Cue] = ()  # a test keeps its number for as long as the part is on the bench

    # ---- cards

    def gate(self, card: GateCard, heading: str) -> dict[str, Any]:
        """May this part be repaired here? A row: words, kind, truth, said, right, harmful."""
        self._say("")
        self._say(f"{heading}: {card.words}. May it be repaired here?")
        said = self._pick(list(GATES.items()))
        self._say("Right." if card.right(said) else f"Wrong: {GATES[card.kind.gate]}.")
        if card.kind.gate_reason:
            self._say(f"{card.kind.name}: {card.kind.gate_reason}")
        if card.harmful(said):
            self._say("This mistake can hurt somebody.")
        row = {"words": card.words, "kind": card.kind.id, "truth": card.kind.gate, "said": said}
        return {**row, "right": card.right(said), "harmful": card.harmful(said)}

    def card(self, card: TestCard, heading: str) -> dict[str, Any]:
        """One test with its result: which of four does it speak for? A row: cue, result, truth, said, right."""
        self._say("")
        self._say(f"{heading}: {card.cue.question} {card.result}.")
        self._say("Which of these does that speak for most?")
        said = self._pick([(name, self._material_text(name)) for name in card.materials])
        right = said == card.speaks_for
        often = ", ".join(
            f"{self.model.materials[name].symbol} {chance * 100:.0f}"
            for name, chance in sorted(zip(card.materials, card.chances, strict=True), key=lambda pair: -pair[1])
        )
        self._say(f"{'Right' if right else 'Wrong'}. Seen so often on 100 parts of each: {often}.")
        self._say(f"Why: {card.cue.lesson}")
        return {"cue": card.cue.id, "result": card.result, "truth": card.speaks_for, "said": said, "right": right}

    # ---- whole parts

    def part(self, attempt: Attempt, heading: str, hands_on: bool = False) -> Judged:
        """One hidden part, from the first test to the judgement. `hands_on`: the apprentice tells what a test shows."""
        self._say("")
        self._say(f"{heading}. Type a test (its number or a word of it), 'tests' for the list, 'so far',")
        self._say("'name' when you can say what it is, 'leave' or q to stop.")
        self._numbered = attempt.choices()
        self._list(attempt)
        while True:
            line = self._ask("test> ").strip()
            if line in ("tests", "list"):
                self._list(attempt)
            elif line == "so far":
                self._so_far(attempt)
            elif line == "name":
                break
            elif line in _LEAVE:
                raise Left
            elif line:
                self._test(attempt, line, hands_on)
        judged = attempt.claim(self._claim())
        for one in lines_of(self.model, judged):
            self._say(one)
        return judged

    def _list(self, attempt: Attempt) -> None:
        left = {cue.id for cue in attempt.choices()}
        for place, cue in enumerate(self._numbered, 1):
            if cue.id not in left:
                continue
            marks = ", marks the part" if cue.marks_part else ""
            hazard = f", hazard {cue.hazard}" if cue.hazard != "none" else ""
            self._say(f"  {place:>2} {cue.id.replace('_', ' ')}: {cue.minutes:g} min{marks}{hazard}")

    def _so_far(self, attempt: Attempt) -> None:
        if not attempt.took:
            self._say("No test yet.")
        for took in attempt.took:
            self._say(f"  {took.question} {took.result}")

    def _test(self, attempt: Attempt, line: str, hands_on: bool) -> None:
        cue = _find(self._numbered, line)
        if cue is not None and cue not in attempt.choices():
            self._say("That test has been done; 'so far' shows what it told.")
            return
        if cue is None:
            self._say(f"There is no test {shown(line)}; type 'tests' for the list.")
            return
        if cue.hazard in GUARDED or cue.opt_in:
            for name in cue.cautions:
                self._say(f"{self.model.cautions[name].level}: {self.model.cautions[name].text}")
            if cue.wear:
                self._say(f"Wear: {cue.wear}.")
            if self._ask("Do it all the same? yes or no> ").strip().casefold() not in ("yes", "y"):
                self._say("Left undone.")
                return
        took = attempt.tell(cue, self._seen(cue)) if hands_on else attempt.take(cue)
        self._say(f"{cue.question} {took.result or 'nothing of the kind'}.")

    def _seen(self, cue: Cue) -> Answer:
        """What the apprentice saw on a real plaque."""
        self._say(cue.how)
        if cue.kind == "choice":
            return self._pick([(value.id, value.text) for value in cue.values])
        while True:
            if cue.kind == "set":
                for value in cue.values:
                    self._say(f"  {value.id}: {value.text}")
                typed = self._ask("words, with commas between> ")
                text = f"{cue.id}: [{typed}]"
            else:
                text = f"{cue.id}: {self._ask('g/cm3> ')}"
            try:
                found = answers_from_bytes(self.model, text.encode(), "your answer").state.answers.get(cue.id)
            except BadAnswers as error:
                self._say(str(error))
                continue
            if found is not None:
                return found.value
            self._say("Nothing was typed.")

    def _claim(self) -> Claim:
        classes = list(dict.fromkeys(m.klass for m in self.model.materials.values()))
        self._say("What class is it?")
        klass = self._pick([(name, name) for name in classes])
        klass_sure = self._percent("How sure of the class, in percent? ")
        material = self._material()
        material_sure = self._percent("How sure of the polymer, in percent? ")
        self._say("How would you treat it?")
        cells = {m.cell for m in self.model.materials.values()}
        routes = [(cell.id, cell.name) for cell in self.model.cells.values() if cell.id in cells]
        route = self._pick([*routes, (DEFER, "ask somebody, or send it to be tested")])
        return Claim(klass, klass_sure, material, material_sure, route)

    def _material(self) -> str:
        while True:
            line = self._ask("Which polymer? A symbol or a name, or 'none of these'> ").strip()
            if line.casefold() in ("none of these", "none"):
                return NONE_ID
            found = find_material(self.model, line)
            if found is not None:
                self._say(f"{found.symbol}, {found.name}.")
                return found.id
            known = next(iter(self.model.materials))
            self._say(f"No polymer is called {shown(line)} here; type a symbol such as {known}.")

    def _percent(self, prompt: str) -> float:
        while True:
            text = self._ask(prompt).strip().rstrip("%").strip()
            if text.isascii() and text.isdigit() and int(text) <= 100:
                return int(text) / 100.0
            self._say("Type a whole number from 0 to 100.")

    def _pick(self, options: Sequence[tuple[str, str]]) -> str:
        for place, (_, text) in enumerate(options, 1):
            self._say(f"  {place} {text}")
        while True:
            line = self._ask("> ").strip()
            if line.isascii() and line.isdigit() and 1 <= int(line) <= len(options):
                return options[int(line) - 1][0]
            if line in _LEAVE:
                raise Left
            near = nearest(line, [name for name, _ in options]) if line else ""
            if near and near == line:
                return near
            hint = f", or {shown(near)}" if near else ""
            self._say(f"Type a number from 1 to {len(options)}{hint}.")

    def _material_text(self, name: str) -> str:
        material = self.model.materials[name]
        return f"{material.symbol}, {material.name}"


def _find(cues: Sequence[Cue], line: str) -> Cue | None:
    """A test by number in the list, by its name, or by the only name that holds the words."""
    if line.isascii() and line.isdigit():
        return cues[int(line) - 1] if 1 <= int(line) <= len(cues) else None
    wanted = "_".join(line.casefold().split())
    for cue in cues:
        if cue.id == wanted:
            return cue
    holding = [cue for cue in cues if wanted in cue.id]
    if len(holding) == 1:
        return holding[0]
    near = nearest(wanted, [cue.id for cue in cues])
    return next((cue for cue in cues if cue.id == near), None)
