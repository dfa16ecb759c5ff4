"""Why this plan, what must not be done, and what would change the decision."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from whichresin.knowledge.repair_model import Forbidden, Process

from .case import Case
from .doubt import rivals
from .plan import Flip, Reason, in_hundred
from .ways import Way
from .weighed import Weighed, weigh

_MOST_FLIPS = 5
_MOST_REASONS = 7
_FIRST = ("not_plastic", "promoter", "weld", "solvent_bond", "plies_useless")  # what a repairer asks about first


def forbidden(rows: Sequence[Forbidden], holding: Collection[str]) -> tuple[Reason, ...]:
    found = {row.text: Reason(f"{row.text} {row.because}", row.source) for row in rows if row.when in holding}
    return tuple(found.values())


def reasons(case: Case, chosen: Way, holding: Collection[str]) -> tuple[Reason, ...]:
    """Why this way: the process, what the part is treated as, additions that counted, and what the rules said."""
    process = chosen.process
    found = [Reason(process.because, process.source)]
    if chosen.treat_as:
        cell = case.model.cells[chosen.treat_as]
        chances = zip(case.model.compounds, case.said.compounds, strict=True)
        chance = sum(p for compound, p in chances if compound.cell == chosen.treat_as)
        text = f"It is treated as {cell.name}, believed at {in_hundred(chance)}. {cell.means}"
        found.append(Reason(text, cell.source))
    found += [Reason(one.because) for one in case.book.adds if one.when in holding and process.id in one.to]
    said = {reason.text for reason in found}
    looked_at = _looked_at(case, process)
    told = [pair for pair in case.reasons.items() if pair[0].name in looked_at and pair[0].name in case.model.facts]
    for _, reason in sorted(told, key=lambda pair: (pair[0].name not in _FIRST, str(pair[0]))):
        if reason.text not in said:
            said.add(reason.text)
            found.append(reason)
    return tuple(found[:_MOST_REASONS])


def _looked_at(case: Case, process: Process) -> set[str]:
    """Facts that counted here: what the conditions of this process look at, or, where nothing is repaired, what
    the conditions of those that were not taken look at."""
    own = f"{process.id}/" if process.decision == "repair" else ""
    ids = {one.when for one in case.book.processes}
    rules = [rule for rule in case.book.rules if (rule.id.startswith(own) if own else rule.id in ids)]
    return {name for rule in rules for name in _names(rule.when)}


def _names(condition: object) -> set[str]:
    parts = getattr(condition, "parts", None)
    if parts is None:
        return {str(getattr(condition, "name", ""))}
    return {name for part in parts for name in _names(part)}


def flips(case: Case, weighed: Weighed, chosen: Way) -> tuple[Flip, ...]:
    """What would change the decision: another plastic, another state of things, another price of a new part."""
    here = (chosen.process.decision, chosen.process.id)
    found: list[Flip] = []
    for rival in rivals(case, weighed.ways, chosen):
        way = rival.way
        if (way.process.decision, way.process.id) != here:
            text = f"it were {rival.name} ({in_hundred(rival.probability)})"
            found.append(Flip(text, way.process.decision, way.process.process))
    holding = case.holding()
    for one in case.book.flips:
        if one.when not in holding:
            continue
        any_rod = not {("shop", "welder"), ("shop", "rod")}.isdisjoint(one.tell)
        rods = frozenset(case.model.materials) if any_rod else case.rods
        other = weigh(case, case.holding(one.tell), rods).chosen
        if other is not None and (other.process.decision, other.process.id) != here:
            found.append(Flip(one.text, other.process.decision, other.process.process))
    if chosen.process.decision == "repair":
        loss = {way.process.id: minutes for way, minutes in weighed.open}
        news = [(way, value) for way, value in weighed.open if way.process.decision == "replace"]
        if news and not any(flip.decision == "replace" and "new part" in flip.text for flip in found):
            own = loss[chosen.process.id]
            found.append(Flip(f"a new part, fitted, cost less than {own:.0f} minutes of work", "replace", "none"))
    return tuple(found[:_MOST_FLIPS])
