"""A plan as lines of text for people: decision and why first, every caution before its step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from whichresin.repair.plan import NextTest, Plan, Step
from whichresin.session.understand import SOMETHING_ELSE, as_meant
from whichresin.terminal.lines import Line, percent, wrap
from whichresin.terminal.render import heading
from whichresin.terminal.words import LEVELS

_DECISIONS = {
    "repair": "repair it",
    "replace": "replace it",
    "refer": "do not repair it here: refer it",
    "test_more": "one more answer first",
}
_NO_TEST_LEFT = "no repair before somebody has found out what it is"
_REFER = "It is for the maker's written procedure, the rules of the place and licensed practice."
_PROMOTERS = {
    "required": "needed",
    "not_required": "not needed",
    "follow_product_sheet": "as the product sheet says",
}


def plan_lines(plan: Plan, width: int, amounts: Sequence[Line] = ()) -> list[Line]:
    """The whole plan at this width; `amounts` are the lines on what the shop brings, put where things are laid out."""
    lines = _decision(plan, width)
    lines += _test(plan.next_test, plan, width) if plan.next_test is not None else []
    lines += _list("Must not", [reason.text for reason in plan.must_not], width, "caution")
    if plan.steps:
        lines += [*_promoter(plan, width), *_wetting(plan, width)]
        lines += [*_list("Have at hand", plan.needs, width), *amounts]
    else:
        lines += _general_cautions(plan, width)
    lines += _understood(plan, width)
    lines += _identified(plan, width)
    lines += _options(plan, width)
    return lines + _steps(plan, width)


def _decision(plan: Plan, width: int) -> list[Line]:
    no_test = plan.decision == "test_more" and plan.next_test is None
    lines = heading(f"The plan: {_NO_TEST_LEFT if no_test else _DECISIONS[plan.decision]}", width)
    if plan.decision == "repair" and plan.options:
        lines += wrap(f"Way: {plan.options[0].text}.", width, "strong", "  ", "  ")
    if plan.decision == "refer":
        lines += wrap(_REFER, width, "strong", "  ", "  ")
    for place, reason in enumerate(plan.because):
        lines += wrap(("Why: " if place == 0 else "") + reason.text, width, "plain", "  ", "  ")
    if plan.open_question:
        lines += wrap(plan.open_question, width, "plain", "  ", "  ")
    return lines


def _test(test: NextTest, plan: Plan, width: int) -> list[Line]:
    lines = heading("Answer this first", width)
    lines += _cautions(test.cautions, plan, width)
    lines += wrap(test.question, width, "strong", "  ", "  ")
    lines += wrap(f"How: {test.how}", width, "plain", "  ", "       ")
    if not any(reason.text in test.because for reason in plan.because):
        lines += wrap(f"Why: {test.because}", width, "plain", "  ", "       ")
    if test.values:
        said = ", ".join(value for value, _ in test.values)
        lines += wrap(f"In the answers file: {test.cue}: one of {said}.", width, "faint", "  ", "    ")
    return lines


def _promoter(plan: Plan, width: int) -> list[Line]:
    text = f"Adhesion promoter: {_PROMOTERS[plan.promoter]}. {plan.promoter_because.text}"
    return [Line(""), *wrap(text, width, "plain", "  ", "  ")]


def _wetting(plan: Plan, width: int) -> list[Line]:
    if plan.wetting is None:
        return []
    title = "Does it wet the plastic (chance that it spreads by itself)?"
    return _list(title, [f"{one.text} Source: {', '.join(one.source)}." for one in plan.wetting.reasons], width)


def _understood(plan: Plan, width: int) -> list[Line]:
    said = plan.understood
    texts = []
    if said.part.text:
        names = f"taken as {said.part_name}" if said.part_name else "no kind of part known here"
        if said.part_sure == "unsure" and not said.part_choices:
            names = f"perhaps {' or '.join((said.part_name, *said.part_others))}"
        if said.part_choices:
            first = said.part_choices[0]
            names = f"do you mean {', or '.join((*said.part_choices, SOMETHING_ELSE))}? Until you say, {first} counts"
        texts.append(f"Part: {said.part.text}: {names}.")
        if said.part_choices:
            texts.append(f"To say which, write the part as '{as_meant(said.part.text, said.part_choices[-1])}'.")
    for name, reading in (("Damage", said.damage_words), ("Context", said.context)):
        if reading.text:
            meant = ", ".join(reading.meanings) or "nothing known here"
            texts.append(f"{name}: {reading.text}: {meant}.")
    unknown = [*said.part.not_understood, *said.damage_words.not_understood, *said.context.not_understood]
    if unknown:
        texts.append(f"Not understood: {', '.join(unknown)}.")
    if said.shop:
        texts.append(f"Shop: {', '.join(item.replace('_', ' ') for item in said.shop)}.")
    if plan.decision in ("repair", "test_more"):
        texts += said.missing
    return _list("How your words were understood", texts, width)


def _identified(plan: Plan, width: int) -> list[Line]:
    found = plan.identified
    names = ", ".join(f"{share.id} {percent(share.probability)}" for share in found.polymers[:4])
    cells = ", ".join(f"{share.name} {percent(share.probability)}" for share in found.cells[:3])
    texts = [
        f"Class: {found.klass}." if found.klass == "undetermined" else f"Class: {found.klass} ({found.klass_word}).",
        f"Likeliest: {names}.",
        f"Repair group: {cells}.",
        f"Filled {percent(found.filled)}, with fibre {percent(found.fibre)}.",
    ]
    if found.none_of_these >= 0.05:
        texts.append(f"None of the plastics known here: {percent(found.none_of_these)}.")
    return _list("What it is believed to be", texts, width)


def _options(plan: Plan, width: int) -> list[Line]:
    if not plan.options:
        return []
    texts = [
        f"{option.text}: about {option.loss:.0f} minutes{f' ({option.note})' if option.note else ''}"
        for option in plan.options
    ]
    lines = _list("What was weighed, expected loss in minutes of work or worth as much", texts, width)
    flips = [f"If {flip.text}: {_DECISIONS[flip.decision]}{_by(flip.process)}." for flip in plan.flips]
    return lines + _list("What would change it", flips, width)


def _by(process: str) -> str:
    return f" ({process.replace('_', ' ')})" if process != "none" else ""


def _steps(plan: Plan, width: int) -> list[Line]:
    lines: list[Line] = []
    stage, shown = "", dict[str, int]()
    before: frozenset[str] = frozenset()
    for number, step in enumerate(plan.steps, 1):
        if step.stage != stage:
            stage = step.stage
            lines += heading(f"Steps: {stage}", width)
        lines += _before_step(number, step, plan, width, shown, before)
        lines += _step(number, step, width)
        before = frozenset(step.cautions)
    return lines


def _before_step(
    number: int, step: Step, plan: Plan, width: int, shown: dict[str, int], before: frozenset[str]
) -> list[Line]:
    """Each caution in full before the first step that needs it, afterwards in short, so that it is still read."""
    new = [one for one in step.cautions if one not in shown]
    old = [one for one in step.cautions if one in shown]
    lines = _cautions(new, plan, width)
    if old and (new or frozenset(old) != before):
        worst = [plan.caution_texts[one].hazard for one in old if plan.caution_texts[one].level == "danger"]
        steps = sorted({shown[one] for one in old})
        places = f"step{'s' if len(steps) > 1 else ''} {', '.join(map(str, steps))}"
        text = f"The cautions of {places} hold again" + (f": {'; '.join(worst)}." if worst else ".")
        lines += wrap(text, width, "caution", "  ! ", "    ")
    elif old:
        lines += wrap("The cautions of the step before hold.", width, "caution", "  ! ", "    ")
    for one in new:
        shown[one] = number
    return lines


def _step(number: int, step: Step, width: int) -> list[Line]:
    lead = f"{number:>3}. "
    lines = wrap(step.do, width, "strong", lead, " " * len(lead))
    lines += wrap(f"Why: {step.why}", width, "plain", "     ", "     ")
    if step.time:
        lines += wrap(f"Time: {step.time}.", width, "faint", "     ", "     ")
    if step.hold:
        lines += wrap(f"Stop and answer: {step.hold}", width, "caution", "     ", "     ")
    if step.record:
        lines += wrap(f"Write down: {', '.join(step.record)}.", width, "faint", "     ", "     ")
    return lines


def _cautions(ids: Iterable[str], plan: Plan, width: int) -> list[Line]:
    lines: list[Line] = []
    for one in ids:
        caution = plan.caution_texts[one]
        lines += wrap(f"{LEVELS.get(caution.level, caution.level)}: {caution.text}", width, "caution", "  ! ", "    ")
    return lines


def _general_cautions(plan: Plan, width: int) -> list[Line]:
    if not plan.cautions:
        return []
    return [*heading("Cautions", width), *_cautions(plan.cautions, plan, width)]


def _list(title: str, texts: Sequence[str], width: int, style: str = "plain") -> list[Line]:
    if not texts:
        return []
    lines = heading(title, width)
    for text in texts:
        lines += wrap(text, width, style, "  - ", "    ")
    return lines
