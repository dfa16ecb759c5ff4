"""A result as lines of text. Pure: a result and a width in, lines out; nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.knowledge.model import Cue
from whichresin.session.result import Chance, Question, Result
from whichresin.session.supposed import Supposed
from whichresin.vocabulary.text import escaped

from . import words
from .lines import Line, wrap
from .lines import percent as percent
from .turns import would_change_texts

_ANSWER_KEYS = "123456789" + "aefjlmoprtvz"  # command letters are left out
_TOP = 4
_KEPT = "\u00a0"  # a space that no line may be broken at


def answer_keys(cue: Cue) -> dict[str, str]:
    """Key → value id for a cue with listed values, in the order of the values."""
    return {key: value.id for key, value in zip(_ANSWER_KEYS, cue.values, strict=False)}


def heading(text: str, width: int) -> list[Line]:
    """A title and a rule under it."""
    return [Line(""), *wrap(text, width, "strong"), Line("-" * min(width, max(20, len(text))), "faint")]


def question_lines(cue: Cue, number: int, width: int, lesson: bool = False) -> list[Line]:
    """The question in plain words, what it costs, why the test works if wanted, and a key for every answer."""
    lines = heading(f"{number}. {cue.question}", width)
    lines += wrap(_cost(cue), width, "faint", "  ", "  ")
    if lesson and cue.lesson:
        lines += wrap(cue.lesson, width, "plain", "  ", "  ")
    for key, value in zip(_ANSWER_KEYS, cue.values, strict=False):
        lines += wrap(value.text, width, "plain", f"  {key}  ", "     ")
    return lines


def key_lines(width: int) -> list[Line]:
    """The command keys, on as few lines as the width allows."""
    units = [f"{key} {word}".replace(" ", _KEPT) for key, word in words.KEYS.items()]
    lines = wrap("   ".join(units), width, "faint", "  ", "  ")
    return [line._replace(text=line.text.replace(_KEPT, " ")) for line in lines]


def more_key_lines(width: int) -> list[Line]:
    """The keys that are needed less often, one a line."""
    lines: list[Line] = []
    for key, word in words.MORE_KEYS.items():
        lines += wrap(word, width, "plain", f"  {key}  ", "     ")
    return lines


def _cost(cue: Cue) -> str:
    minutes = f"{cue.minutes:g} minute{'' if cue.minutes == 1 else 's'}"
    parts = [minutes, "leaves a mark" if cue.marks_part else "leaves no mark"]
    if cue.tools:
        parts.append("needs " + ", ".join(cue.tools))
    if cue.hazard != "none":
        parts.append(f"hazard {cue.hazard}")
    return " · ".join(parts)


def how_lines(cue: Cue, width: int) -> list[Line]:
    """How the test is done, what can fool it, what to wear, and why it works."""
    lines = wrap(f"How: {cue.how}", width, "plain", "  ", "       ")
    if cue.wear:
        lines += wrap(f"Wear: {cue.wear}", width, "strong", "  ", "        ")
    if cue.fooled_by:
        lines += wrap(f"Fooled by: {cue.fooled_by}", width, "plain", "  ", "             ")
    if cue.lesson:
        lines += wrap(f"Why it works: {cue.lesson}", width, "faint", "  ", "    ")
    return lines


def why_lines(question: Question | None, result: Result, width: int) -> list[Line]:
    """What each answer would do to the belief, from the numbers the choice was made on."""
    if question is None:
        return wrap("This was not proposed by worth: it comes first for everyone's safety.", width, "plain", "  ", "  ")
    lines = wrap(
        f"Asking is worth {question.worth:.1f} minutes of wrong work saved, after the "
        f"{question.minutes:g} minutes it takes. If the answer is:",
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
    """The class in words, or that it is undetermined and between what."""
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
    lines = heading(f"{supposed.material.symbol}, {supposed.material.name}: {percent(supposed.probability)}", width)
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
    for because in dict.fromkeys(said.because for said in result.kept_back):
        lines += wrap(because, width, "plain", "  ", "  ")
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


def panel(result: Result, width: int) -> str:
    """Where we stand, in three lines that stay in sight while a key is awaited."""
    bars = []
    for chance in result.polymers[:3]:
        if chance.probability >= 0.01:
            bars.append(f"{chance.symbol} {'#' * max(1, round(chance.probability * 10))} {percent(chance.probability)}")
    rival = f"rival: {result.rival.name} {percent(result.rival.probability)}" if result.rival else ""
    lines = [standing_line(result) if not bars else class_text(result), "   ".join(bars), rival]
    return "\n".join(escaped(line)[: width - 1] for line in lines if line)


def standing_lines(result: Result, width: int, title: str = words.STANDING) -> list[Line]:
    """Class, leading polymers with bars and numbers, filler, repair cell, and what would be asked next."""
    lines = heading(title, width)
    lines += wrap(class_text(result), width, "strong", "  ", "  ")
    for chance in result.polymers[:_TOP]:
        if chance.probability >= 0.01:
            lines += _bar(chance, width)
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
    lines = _section(words.ANSWERS_SO_FAR, [f"{question} {said}" for question, said in answers], width)
    lines += _section(words.DERIVED, [f"{said.text}: {said.because}" for said in result.derived], width)
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


def _bar(chance: Chance, width: int) -> list[Line]:
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


def ending_lines(result: Result, width: int) -> list[Line]:
    """The end of an interview: what it is, how sure, why, what is open, cautions, what a wrong call costs."""
    lines = heading(f"{words.ENDING}: {words.STATUS[result.status]}", width)
    lines += gate_lines(result, width)
    lines += wrap(class_text(result), width, "strong", "  ", "  ")
    for chance in result.polymers[:_TOP]:
        if chance.probability >= 0.02:
            lines += _bar(chance, width)
    lines += wrap(filled_text(result), width, "plain", "  ", "  ")
    if result.cells:
        cell = result.cells[0]
        said = f"Repair group: {cell.name} ({cell.word}, {percent(cell.probability)}). {cell.note}"
        lines += wrap(said, width, "plain", "  ", "  ")
    lines += doubt_lines(result, width)
    if result.stopped:
        lines += wrap(result.stopped, width, "faint", "  ", "  ")
    if result.next is not None:
        lines += wrap(f"Would ask next: {result.next.question}", width, "plain", "  ", "  ")
    if result.cautions:
        lines += heading(words.CAUTIONS, width)
        lines += caution_lines([(c.level, c.text) for c in result.cautions], width)
    lines += _section(words.SITS_BADLY, [b.text for b in result.contradictions], width)
    lines += _section(words.BECAUSE, [b.text for b in result.because], width)
    lines += _section(words.STILL_OPEN, [s.text for s in result.open_points], width)
    lines += _section(words.NEXT_STEPS, _steps(result), width)
    lines += _section(
        words.IF_WRONG,
        [
            f"{call.if_it_is} ({percent(call.probability)}): about {call.minutes:g} minutes of work lost"
            for call in result.wrong_calls
        ],
        width,
    )
    return lines + _section(words.WOULD_CHANGE, would_change_texts(result), width)


def _steps(result: Result) -> list[str]:
    """What the plastic means for the repair; what one rule says stands together, its reason once."""
    said: dict[str, list[str]] = {}
    for step in result.next_steps:
        said.setdefault(step.because, []).append(step.text)
    return [f"{'; '.join(texts)}. {because}" for because, texts in said.items()]


def _section(title: str, texts: Sequence[str], width: int) -> list[Line]:
    if not texts:
        return []
    lines = heading(title, width)
    for text in texts:
        lines += wrap(text, width, "plain", "  - ", "    ")
    return lines
