"""From a case to a plan: gate, contradictions, conclusions withheld, then expected loss and what is still open."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from whichresin.knowledge.model import Caution
from whichresin.knowledge.repair_model import Process

from .case import Case
from .cautions import ALWAYS, applying, for_step, worst_first
from .doubt import Rival, as_test, rivals, settling_test
from .plan import NextTest, Option, Plan, Reason, Step, in_hundred
from .promoter import NOT_REQUIRED, promoter_of
from .ways import Way
from .weighed import Weighed, weigh
from .wetted import wetting_of
from .why import flips, forbidden, reasons

_ON_UNKNOWN_GROUND = ("send_to_lab", "safe_for_all", "test_patch_first")  # what to do where nothing known fits


def make_plan(case: Case) -> Plan:
    """The plan for a case. A repair is planned over an open gate only."""
    holding = case.holding()
    if case.gate.state == "shut":
        return _bare(case, holding, case.gate.decision or "refer", because=case.gate.reasons)
    if case.gate.state != "open":
        return _gate_open_question(case, holding)
    if case.status == "contradiction":
        return _contradiction(case, holding)
    if case.withheld:
        return _withheld(case, holding)
    weighed = weigh(case, holding)
    chosen = weighed.chosen
    if chosen is None:
        return _bare(case, holding, "refer", because=(Reason("No process known here may be used on this part."),))
    plan = _planned(case, holding, weighed, chosen)
    first = _ask_first(case, holding, chosen.process)
    if first is not None:
        return _as_test_more(case, plan, first)
    others = rivals(case, weighed.ways, chosen)
    if others:
        test = settling_test(case, weighed.ways)
        if test is not None:
            return _as_test_more(case, plan, as_test(case.model, test.cue, _hangs_on(case, chosen, others)))
    return replace(plan, open_question=_does_it_matter(case, chosen, others))


def _gate_open_question(case: Case, holding: Collection[str]) -> Plan:
    """Nobody has said what the part keeps safe: ask; where nobody can say, it counts as a safety part."""
    if case.gate.cue is None:
        because = (*case.gate.reasons, Reason("Nobody could say what it keeps safe, so it counts as a safety part."))
        return _bare(case, holding, "refer", because=because)
    plan = _bare(case, holding, "test_more", because=case.gate.reasons)
    why = " ".join(reason.text for reason in case.gate.reasons) or "Whether it may be repaired hangs on this."
    return _with_test(case, plan, as_test(case.model, case.gate.cue, why))


def _contradiction(case: Case, holding: Collection[str]) -> Plan:
    said = tuple(Reason(text) for text in case.contradictions)
    plan = _bare(case, holding, "test_more", because=said)
    if case.repeat is None:
        return plan
    why = "The answers do not fit together, so one of them is wrong; no repair is planned on them."
    return _with_test(case, plan, as_test(case.model, case.repeat, why))


def _withheld(case: Case, holding: Collection[str]) -> Plan:
    """No way of repair is weighed by a belief that fits none of what is known: what rules say of unknown ground."""
    why = Reason("The answers fit none of the plastics known here well enough, so no repair is planned on them.")
    told = [reason for fact, reason in sorted(case.reasons.items(), key=str) if fact.name in _ON_UNKNOWN_GROUND]
    return _bare(case, holding, "test_more", because=(why, *dict.fromkeys(told)))


def _ask_first(case: Case, holding: Collection[str], process: Process) -> NextTest | None:
    for one in process.ask_first:
        if one.when in holding and one.cue not in case.answered:
            return as_test(case.model, one.cue, one.because)
    return None


def _bare(case: Case, holding: Collection[str], decision: str, because: Sequence[Reason] = ()) -> Plan:
    """A plan without steps."""
    promoter, why = promoter_of(case, None)
    warned = _of_the_part(case)
    return Plan(
        understood=case.understood,
        decision=decision,
        process="none",
        variant="",
        promoter=promoter,
        promoter_because=why,
        steps=(),
        cautions=warned,
        caution_texts={one: case.model.cautions[one] for one in warned},
        must_not=forbidden(case.book.must_not, holding),
        because=tuple(because),
        options=(),
        runner_up=None,
        flips=(),
        next_test=None,
        open_question="",
        needs=(),
        gate=case.gate.state,
        identified=case.identified,
        knowledge=case.model.key,
    )


def _planned(case: Case, holding: Collection[str], weighed: Weighed, chosen: Way) -> Plan:
    process = chosen.process
    steps = _steps(case, process, holding)
    # Cautions that rules set for work that is not planned here would only hide those that count.
    works = {work for row in process.steps if row.when in holding for work in row.work}
    warned = [one for one in case.warned if _concerns(case.model.cautions[one], works)]
    shown = worst_first(case.model, (*warned, *(one for step in steps for one in step.cautions)))
    promoter, why = promoter_of(case, process)
    options = tuple(_option(case, way, loss, holding) for way, loss in weighed.open)
    return replace(
        _bare(case, holding, process.decision),
        process=process.process,
        variant=process.id,
        promoter=promoter,
        promoter_because=why,
        steps=steps,
        cautions=shown,
        caution_texts={one: case.model.cautions[one] for one in shown},
        must_not=forbidden((*process.must_not, *case.book.must_not), holding),
        because=reasons(case, chosen, holding),
        options=options,
        runner_up=options[1] if len(options) > 1 else None,
        flips=flips(case, weighed, chosen),
        needs=tuple(need.text for need in process.needs if need.when in holding),
        wetting=wetting_of(case, process, promoter != NOT_REQUIRED),
    )


def _of_the_part(case: Case) -> tuple[str, ...]:
    """Cautions that hold for the part itself; those for work that is not done would only hide them."""
    cautions = case.model.cautions
    return worst_first(case.model, [one for one in case.warned if cautions[one].parts or not cautions[one].processes])


def _concerns(caution: Caution, works: set[str]) -> bool:
    """Whether a caution holds for this work, or for the part whatever is done."""
    return not caution.processes or ALWAYS in caution.processes or not works.isdisjoint(caution.processes)


def _as_test_more(case: Case, plan: Plan, test: NextTest) -> Plan:
    """The same plan held back for one more test: no steps before it is answered."""
    bare = _bare(case, case.holding(), "test_more", because=(Reason(test.because),))
    kept = replace(bare, options=plan.options, runner_up=plan.runner_up, flips=plan.flips)
    return _with_test(case, kept, test)


def _with_test(case: Case, plan: Plan, test: NextTest) -> Plan:
    """The plan with the test to do, and its cautions among the texts."""
    ids = worst_first(case.model, (*_of_the_part(case), *test.cautions))
    return replace(plan, next_test=test, cautions=ids, caution_texts={one: case.model.cautions[one] for one in ids})


def _steps(case: Case, process: Process, holding: Collection[str]) -> tuple[Step, ...]:
    fitting = applying(case, holding)
    return tuple(
        Step(
            id=row.id,
            do=row.do,
            why=row.why,
            minutes=(row.minutes[0], row.minutes[1]) if row.minutes else None,
            cautions=for_step(case.model, row, fitting),
            hold=row.hold or None,
            record=row.record,
            timer=row.timer or None,
            source=row.source,
            stage=row.stage,
        )
        for row in process.steps
        if row.when in holding
    )


def _option(case: Case, way: Way, loss: float, holding: Collection[str]) -> Option:
    """A way with its loss, and what weighs against it: the note that holds for more than half of the belief, and
    the additions that count."""
    notes = next((cost.notes for cost in case.book.costs if cost.process == way.process.id), ())
    sums: dict[str, float] = {}
    for note, chance in zip(notes, case.said.compounds, strict=False):
        sums[note] = sums.get(note, 0.0) + chance
    against = [text for text, chance in sums.items() if text and chance > 0.5]
    against += [
        one.because.rstrip(".")
        for one in case.book.adds
        if one.when in holding and one.minutes > 0 and way.process.id in one.to
    ]
    return Option(way.process.decision, way.process.process, way.process.name, loss, "; ".join(against))


def _hangs_on(case: Case, chosen: Way, others: Sequence[Rival]) -> str:
    first = others[0]
    return (
        f"As it stands the best way is to {_way(case, chosen)}; if it is {first.name} "
        f"({in_hundred(first.probability)}), it is to {_way(case, first.way)}."
    )


def _way(case: Case, way: Way) -> str:
    treated = f" as {case.model.cells[way.treat_as].name}" if way.treat_as else ""
    return f"{way.process.name}{treated}"


def _does_it_matter(case: Case, chosen: Way, others: Sequence[Rival]) -> str:
    if others:
        first = others[0]
        return (
            f"It may be {first.name} ({in_hundred(first.probability)}); then the better way were to "
            f"{_way(case, first.way)}. No test left is worth its cost, so this plan is the one that loses least."
        )
    if case.identified.open:
        return f"Still open: {'; '.join(case.identified.open)}. It does not change the work."
    return ""
