"""The names that an author may write: every id of the knowledge, by kind, with a few words on each."""

from __future__ import annotations

from collections.abc import Mapping

from whichresin.knowledge.model import Model
from whichresin.knowledge.repair_codec import book_of

_ONE = {"processes": "process", "said": "what is said of"}
Kinds = Mapping[str, Mapping[str, str]]  # kind -> id -> what it is


def kinds(model: Model) -> Kinds:
    """Every kind of name, in the order in which an author meets them."""
    families: dict[str, list[str]] = {}
    for material in model.materials.values():
        families.setdefault(material.family, []).append(material.id)
    book = book_of(model)
    return {
        "materials": {id: f"{one.name}; {one.klass}, family {one.family}" for id, one in model.materials.items()},
        "families": {family: ", ".join(members) for family, members in sorted(families.items())},
        "cells": {id: one.name for id, one in model.cells.items()},
        "fillers": {id: one.name for id, one in model.fillers.items()},
        "cues": {id: one.question for id, one in model.cues.items()},
        "facts": {id: "; ".join(one.values) for id, one in model.facts.items()},
        "cautions": {id: f"{one.level}: {one.hazard}" for id, one in model.cautions.items()},
        "parts": {id: one.name for id, one in model.parts.items()},
        "processes": {one.id: one.name for one in book.processes},
        "work": {one.id: one.name for one in book.work},
        "said": {g.name: "; ".join(value.id for value in g.values) for g in (book.words.groups if book.words else ())},
        "sources": dict(model.sources),
        "rules": {rule.id: rule.because for rule in sorted(model.rules, key=lambda rule: rule.id)},
    }


def about(model: Model, name: str) -> list[tuple[str, str]]:
    """What one name stands for: (what, text) line by line; empty when nothing bears it."""
    bearing = [(kind, names[name]) for kind, names in kinds(model).items() if name in names]
    found = [(_ONE.get(kind, kind.removesuffix("s")), text) for kind, text in bearing]
    cue = model.cues.get(name)
    if cue is not None:
        found += [("how", cue.how), *((f"  {value.id}", value.text) for value in cue.values)]
    if name in model.materials:
        one = model.materials[name]
        density = f"{one.density_g_cm3.low:g} to {one.density_g_cm3.high:g} g/cm3"
        found += [("cell", one.cell), ("share", f"{one.share:g}"), ("density", density)]
        found += [("sold as", ", ".join(c.id for c in model.compounds if c.material == name))]
    if name in model.cells:
        found += [("means", model.cells[name].means)]
    if name in model.facts:
        found += [(f"  {value}", text) for value, text in model.facts[name].values.items()]
    book = book_of(model)
    found += [(f"  {step.id}", step.do) for one in book.processes if one.id == name for step in one.steps]
    groups = book.words.groups if book.words is not None else ()
    found += [(f"  {value.id}", value.text) for group in groups if group.name == name for value in group.values]
    if name in model.cautions:
        found += [("text", model.cautions[name].text)]
    return found
