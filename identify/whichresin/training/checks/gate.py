"""Nothing leads to `repair` over a gate that is shut, or that nobody has asked about."""

from __future__ import annotations

from collections.abc import Iterator

from whichresin.engine.conditions import All, Condition, Equals, Known, Never, OneOf, elementary
from whichresin.engine.ways import ways
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.names import DUTY, SAID
from whichresin.vocabulary.text import shown

from ..proof import Unproved, behind, breaches
from ..truth import Names
from .base import Finding, check

_GATE, _OPEN = "gate", "open"
_KIND, _GATED = "part_gate", ("refer", "replace")


def _may_open(compiled: Compiled) -> Condition:
    """When the gate may be open at all: somebody answered that the part guards nothing, and nothing known of it, in
    its kind or in the words for it, says otherwise. This stands outside the rules, so that rules can be held to it."""
    harmless = tuple(compiled.tree.ctx.lists.get("harmless_duties", ()))
    against: list[Condition] = [OneOf(_KIND, _GATED)]
    if SAID in compiled.names.domains:
        against.append(Known(SAID))
    return All((OneOf(DUTY, harmless), Never(tuple(against))))


@check(
    "gate-can-open",
    "error",
    "a rule opens the gate in a case in which it must stay shut",
    "Let the rule ask for a harmless answer to what the part does, and bar gated kinds and words that speak of a duty.",
    whole=True,
)
def gate_can_open(compiled: Compiled) -> Iterator[Finding]:
    """Somebody can get hurt. Every case that the rules can tell apart is tried: the gate may be open only where the
    duty was answered and guards nothing, no gated kind of part and no word for a duty stands against it, and no
    rule shuts it. The rules of packs are held to the same."""
    rules = behind([one.rule for one in compiled.rules if one.rule is not None], _GATE)
    opening = {rule.id for rule in rules if any((c.name, c.value) == (_GATE, _OPEN) for c in rule.conclude)}
    if not opening:
        return
    rows = {one.id: one.row for one in compiled.rules}
    may_open = _may_open(compiled)
    derived = {c.name for rule in rules for c in rule.conclude}
    looked_at = dict.fromkeys(
        leaf.name for when in (may_open, *(rule.when for rule in rules)) for leaf, _ in elementary(when)
    )
    domains, single = compiled.names.domains, compiled.names.single
    told: Names = tuple(
        (name, domains[name].words if name in domains else frozenset(), name in single)
        for name in looked_at
        if name not in derived
    )
    found = breaches(rules, told, _GATE, _OPEN, may_open)
    if isinstance(found, Unproved):
        for name in sorted(opening):
            sentence = f"rule {shown(name)} opens the gate; {found.why}, so nothing is proved"
            yield Finding(rows[name].at("when"), sentence)
        return
    for breach in found:
        yield Finding(rows[breach.rule].at("when"), f"rule {shown(breach.rule)} opens the gate when {breach.case}")


@check(
    "repair-without-gate",
    "error",
    "a process repairs without asking for the open gate",
    "Write {gate: open} under all in the when of the process.",
)
def repair_without_gate(compiled: Compiled) -> Iterator[Finding]:
    """The program asks for the open gate as well. A process that says so itself stays safe when it is read, copied
    or used by another program."""
    conditions = {one.id: one.when for one in compiled.repairs.conditions}
    for process in compiled.repairs.book.processes:
        when = conditions.get(process.when)
        if process.decision != "repair" or (process.when and when is None):
            continue  # a condition that cannot be read is reported where it stands
        row = compiled.tree.processes[process.id].row
        needs = [way.needs for way in ways(when)] if when is not None else [()]
        if not all(Equals(_GATE, _OPEN) in way for way in needs):
            yield Finding(row.at("when"), f"process {shown(process.id)} repairs and does not ask for the open gate")
