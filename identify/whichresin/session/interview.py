"""One interview: tell it events, read its result. The same answers give the same result, however they came."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING

from whichresin.belief.posterior import Workspace
from whichresin.engine.chain import Chain
from whichresin.engine.explain import lines
from whichresin.engine.facts import Fact
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Cue, Model

from .asking import as_question, askable
from .consult import LEVELS, closed, stand
from .events import Answered, AnswerValue, Declined, Event, Noted, PutOff, WhatIf
from .reasons import value_text
from .result import Question, Result, Warned
from .state import State, effective, fold
from .supposed import Supposed, find_material, suppose
from .understand import understand_part
from .weighed import Desk, compound_chances, weigh_state
from .why_not import WhyNot, why_not

if TYPE_CHECKING:
    from .density_picture import DensityPicture
    from .recipes import MadeLiquid


_HAZARDS = ("none", "low", "medium", "high")
_NEARLY = 0.7  # a safer test with this share of the worth would do as well; from memory


class Interview:
    """An interview under way. Keeps the engine and the belief's workspace warm between answers."""

    def __init__(self, model: Model, start: State | None = None, events: Iterable[Event] = ()) -> None:
        self.model = model
        self.start = start or State()
        self._events: list[Event] = list(events)
        self._desk = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())
        self._result: Result | None = None

    @property
    def events(self) -> Sequence[Event]:
        """All events so far, oldest first."""
        return tuple(self._events)

    @property
    def state(self) -> State:
        """The state that the events lead to."""
        return fold(self._events, self.start)

    @property
    def result(self) -> Result:
        """Where the interview stands."""
        if self._result is None:
            self._result = stand(self._desk, self.state)
        return self._result

    def closing(self) -> Result:
        """The result to end on: once nothing more is asked, with what would change it."""
        return closed(self._desk, self.state, self.result)

    def tell(self, event: Event) -> None:
        """Take one more event; the result is worked out when it is next read."""
        self._events.append(event)
        if not isinstance(event, Noted | WhatIf):  # they change nothing that is concluded
            self._result = None

    def could_mean(self, part: str) -> tuple[str, ...]:
        """Names of the kinds of part that the words could mean, the one that counts until somebody says first; none
        where there is nothing to ask."""
        return tuple(kind.name for kind in understand_part(self.model, part).choices)

    def answers_in_words(self) -> list[tuple[str, str]]:
        """(question, answer) in plain words, in the order of answering."""
        return [(self.model.cues[a.cue].question, self.value_text(a.cue, a.value)) for a in self.state.answers.values()]

    def steps(self) -> list[Answered | Declined | PutOff]:
        """What `TakenBack` could undo, oldest first."""
        return [event for event in effective(self._events) if isinstance(event, Answered | Declined | PutOff)]

    def step_text(self, event: Answered | Declined | PutOff) -> str:
        """One of `steps` in plain words."""
        question = self.model.cues[event.cue].question
        if isinstance(event, Answered):
            return f"{question} {self.value_text(event.cue, event.value)}"
        return f"{question} ({'not known' if isinstance(event, Declined) else 'put off'})"

    def last_cue(self) -> str | None:
        """The cue whose answer, refusal or putting off `TakenBack` would undo."""
        steps = self.steps()
        return steps[-1].cue if steps else None

    def value_text(self, cue: str, value: AnswerValue) -> str:
        """An answer in plain words."""
        return value_text(self.model, cue, value)

    def cautions_for(self, cue_id: str) -> tuple[Warned, ...]:
        """What must be shown before this test, worst level first."""
        own = [self.model.cautions[c] for c in self.model.cues[cue_id].cautions]
        return tuple(Warned(c.id, c.level, c.text) for c in sorted(own, key=lambda c: LEVELS.index(c.level)))

    def question(self, cue_id: str) -> Question:
        """Any cue as a question, with its worth where it was weighed."""
        for question in self.result.questions:
            if question.cue == cue_id:
                return question
        return as_question(self.model, self.model.cues[cue_id], 0.0)

    def why_not(self, cue_id: str) -> WhyNot:
        """What keeps a question from being asked now."""
        return why_not(self.model, self.state, self.result, cue_id)

    def find_cues(self, words: str, most: int) -> list[Cue]:
        """Cues whose name or question is like the words, best first."""
        from rapidfuzz import fuzz

        wanted = words.lower().strip()
        if not wanted:
            return []
        scored = [
            (max(fuzz.WRatio(wanted, cue.id.replace("_", " ")), fuzz.partial_ratio(wanted, cue.question.lower())), cue)
            for cue in self.model.cues.values()
        ]
        ranked = sorted(scored, key=lambda pair: -pair[0])
        return [cue for score, cue in ranked if score >= 70][:most]

    def compound_chances(self) -> tuple[float, ...]:
        """The belief in every compound, in the model's order."""
        return compound_chances(self._desk, self.state)

    @staticmethod
    def density_typed(text: str) -> tuple[float, float | None]:
        """(density, standard uncertainty if it was weighed) in g/cm3 from a figure or from weights as typed.

        Raises ValueError with a sentence for what cannot be.
        """
        from .typed import density_typed  # not paid for by interviews without a weighing

        return density_typed(text)

    @staticmethod
    def too_rough(uncertainty: float) -> bool:
        """Whether a density of this standard uncertainty, g/cm3, is of no use to rules that go by weight."""
        from .facts import too_rough

        return too_rough(uncertainty)

    def what_if(self, event: Event) -> Result:
        """Where the interview would stand after one more event; nothing is told."""
        return Interview(self.model, self.start, [*self._events, event]).result

    def questions_left(self, most: int = 12) -> int | None:
        """How many more questions it would take if every answer were the likeliest; None: more than `most`."""
        count = sum(1 for _ in islice(self.steps_ahead(), most + 1))
        return count if count <= most else None

    def steps_ahead(self) -> Iterator[Question]:
        """The questions to come if every answer were the likeliest, worked out one at a time as they are taken."""
        ahead = Interview(self.model, self.start, self._events)
        while (question := ahead.result.gate_question or ahead.result.next) is not None:
            yield question
            likely = max(question.outcomes, key=lambda outcome: outcome.probability, default=None)
            ahead.tell(ahead.answer_of(question, likely.value) if likely is not None else Declined(question.cue))

    def answer_of(self, question: Question, value: str) -> Answered | Declined:
        """An outcome as an answer; a density bin has no single figure, so it is passed over."""
        if question.kind == "number":
            return Declined(question.cue)
        if question.liquid is not None:
            return self.floated(question.liquid, value)
        return Answered(question.cue, (value,) if question.kind == "set" else value)

    def density_picture(self, made: MadeLiquid | None = None) -> DensityPicture:
        """What is still possible on an axis of density, with the liquid proposed."""
        from .density_picture import of_interview

        return of_interview(self, [made.as_json()] if made is not None else ())

    def floated(self, made: MadeLiquid, result: str, sure: str = "medium") -> Answered:
        """What the piece did in a made liquid, added to what it did in others."""
        from .designed import floated

        return floated(self.model, self.state, made, result, sure)

    def with_earlier(self, cue: str, value: AnswerValue) -> AnswerValue:
        """Results in more liquids, after those answered before."""
        before = self.state.answers.get(cue)
        if before is None or not isinstance(before.value, tuple) or not isinstance(value, tuple):
            return value
        return (*before.value, *value)

    def suppose(self, words: str) -> Supposed | None:
        """How 'I think it is ...' stands; None when the words mean no material known here."""
        material = find_material(self.model, words)
        if material is None:
            return None
        cues = askable(self.model, self.state, self._desk.chain).cues
        return suppose(self._desk, weigh_state(self._desk, self.state), material, cues)

    def reasons(self) -> list[str]:
        """The engine's full tree of reasons for everything derived of the part, down to answers, rules and sources."""
        said = [*self.result.derived, *self.result.next_steps]
        found: list[str] = []
        for one in said:
            found += lines(self._desk.chain.why(Fact(one.name, one.value)), say_fact=self._say_fact, sources=True)
        return found

    def _say_fact(self, fact: Fact) -> str:
        """A fact in the plain words of its cue or of the derived facts."""
        word = self.model.facts.get(fact.name)
        if word is not None:
            return word.values.get(str(fact.value), str(fact))
        cue = self.model.cues.get(fact.name)
        if cue is None:
            return str(fact)
        return f"{cue.question} {value_text(self.model, cue.id, fact.value)}"

    def safer(self, cue_id: str) -> Cue | None:
        """A test of less hazard that would do nearly as well as this one now, if there is one."""
        asked = self.question(cue_id)
        for question in self.result.questions:
            milder = _HAZARDS.index(question.hazard) < _HAZARDS.index(asked.hazard)
            if milder and question.worth > 0 and question.worth >= _NEARLY * asked.worth:
                return self.model.cues[question.cue]
        return None


def consult(model: Model, state: State) -> Result:
    """The result for a state, from scratch."""
    return Interview(model, state).result
