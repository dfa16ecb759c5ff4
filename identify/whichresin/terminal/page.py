"""One screen of an interview as data: what is asked, how it is answered, and what is known. Draws nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from whichresin.knowledge.model import Cue
from whichresin.session.interview import Interview
from whichresin.session.result import Question, Result

from . import words
from .lines import Line, percent

_ANSWER_KEYS = "123456789" + "aefjlovz" + "0"  # command letters are left out
_MOST_WHY = 2
CONSENT_AT = ("medium", "high")  # hazards of a test that need an explicit yes


@dataclass(frozen=True, slots=True)
class Known:
    """What the live panel shows: the result, the answers it rests on, and the cautions that apply now."""

    result: Result
    answers: tuple[tuple[str, str], ...] = ()  # (test, answer), oldest first
    cautions: tuple[tuple[str, str], ...] = ()  # (level, hazard in few words), worst first
    against: str = ""  # the test and the answer that would speak most against the leader


@dataclass(frozen=True, slots=True)
class Page:
    """One question as it is put to a person.

    `kind` is that of the cue, or one of text, consent (yes or no, once all is read), list, ending.
    """

    kind: str
    question: str
    prompt: str
    number: int = 0
    part: str = ""
    left: str = ""  # how many questions are likely left
    cost: str = ""
    hazard: str = ""  # the hazards of this test in few words
    how: str = ""
    wear: str = ""
    cautions: tuple[tuple[str, str], ...] = ()  # (level, text), worst first
    consented: bool = False  # the yes to a hazardous test was given: its instructions stand open
    lesson: str = ""
    fooled_by: str = ""
    why: str = ""  # what the answers would do, in one line
    answers: tuple[tuple[str, str], ...] = ()
    keys: Mapping[str, str] = field(default_factory=dict)
    sureness: str = ""  # said when the next answer is not taken as usual
    known: Known | None = None
    body: Callable[[int], list[Line]] | None = None  # lines for a width: cautions, a list, an ending
    aside: bool = False  # something asked beside the question that stands there already

    def with_prompt(self, prompt: str) -> Page:
        """The same page with other words on its last line."""
        return replace(self, prompt=prompt)

    def with_left(self, left: str) -> Page:
        """The same page, once it is known how many questions are likely left."""
        return replace(self, left=left)

    def asking(self, prompt: str, kind: str = "text") -> Page:
        """The same page with something else asked on its last line."""
        return replace(self, prompt=prompt, kind=kind, sureness="", keys={}, aside=True)


def answer_keys(cue: Cue) -> dict[str, str]:
    """Key → value id for a cue with listed values, in the order of the values."""
    return {key: value.id for key, value in zip(_ANSWER_KEYS, cue.values, strict=False)}


def short_name(cue: Cue) -> str:
    """The test in a word or three."""
    return cue.id.replace("_", " ")


def known_now(interview: Interview) -> Known:
    """What the panel shows for where the interview stands."""
    model, result = interview.model, interview.result
    answers = tuple(
        (short_name(model.cues[answer.cue]), interview.value_text(answer.cue, answer.value))
        for answer in interview.state.answers.values()
    )
    cautions = tuple((c.level, model.cautions[c.id].hazard) for c in result.cautions)
    refuter = result.refuter
    against = ""
    if refuter is not None:
        test = short_name(model.cues[refuter.name])
        against = f"{test}: {interview.value_text(refuter.name, refuter.value)}"
    return Known(result, answers, cautions, against)


def question_page(interview: Interview, cue: Cue, number: int, tutor: bool, sureness: str = "") -> Page:
    """The page for a cue, its cautions agreed to where that was needed."""
    cautions = interview.cautions_for(cue.id) if cue.hazard != "none" else ()
    hazards = dict.fromkeys(interview.model.cautions[c].hazard for c in cue.cautions) if cue.hazard != "none" else {}
    prompts = {"number": words.NUMBER_PROMPT, "set": words.SET_PROMPT, "liquids": words.LIQUID_PROMPT}
    return Page(
        kind=cue.kind,
        question=cue.question,
        prompt=words.TEXT_PROMPT if cue.kind == "text" else prompts.get(cue.kind, words.KEY_PROMPT),
        number=number,
        part=interview.state.text("part"),
        cost=cost_text(cue),
        hazard=", ".join(hazards),
        how=cue.how,
        wear=cue.wear,
        cautions=tuple((c.level, c.text) for c in cautions),
        consented=cue.hazard in CONSENT_AT,
        lesson=cue.lesson if tutor else "",
        fooled_by=cue.fooled_by if tutor else "",
        why=why_text(cue, interview.question(cue.id)),
        answers=tuple((key, value.text) for key, value in zip(_ANSWER_KEYS, cue.values, strict=False)),
        keys=words.KEYS,
        sureness=sureness,
        known=known_now(interview),
    )


def cost_text(cue: Cue) -> str:
    """What a test takes: time, a mark on the part, tools, hazard."""
    parts = [minutes_text(cue.minutes), "leaves a mark" if cue.marks_part else "leaves no mark"]
    if cue.tools:
        parts.append("needs " + ", ".join(cue.tools))
    if cue.hazard != "none":
        parts.append(f"hazard {cue.hazard}")
    return "; ".join(parts)


def minutes_text(minutes: float) -> str:
    """A time with its unit."""
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def why_text(cue: Cue, question: Question) -> str:
    """What the likeliest answers would do to the belief, in one line; nothing for a test that was not weighed."""
    if cue.topic == "gate":
        return words.GATE_FIRST
    likely = sorted(question.outcomes, key=lambda outcome: -outcome.probability)
    if not likely:
        return ""
    others = [outcome for outcome in likely[1:] if outcome.leader != likely[0].leader] or likely[1:]
    told = [likely[0], *others][:_MOST_WHY]
    return words.WHY_LINE.format(
        outcomes="; ".join(
            words.WHY_OUTCOME.format(text=o.text, leader=o.leader, percent=percent(o.leader_probability)) for o in told
        )
    )
