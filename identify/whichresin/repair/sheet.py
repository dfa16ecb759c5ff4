"""The job sheet as a value: what a person follows, ticks, fills in and signs. Front ends print it, none adds to it.

A part that is not repaired here gets a sheet without steps: why, what not to do, and who decides instead.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from hashlib import sha256
from typing import Any

from whichresin.knowledge.model import Caution

from .plan import Plan, Step
from .product_rules import Clock, ProductRules
from .provide import Provision
from .times import Timed

FORMAT = 1
TITLES = {
    "repair": "Job sheet",
    "refer": "Refer sheet: do not repair this part here",
    "replace": "Replace sheet: no repair",
    "test_more": "Find out more before any repair",
}
# What is written down where nothing is done: enough for a stranger to judge why not.
TO_RECORD = {
    "repair": (),
    "refer": (
        "maker's document that was asked, edition",
        "who decides, with which licence",
        "what was decided",
        "photo as found",
    ),
    "replace": ("number of the new part", "old part marked as scrap", "photo as found"),
    "test_more": ("test that was made", "answer", "photo as found"),
}
MOST_EVIDENCE = 6  # more reasons than a person reads on a sheet; the record keeps all


@dataclass(frozen=True, slots=True)
class SheetCaution:
    """A caution at its place. `full`: its text is printed here; else it was printed at an earlier step."""

    id: str
    level: str
    hazard: str
    text: str
    full: bool


@dataclass(frozen=True, slots=True)
class SheetTimer:
    """A clock of a step. `minutes` None: no product file gave it, the person reads it off the sheet of the product."""

    clock: str
    name: str
    kind: str  # wait | limit
    minutes: float | None
    text: str
    product: str
    starts: str
    ends: str


@dataclass(frozen=True, slots=True)
class SheetStep:
    """A step to tick. `cautions` are read before it, `hold` is answered after it, `record` is filled in."""

    number: int
    id: str
    stage: str
    do: str
    why: str
    time: str
    cautions: tuple[SheetCaution, ...]
    hold: str
    record: tuple[str, ...]
    timers: tuple[SheetTimer, ...]
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetChance:
    """What the part may be, and how likely that is."""

    name: str
    probability: float
    word: str


@dataclass(frozen=True, slots=True)
class SheetProduct:
    """A product from the shelf."""

    name: str
    kind: str
    ratio: str
    lot: str
    expires: str
    sheet: str
    invented: bool


@dataclass(frozen=True, slots=True)
class SheetQuantity:
    """A quantity in words, and what it leaves out."""

    name: str
    text: str
    leaves_out: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A job sheet. `id` names it; `made` is the time it was made, ISO 8601."""

    id: str
    made: str
    title: str
    decision: str
    process: str
    process_text: str
    part: str
    owner: str
    damage: str
    room: str
    klass: str
    cells: tuple[SheetChance, ...]
    polymers: tuple[SheetChance, ...]
    none_of_these: float
    status: str
    evidence: tuple[str, ...]
    open: tuple[str, ...]
    because: tuple[str, ...]
    promoter: str
    next_question: str
    must_not: tuple[str, ...]
    cautions: tuple[SheetCaution, ...]  # before anything is begun
    needs: tuple[str, ...]
    products: tuple[SheetProduct, ...]
    quantities: tuple[SheetQuantity, ...]
    remarks: tuple[str, ...]
    not_reckoned: str
    steps: tuple[SheetStep, ...]
    knowledge: str
    interview: Mapping[str, Any] = field(default_factory=dict)
    plan: Mapping[str, Any] = field(default_factory=dict)

    @property
    def evidence_shown(self) -> tuple[str, ...]:
        """The evidence as it is printed: the first reasons, and how many more the record keeps."""
        more = len(self.evidence) - MOST_EVIDENCE
        if more <= 0:
            return self.evidence
        return (*self.evidence[:MOST_EVIDENCE], f"And {more} more, kept with the record.")

    def as_json(self) -> dict[str, Any]:
        """The sheet as one document, which `sheet_from` reads again."""
        return {"schema": 1, "whichresin_sheet": FORMAT, **asdict(self)}


def make_sheet(
    plan: Plan,
    provision: Provision,
    rules: ProductRules,
    known: Mapping[str, Caution],
    made: str,
    owner: str = "",
    interview: Mapping[str, Any] | None = None,
    celsius: float | None = None,
) -> Sheet:
    """The sheet for a plan with what the shelf provides. `known` are all cautions of the knowledge, by id."""
    told: set[str] = set()
    of_products = [c for one in provision.chosen.values() if one is not None for c in one.product.cautions]
    in_steps = {caution for step in plan.steps for caution in step.cautions}
    first = [one for one in plan.cautions if one not in in_steps]
    texts = {**known, **plan.caution_texts}
    before = _cautions(dict.fromkeys([*first, *of_products]), texts, told)
    steps = tuple(_step(number, step, provision, rules, texts, told) for number, step in enumerate(plan.steps, 1))
    chosen = plan.options[0].text if plan.options and plan.options[0].decision == plan.decision else ""
    seen = plan.identified
    room = f"{celsius:g} C" if celsius is not None else ""
    sheet = Sheet(
        "", made, TITLES[plan.decision], plan.decision, plan.process, chosen or plan.process.replace("_", " "),
        plan.understood.part.text, owner, plan.understood.damage_words.text, room, seen.klass,
        tuple(SheetChance(c.name, round(c.probability, 6), c.word) for c in seen.cells[:3]),
        tuple(SheetChance(p.name, round(p.probability, 6), p.word) for p in seen.polymers[:3]),
        round(seen.none_of_these, 6), seen.status,
        tuple(reason.text for reason in seen.evidence), seen.open,
        tuple(reason.text for reason in plan.because), _promoter(plan),
        plan.next_test.question if plan.next_test else "",
        tuple(f"{reason.text}" for reason in plan.must_not), before, plan.needs, _products(provision),
        tuple(SheetQuantity(one.name, one.text(), one.leaves_out) for one in provision.quantities),
        provision.remarks, provision.not_reckoned, steps, plan.knowledge, interview or {}, plan.as_json(),
    )  # fmt: skip
    content = json.dumps(sheet.as_json(), sort_keys=True).encode()
    return replace(sheet, id=sha256(content).hexdigest()[:12])


def _cautions(ids: Iterable[str], texts: Mapping[str, Caution], told: set[str]) -> tuple[SheetCaution, ...]:
    """Each caution in full where it is met first; after that its hazard alone, or nobody reads any."""
    found = []
    for one in ids:
        caution = texts[one]
        found.append(SheetCaution(one, caution.level, caution.hazard, caution.text, one not in told))
        told.add(one)
    return tuple(found)


def _step(
    number: int,
    step: Step,
    provision: Provision,
    rules: ProductRules,
    texts: Mapping[str, Caution],
    told: set[str],
) -> SheetStep:
    timers = _timers(step, provision, rules)
    return SheetStep(
        number,
        step.id,
        step.stage,
        step.do,
        step.why,
        "; ".join(timer.text for timer in timers if timer.minutes is not None) or step.time,
        _cautions(step.cautions, texts, told),
        step.hold or "",
        step.record,
        timers,
        step.source,
    )


LEVELS = {"danger": "DANGER", "warning": "WARNING", "care": "CARE"}


def still_holds(step: SheetStep, before: SheetStep | None) -> str:
    """The cautions of a step that were printed in full above, in one sentence by level; "" when there are none."""
    again = [one for one in step.cautions if not one.full]
    if not again:
        return ""
    last = {one.id for one in before.cautions} if before is not None else set()
    if before is not None and len(again) > 2 and last == {one.id for one in step.cautions}:
        return f"Still holds: all that stands before step {before.number}."
    said = [
        f"{LEVELS[level]}: {'; '.join(one.hazard for one in again if one.level == level)}"
        for level in LEVELS
        if any(one.level == level for one in again)
    ]
    return f"Still holds, read above. {'. '.join(said)}."


def _timers(step: Step, provision: Provision, rules: ProductRules) -> tuple[SheetTimer, ...]:
    clock = rules.clocks.get(step.timer or "")
    if clock is None:
        return ()
    found = [_timer(clock, provision)]
    # A window runs from the coat on, also where no step of its own speaks of it.
    follow = [one for one in rules.clocks.values() if one.starts == clock.id]
    found += [timer for timer in (_timer(one, provision) for one in follow) if timer.minutes is not None]
    if found[0].minutes is None and step.minutes is not None and clock.kind == "wait":
        least, most = step.minutes
        found[0] = replace(
            found[0], minutes=most, text=f"{clock.name}: {least:g} to {most:g} min, the product sheet wins"
        )
    return tuple(found)


def _timer(clock: Clock, provision: Provision) -> SheetTimer:
    for kind in clock.products:
        for what in clock.times:
            time = provision.times.get(kind, {}).get(what)
            verdict = provision.chosen.get(kind)
            if time is not None and verdict is not None:
                text = _said(clock, time)
                return SheetTimer(clock.id, clock.name, clock.kind, round(time.timer_minutes, 1), text,
                                  verdict.product.name, clock.starts, clock.ends)  # fmt: skip
    text = f"{clock.name}: as the product sheet says: ______ min"
    return SheetTimer(clock.id, clock.name, clock.kind, None, text, "", clock.starts, clock.ends)


def _said(clock: Clock, time: Timed) -> str:
    word = "wait" if clock.kind == "wait" else "no longer than"
    at = f" at {time.sheet_celsius:g} C" if time.sheet_celsius is not None else ""
    here = ""
    if time.shop_celsius is not None and time.shop_celsius != time.sheet_celsius:
        here = f" with the shop at {time.shop_celsius:g} C"
    return (
        f"{clock.name}: {word} {minutes_text(time.timer_minutes)}{here} (sheet: {minutes_text(time.sheet_minutes)}{at})"
    )


def minutes_text(minutes: float) -> str:
    """'7 min', '2 h 30 min', '3 days 2 h'; a minute more or less does not matter in hours."""
    if minutes < 10 and minutes != int(minutes):
        return f"{minutes:.1f} min"
    whole = round(minutes)
    days, rest = divmod(whole, 1440)
    hours, left = divmod(rest, 60)
    parts = [f"{days} day{'s' if days > 1 else ''}"] if days else []
    parts += [f"{hours} h"] if hours else []
    parts += [f"{left} min"] if left and not days else []
    return " ".join(parts) or "0 min"


def _promoter(plan: Plan) -> str:
    if plan.decision != "repair":
        return ""
    wetting = (*plan.wetting.told, *plan.wetting.means) if plan.wetting else ()
    said = [plan.promoter_because.text, *(reason.text for reason in wetting)]
    return f"Promoter: {plan.promoter.replace('_', ' ')}. {' '.join(said)}"


def _products(provision: Provision) -> tuple[SheetProduct, ...]:
    chosen: Sequence[Any] = [one.product for one in provision.chosen.values() if one is not None]
    return tuple(
        SheetProduct(
            one.name,
            one.kind,
            one.ratio,
            one.lot,
            one.expires.isoformat() if one.expires else "",
            one.sheet,
            one.invented,
        )
        for one in chosen
    )
