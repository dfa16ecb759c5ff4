"""The free words of one job, read together: part, damage, surroundings and shop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from whichresin.knowledge.model import Model
from whichresin.knowledge.repair_model import RepairBook
from whichresin.vocabulary.text import shown

from .plan import Damage, Reading
from .words import Said, size_of, understand, understand_shop

_ROD = "rod"
_DAMAGE = "damage"
_SIZE = "damage_size"
_NOTHING = Said({}, (), ())


@dataclass(frozen=True, slots=True)
class ReadWords:
    """What all the words come to. `missing` says in sentences what was left out and is needed."""

    part: Reading
    damage_words: Reading
    damage: Damage
    context: Reading
    shop: tuple[str, ...]
    facts: Mapping[str, tuple[str, ...]]
    rods: frozenset[str]
    celsius: float | None
    missing: tuple[str, ...]


def read_words(
    model: Model, book: RepairBook, part: str, damage: str, context: str, shop: Sequence[str]
) -> ReadWords:
    """Read the words of a job. Raises `BadWords` for sizes and temperatures that cannot be."""
    words = book.words
    if words is None:
        empty = Damage()
        return ReadWords(
            Reading(part), Reading(damage), empty, Reading(context), tuple(shop), {}, frozenset(), None, ()
        )
    of_part = understand(words, "part", part) if part else _NOTHING
    of_damage = understand(words, "damage", damage) if damage else _NOTHING
    of_context = understand(words, "context", context) if context else _NOTHING
    of_shop = understand_shop(words, shop) if shop else _NOTHING
    facts = _joined((of_part, of_damage, of_context, of_shop))
    lengths = of_damage.lengths_mm or of_context.lengths_mm
    if lengths:
        facts[_SIZE] = (size_of(words, lengths[0]),)
    kinds = {value.id: value.text for group in words.groups if group.name == _DAMAGE for value in group.values}
    told = facts.get(_DAMAGE, ())
    found = Damage(
        kind=told[0] if told else "",
        name=kinds[told[0]] if told else "",
        length_mm=lengths[0] if lengths else None,
        width_mm=of_damage.width_mm or (lengths[1] if len(lengths) > 1 else None),
        wall_mm=of_damage.wall_mm or of_context.wall_mm,
    )
    return ReadWords(
        part=_reading(part, of_part),
        damage_words=_reading(damage, of_damage),
        damage=found,
        context=_reading(context, of_context),
        shop=tuple(shop),
        facts=facts,
        rods=rods_of(model, shop) if _ROD in of_shop.facts.get("shop", ()) else frozenset(),
        celsius=of_context.celsius,
        missing=(*_missing(damage, found), *_nameless_rods(model, shop)),
    )


def _reading(text: str, said: Said) -> Reading:
    return Reading(text, said.meanings, said.not_understood)


def _joined(parts: Iterable[Said]) -> dict[str, tuple[str, ...]]:
    found: dict[str, dict[str, None]] = {}
    for said in parts:
        for name, values in said.facts.items():
            found.setdefault(name, {}).update(dict.fromkeys(values))
    return {name: tuple(values) for name, values in found.items()}


def _missing(text: str, damage: Damage) -> Iterable[str]:
    if not damage.kind:
        near = "a crack, a hole, a torn tab, a missing piece" if not text else "crack, hole, torn tab or missing piece"
        yield f"The damage was not {'understood' if text else 'said'}: name it, such as {near}."
    if damage.length_mm is None:
        yield "The size of the damage was not said: add it, such as 'crack 40 mm', or no amounts can be worked out."


def _nameless_rods(model: Model, shop: Iterable[str]) -> Iterable[str]:
    """A rod that names no plastic known here is of no use to a weld, and that must be said."""
    for item in shop:
        if _is_rod(item) and not rods_of(model, (item,)):
            yield (
                f"Of which plastic is {shown(_plain(item))}? Only rod of the very same plastic counts: write it with "
                "its full symbol, such as PE-HD rod."
            )


def _is_rod(item: str) -> bool:
    words = _plain(item).split()
    return _ROD in words or f"{_ROD}s" in words


def rods_of(model: Model, shop: Iterable[str]) -> frozenset[str]:
    """The materials of which the shop names welding rod, such as 'PP rod'; a rod without a name is of none."""
    found: set[str] = set()
    for item in shop:
        text = f" {_plain(item)} "
        if not _is_rod(item):
            continue
        hits = [
            (len(_plain(name)), material.id)
            for material in model.materials.values()
            for name in (material.id, material.symbol, material.name, *material.synonyms)
            if f" {_plain(name)} " in text
        ]
        longest = max((length for length, _ in hits), default=0)
        found.update(name for length, name in hits if length == longest)
    return frozenset(found)


def _plain(text: str) -> str:
    return " ".join("".join(c.lower() if c.isalnum() else " " for c in text).split())
