"""Whether what a plan puts on wets the plastics that the part may be, before and after preparation: said plainly.

Reckoned by `wetting` from knowledge/liquids/wetting.yaml and the surface energies of the materials.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from math import erf, sqrt

from whichresin.belief.hypotheses import Belief, by_material
from whichresin.engine.facts import Fact
from whichresin.knowledge.liquids import LiquidShelf, ToldWetting, shipped_shelf
from whichresin.knowledge.model import Material, Model
from whichresin.knowledge.names import DROP_FACT, DROP_LIES, DROP_STANDS
from whichresin.knowledge.repair_model import Process
from whichresin.physics.propagation import Measured

from .case import Case
from .plan import in_hundred
from .reason import Reason
from .surfaces import Spread, Surface, Wetting
from .wetting import drop_stands, surface_of, wets_surface

_READY = "abraded"  # the state in which adhesive is put on where nothing goes on before it
# Standard uncertainties within which a measured surface fits a published one: one, as washing again costs minutes.
_DOUBTS = 1.0
_MOST_GROUPS = 3


def drop_facts(model: Model, belief: Belief, matters_from: float) -> list[Fact]:
    """What a drop of water does on the clean, abraded plastics that the part may be: lies, stands, or either."""
    shelf = shipped_shelf()
    stands = {drop_stands(shelf, material, _READY) for material, _ in _likely(model, belief, matters_from)}
    return [Fact(DROP_FACT, DROP_STANDS if one else DROP_LIES) for one in sorted(stands - {None}, key=bool)]


def wetting_of(case: Case, process: Process, promoted: bool) -> Wetting | None:
    """Whether what the process puts on wets what the part may be; None where it puts on nothing that must wet.

    `promoted`: promoter is, or may be, part of the plan.
    """
    shelf = shipped_shelf()
    liquids = [one.id for one in shelf.wetting.liquids.values() if process.process in one.processes]
    if not liquids:
        return None
    likely = _likely(case.model, case.said, case.book.matters_from)
    known = [(one, p) for one, p in likely if surface_of(shelf, one) is not None]
    rows = [_surfaces(shelf, case.model, material, p, liquids, promoted) for material, p in known]
    groups = _alike(rows)[:_MOST_GROUPS]
    put_on = [source for one in liquids for source in shelf.wetting.liquids[one].source]
    said = [_group_text(group, put_on) for group in groups]
    unknown = [material.symbol for material, _ in likely if surface_of(shelf, material) is None]
    if unknown:
        text = f"For {_either(unknown)} no surface energy is known here; the product sheet decides."
        said.append(Reason(text, shelf.wetting.source))
    outcomes = dict.fromkeys(_outcome(group[0]) for group in groups)
    return Wetting(
        _told(case, shelf, rows, liquids),
        tuple(said),
        tuple(Reason(shelf.wetting.means[one], shelf.wetting.source) for one in outcomes),
        tuple(surface for row in rows for surface in row),
    )


def _likely(model: Model, belief: Belief, matters_from: float) -> list[tuple[Material, float]]:
    shares = by_material(model, belief).items()
    return [(model.materials[one], p) for one, p in shares if p >= matters_from and one in model.materials]


def _surfaces(
    shelf: LiquidShelf, model: Model, material: Material, chance: float, liquids: Sequence[str], promoted: bool
) -> tuple[Surface, ...]:
    """The plastic in each state of preparation that a plan speaks of."""
    cells = {compound.cell for compound in model.compounds if compound.material == material.id}
    energy = material.surface_energy_mn_m
    found = []
    for state in shelf.wetting.prepared.values():
        carries = surface_of(shelf, material, state.id)
        if not state.told or carries is None or (state.cells and not (promoted and cells & set(state.cells))):
            continue
        spreads = _spreads(shelf, carries, liquids)
        source = state.source if state.carries or energy is None else energy.source
        stands = bool(drop_stands(shelf, material, state.id))
        found.append(
            Surface(material.id, material.symbol, chance, state.id, state.told, *carries, spreads, stands, source)
        )
    return tuple(found)


def _spreads(shelf: LiquidShelf, carries: Measured, liquids: Sequence[str]) -> tuple[Spread, ...]:
    found = []
    for one in liquids:
        wet = wets_surface(shelf, carries, one)
        chance = 0.5 * (1.0 + erf(wet.margin_mn_m / (wet.uncertainty_mn_m * sqrt(2.0))))
        short = shelf.wetting.liquids[one].short
        found.append(Spread(one, short, wet.verdict, wet.margin_mn_m, wet.uncertainty_mn_m, chance))
    return tuple(found)


def _alike(rows: Sequence[tuple[Surface, ...]]) -> list[list[tuple[Surface, ...]]]:
    """Plastics that are wetted alike in every state, told together; the likeliest group first."""
    found: dict[object, list[tuple[Surface, ...]]] = {}
    for row in sorted(rows, key=lambda row: -row[0].probability):
        found.setdefault(tuple((one.state, _verdicts(one)) for one in row), []).append(row)
    return sorted(found.values(), key=lambda group: -sum(row[0].probability for row in group))


def _group_text(group: Sequence[tuple[Surface, ...]], put_on: Sequence[str]) -> Reason:
    """Plastics wetted alike: what wets them in which states, with what they carry and how sure that is."""
    states = list(zip(*group, strict=True))
    sentences = []
    for _, run in groupby(states, key=lambda state: _verdicts(state[0])):
        together = list(run)
        surfaces = [surface for state in together for surface in state]
        told = _either([state[0].told for state in together])
        sentences.append(f"{told[:1].upper()}{told[1:]}, {_wetted_by(surfaces)}; it carries {_carried(surfaces)}.")
    ready = [surface for row in group for surface in row if surface.state == _READY]
    if all(surface.drop_stands for surface in ready):
        sentences.append("A drop of water stands on it however clean it is, so it tells nothing of grease here.")
    name = f"{_either([row[0].symbol for row in group])} ({in_hundred(sum(row[0].probability for row in group))})"
    sources = [source for row in group for surface in row for source in surface.source]
    return Reason(f"{name}: {' '.join(sentences)}", tuple(dict.fromkeys((*sources, *put_on))))


def _carried(surfaces: Sequence[Surface]) -> str:
    low, high = min(one.carries for one in surfaces), max(one.carries for one in surfaces)
    doubt = max(one.uncertainty for one in surfaces)
    said = f"{low:.0f}" if round(low) == round(high) else f"{low:.0f} to {high:.0f}"
    return f"{said} mN/m, give or take {doubt:.0f}"


def _wetted_by(surfaces: Sequence[Surface]) -> str:
    """What wets surfaces that are all wetted alike, with the chance that it spreads by itself."""
    by_liquid = [[surface.spreads[place] for surface in surfaces] for place in range(len(surfaces[0].spreads))]
    if all(found[0].verdict == "does_not" for found in by_liquid):
        best = max(one.chance for found in by_liquid for one in found)
        names = [found[0].short for found in by_liquid]
        none = f"neither {' nor '.join(names)}" if len(names) == 2 else f"none of {_both(names)}"
        return f"{none} wets it by itself (at best {in_hundred(best)})"
    forms = {"wets": "wets it", "barely": "only just wets it", "does_not": "hardly wets it by itself"}
    said = []
    for verdict, form in forms.items():
        named = [
            f"{found[0].short} ({in_hundred(max(one.chance for one in found))})"
            for found in by_liquid
            if found[0].verdict == verdict
        ]
        said += [f"{_both(named)} {_plural(form) if len(named) > 1 else form}"] if named else []
    return ", ".join(said)


def _plural(form: str) -> str:
    return form.replace("wets it by itself", "wet it by themselves").replace("wets", "wet")


def _told(
    case: Case, shelf: LiquidShelf, rows: Sequence[tuple[Surface, ...]], liquids: Sequence[str]
) -> tuple[Reason, ...]:
    """What was seen on the bare surface before preparation, and what it means beside what the plastic carries."""
    found = []
    for told in shelf.wetting.told:
        if not case.has(told.cue, told.value):
            continue
        doubts = [reason.text for fact, reason in case.reasons.items() if fact.name == f"doubt:{told.cue}"]
        if doubts:
            found.append(Reason(f"Before preparation {told.text}. {doubts[0]}", told.source))
            continue
        carries = Measured(0.5 * (told.low + told.high), (told.high - told.low) / sqrt(12.0))
        text = f"Before preparation {told.text}, so the surface carries {told.low:.0f} to {told.high:.0f} mN/m"
        fits = _fits(told, [surface for row in rows for surface in row if surface.state == _READY])
        if fits != "within":  # what is as by nature is told with the plastic, and better known there
            seen = Surface("", "", 1.0, "told", "", *carries, _spreads(shelf, carries, liquids), False, told.source)
            text += f": {_wetted_by([seen])}"
        means = f" {shelf.wetting.told_means[fits]}" if fits else ""
        found.append(Reason(f"{text}.{means}", told.source))
    return tuple(found)


def _fits(told: ToldWetting, clean: Iterable[Surface]) -> str:
    """Whether what was measured is below, within or above what the plastics carry when clean; "" when they differ."""
    said = {
        "below"
        if told.high < one.carries - one.uncertainty * _DOUBTS
        else "above"
        if told.low > one.carries + one.uncertainty * _DOUBTS
        else "within"
        for one in clean
    }
    return said.pop() if len(said) == 1 else ""


def _outcome(row: Sequence[Surface]) -> str:
    ready = next(surface for surface in row if surface.state == _READY)
    spreading = sum(one.verdict != "does_not" for one in ready.spreads)
    return "none" if spreading == 0 else "all" if spreading == len(ready.spreads) else "some"


def _verdicts(surface: Surface) -> tuple[str, ...]:
    return tuple(one.verdict for one in surface.spreads)


def _both(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]


def _either(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else words[0]
