"""A result as lines of text. Pure: a result and a width in, lines out; nothing is computed here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from whichresin.knowledge.model import Cue
from whichresin.session.result import Chance, Question, Result
from whichresin.session.supposed import Supposed

from . import words
from .lines import KEPT, Line, percent, wrap
from .page import Page, minutes_text

_TOP = 4


def heading(text: str, width: int) -> list[Line]:
    """A title and a rule under it."""
    return [Line(""), *wrap(text, width, "strong"), Line("-" * min(width, max(20, len(text))), "faint")]


def page_lines(page: Page, width: int) -> list[Line]:
    """A page in plain lines: the question, what it costs, why the test works if wanted, a key for every answer."""
    if page.kind == "text":
        lines = [Line(""), *wrap(page.question, width)]
    else:
        lines = heading(f"{page.number}. {page.question}" if page.number else page.question, width)
    if page.kind == "consent" and page.body is not None:
        return lines + page.body(width)
    if page.cost:
        lines += wrap(page.cost, width, "faint", "  ", "  ")
    if page.hazard:
        lines += wrap(f"{words.HAZARDS}: {page.hazard}", width, "caution", "  ! ", "    ")
    if page.consented:
        lines += wrap(f"How: {page.how}", width, "plain", "  ", "       ")
        if page.wear:
            lines += wrap(f"Wear: {page.wear}", width, "strong", "  ", "        ")
    if page.lesson:
        lines += wrap(page.lesson, width, "plain", "  ", "  ")
    if page.fooled_by:
        lines += wrap(f"Fooled by: {page.fooled_by}", width, "plain", "  ", "  ")
    if page.why:
        lines += wrap(page.why, width, "faint", "  ", "  ")
    if page.body is not None:
        lines += page.body(width)
    for key, text in page.answers:
        lines += wrap(text, width, "plain", f"  {key}  ", "     ")
    return lines


def key_lines(keys: Mapping[str, str], width: int) -> list[Line]:
    """Command keys, on as few lines as the width allows."""
    units = [f"{key} {word}".replace(" ", KEPT) for key, word in keys.items()]
    return wrap("   ".join(units), width, "faint", "  ", "  ")


def more_key_lines(width: int) -> list[Line]:
    """The keys that are needed less often, one a line."""
    lines: list[Line] = []
    for key, word in words.MORE_KEYS.items():
        lines += wrap(word, width, "plain", f"  {key}  ", "     ")
    return lines


def how_lines(cue: Cue, how: str, width: int) -> list[Line]:
    """How the test is done, what can fool it, what to wear, and why it works."""
    lines = wrap(f"How: {how}", width, "plain", "  ", "       ")
    if cue.wear:
        lines += wrap(f"Wear: {cue.wear}", width, "strong", "  ", "        ")
    if cue.fooled_by:
        lines += wrap(f"Fooled by: {cue.fooled_by}", width, "plain", "  ", "             ")
    if cue.lesson:
        lines += wrap(f"Why it works: {cue.lesson}", width, "faint", "  ", "    ")
    return lines


def why_lines(cue: Cue, question: Question, result: Result, width: int) -> list[Line]:
    """What each answer would do to the belief, from the numbers the choice was made on."""
    if not question.outcomes:
        said = words.GATE_FIRST if cue.topic == "gate" else words.NOT_WEIGHED
        return wrap(said, width, "plain", "  ", "  ")
    lines = wrap(
        f"Asking is worth {question.worth:.1f} minutes of wrong work saved, after the "
        f"{minutes_text(question.minutes)} it takes. If the answer is:",
        width,
        "plain",
        "  ",
        "  ",
    )
    for outcome in question.outcomes:
        lines += wrap(
            f"{outcome.text} ({percent(outcome.probability)}): then {outcome.leader} "
            f"leads with {percent(outcome.leader_probability)}",
            width,
            "plain",
            "  - ",
            "    ",
        )
    rivals = [q for q in result.questions if q.cue != question.cue][:3]
    if rivals:
        text = "; ".join(f"{q.question} ({q.worth:+.1f})" for q in rivals)
        lines += wrap(f"Next in worth: {text}", width, "faint", "  ", "  ")
    return lines


def _chances(chances: Sequence[Chance], top: int = _TOP) -> str:
    shown = [c for c in chances[:top] if c.probability >= 0.01] or list(chances[:1])
    return ", ".join(f"{c.symbol} {percent(c.probability)}" for c in shown)


def class_text(result: Result) -> str:
    """The class in words, or that it is undetermined and between what, or that it is left open."""
    if result.withheld:
        return words.CLASS_LEFT_OPEN
    if result.class_name == "undetermined":
        names = ", ".join(
            f"{name} {percent(p)}"
            for name, p in sorted(result.class_chances.items(), key=lambda pair: -pair[1])
            if p >= 0.01
        )
        return f"class undetermined: {names or 'nothing known here fits'}"
    chance = result.class_chances[result.class_name]
    return f"{result.class_name} ({result.class_word}, {percent(chance)})"


def standing_line(result: Result) -> str:
    """Where we stand, in one line."""
    return f"{words.STANDING}: {class_text(result)}; {_chances(result.polymers, 3)}"


def doubt_lines(result: Result, width: int) -> list[Line]:
    """The strongest rival, and what would refute the leader: nobody should have to take a verdict on trust."""
    lines: list[Line] = []
    if result.rival is not None:
        said = words.RIVAL.format(name=result.rival.name, percent=percent(result.rival.probability))
        lines += wrap(said, width, "plain", "  ", "  ")
    if result.refuter is not None:
        said = words.REFUTED_BY.format(text=result.refuter.text, because=f"({result.refuter.because})")
        lines += wrap(said, width, "plain", "  ", "  ")
    return lines


def supposed_lines(supposed: Supposed, width: int) -> list[Line]:
    """What speaks for a supposition, what against, and the cheapest test that would refute it."""
    named = f"{supposed.material.symbol}, {supposed.material.name}: {percent(supposed.probability)}"
    lines = wrap(named, width, "strong", "  ", "  ")
    for title, reasons in (("For", supposed.speaks_for), ("Against", supposed.speaks_against)):
        lines += wrap(f"{title}:" if reasons else f"{title}: nothing said so far", width, "plain", "  ", "  ")
        for reason in reasons:
            lines += wrap(reason.text, width, "plain", "  - ", "    ")
    if supposed.refuter is not None:
        test = supposed.refuter
        said = f"Cheapest test against it: {test.question} {test.text} "
        said += f"(seen on {test.if_true * 100:.0f} in 100 if it is, on {test.if_false * 100:.0f} in 100 if it is not)."
        lines += wrap(said, width, "plain", "  ", "  ")
    return lines


def kept_back_lines(result: Result, width: int) -> list[Line]:
    """Questions that are not asked, and the rule or reason that keeps each back."""
    lines: list[Line] = []
    for because, rule in dict.fromkeys((said.because, said.rule) for said in result.kept_back):
        reason = words.BY_RULE.format(because=because, rule=rule) if rule else because
        lines += wrap(reason, width, "plain", "  ", "  ")
        for said in result.kept_back:
            if said.because == because:
                lines += wrap(said.text, width, "plain", "  - ", "    ")
    return lines or wrap(words.NOTHING_KEPT_BACK, width, "plain", "  ", "  ")


def left_lines(count: int | None, width: int) -> list[Line]:
    """How many questions are likely left; None is more than a dozen."""
    if count == 0:
        return []
    many = words.LEFT_MANY if count is None else words.LEFT_ONE if count == 1 else words.LEFT.format(count=count)
    return wrap(many, width, "faint", "  ", "  ")


def standing_lines(result: Result, width: int) -> list[Line]:
    """Class, leading polymers with bars and numbers, filler, repair cell, and what would be asked next."""
    lines = wrap(class_text(result), width, "strong", "  ", "  ")
    for chance in result.polymers[:_TOP]:
        if chance.probability >= 0.01:
            lines += bar(chance, width)
    lines += wrap(filled_text(result), width, "plain", "  ", "  ")
    if result.cells:
        cell = result.cells[0]
        said = f"Repair group: {cell.name} ({cell.word}, {percent(cell.probability)})"
        lines += wrap(said, width, "plain", "  ", "  ")
    if result.none_of_these >= 0.05:
        lines += wrap(f"None of the plastics known here: {percent(result.none_of_these)}", width, "plain", "  ", "  ")
    lines += doubt_lines(result, width)
    if result.next is not None:
        lines += wrap(f"Would ask next: {result.next.question}", width, "faint", "  ", "  ")
    return lines


def answered_lines(answers: Sequence[tuple[str, str]], result: Result, width: int) -> list[Line]:
    """Answers so far in plain words, what rules derived from them, and the cautions that apply now."""
    lines = section(words.ANSWERS_SO_FAR, [f"{question} {said}" for question, said in answers], width)
    derived = [f"{said.text}: {words.BY_RULE.format(because=said.because, rule=said.rule)}" for said in result.derived]
    lines += section(words.DERIVED, derived, width)
    if result.cautions:
        lines += heading(words.CAUTIONS, width)
        lines += caution_lines([(c.level, c.text) for c in result.cautions], width)
    return lines


def reason_lines(reasons: Sequence[str], width: int) -> list[Line]:
    """The tree of reasons, its indents kept."""
    lines: list[Line] = []
    for reason in reasons:
        indent = " " * (2 + len(reason) - len(reason.lstrip()))
        lines += wrap(reason.strip(), width, "plain", indent, indent + "  ")
    return lines or wrap(words.NO_REASONS, width, "plain", "  ", "  ")


def bar(chance: Chance, width: int) -> list[Line]:
    room = max(5, min(20, width - 45))
    bar = "#" * round(chance.probability * room)
    text = f"{bar:<{room}} {percent(chance.probability):>9}  {chance.symbol}, {chance.name}"
    return wrap(text, width, "plain", "  ", " " * (room + 14)) if width >= 70 else wrap(
        f"{percent(chance.probability)} {chance.symbol}, {chance.name} ({chance.word})", width, "plain", "  ", "    "
    )


def filled_text(result: Result) -> str:
    """Whether it is filled, with what."""
    filled = result.filled
    said = f"Filled: {filled.word} ({percent(filled.probability)})"
    fillers = [f for f in filled.fillers if f.probability >= 0.05][:3]
    if fillers:
        said += ": " + ", ".join(f"{f.name} {percent(f.probability)}" for f in fillers)
    return said


def gate_lines(result: Result, width: int) -> list[Line]:
    """May this part be repaired at all."""
    gate = result.gate
    text = {"shut": words.GATE_SHUT, "open": words.GATE_OPEN}.get(gate.state, words.GATE_UNKNOWN)
    said = text.format(decision=words.DECISIONS.get(gate.decision, gate.decision), reason=gate.reason)
    return wrap(said, width, "plain" if gate.state == "open" else "caution", "  ", "  ")


def caution_lines(cautions: Sequence[tuple[str, str]], width: int) -> list[Line]:
    """Cautions, the word for their level first."""
    lines: list[Line] = []
    for level, text in cautions:
        lines += wrap(f"{words.LEVELS.get(level, level)}: {text}", width, "caution", "  ! ", "    ")
    return lines


def section(title: str, texts: Sequence[str], width: int) -> list[Line]:
    if not texts:
        return []
    lines = heading(title, width)
    for text in texts:
        lines += wrap(text, width, "plain", "  - ", "    ")
    return lines
