"""Two folders of knowledge side by side: what was added, changed and removed, and what that does to answers files,
examples and simulated interviews."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.model import Model
from whichresin.session.answers import BadAnswers, read_answers
from whichresin.session.interview import consult
from whichresin.session.result import Result

from .check import Checked, check
from .compare_cases import Cases, compare_cases
from .compare_played import PlayedBoth, compare_played

# What makes a folder a whole knowledge and not a pack to lay over the shipped one.
_WHOLE = ("repair/losses.yaml", "materials/fillers")
_KINDS = ("rules", "cues", "materials", "fillers", "parts", "cells", "cautions", "facts", "sources")
# A field that holds numbers by compound index, or marks its kind of row -> what to call them.
_NAMED = {"table": "expectations", "tilt": "tilt", "conclude": "against"}


@dataclass(frozen=True, slots=True)
class Change:
    """One row that differs. `what` is added, changed or removed; `parts` are the fields that changed."""

    kind: str
    id: str
    what: str
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Effect:
    """What an answers file comes to before and after; `error` when one of the two cannot read it."""

    name: str
    before: str
    after: str
    before_chance: float
    after_chance: float
    other: tuple[str, ...] = ()  # what else differs, in words
    error: str = ""


@dataclass(frozen=True, slots=True)
class Compared:
    """The differences, and the effects on the answers files that come out otherwise."""

    changes: tuple[Change, ...]
    effects: tuple[Effect, ...]
    same: int  # answers files that come out the same
    cases: Cases
    played: PlayedBoth | None  # None when nothing differs or none were wanted


def checked(folder: str) -> Checked:
    """A folder of knowledge: a whole one with the shipped `shared/`, or a pack laid over the shipped knowledge."""
    root = Path(folder)
    if all((root / name).exists() for name in _WHOLE):
        beside = root.parent / "shared"
        return check(knowledge=folder, shared=str(beside) if (beside / "words.yaml").is_file() else None)
    return check([folder])


def compare(old: Compiled, new: Compiled, answers: Sequence[Path] = (), interviews: int = 0, seed: int = 1) -> Compared:
    """Everything that differs, and what it does. Both must be sound: ValueError when one has no model."""
    if old.model is None or new.model is None:
        raise ValueError("knowledge with errors cannot be compared")
    found = compare_models(old.model, new.model, answers)
    played = compare_played(old.model, new.model, interviews, seed) if interviews and found.changes else None
    return replace(found, cases=compare_cases(old, new), played=played)


def compare_models(old: Model, new: Model, answers: Sequence[Path] = ()) -> Compared:
    """The rows that differ between two models, and what it does to these answers files."""
    changes = tuple(change for kind in _KINDS for change in _changes(kind, _rows(old, kind), _rows(new, kind)))
    effects = [_effect(old, new, path) for path in answers]
    differing = tuple(one for one in effects if one is not None)
    return Compared(changes, differing, len(effects) - len(differing), Cases((), 0), None)


def _rows(model: Model, kind: str) -> Mapping[str, object]:
    if kind == "rules":
        return {rule.id: _Named(rule, _against(model, rule.id)) for rule in model.rules}
    rows: Mapping[str, object] = getattr(model, kind)
    if kind == "materials":  # a material with what it is sold as
        return {id: (row, _shares(model, id)) for id, row in rows.items()}
    if kind == "cues":
        return {id: _Named(row, _named_table(model, row)) for id, row in rows.items()}
    if kind == "parts":
        return {id: _Named(row, _named_tilt(model, row)) for id, row in rows.items()}
    return rows


@dataclass(frozen=True, slots=True)
class _Named:
    """A row whose numbers by compound index are given by compound id, so that another material shifts nothing."""

    row: object
    by_compound: Mapping[str, tuple[object, ...]]


def _against(model: Model, rule: str) -> dict[str, tuple[object, ...]]:
    """What a rule multiplies each compound by, and the cues that it speaks for."""
    found = model.against.get(rule)
    if found is None:
        return {}
    hit = set(found.compounds)
    return {
        compound.id: (found.factor if index in hit else 1.0, *found.instead_of)
        for index, compound in enumerate(model.compounds)
    }


def _shares(model: Model, material: str) -> tuple[tuple[str, float, float], ...]:
    own = [one for one in model.compounds if one.material == material]
    whole = sum(one.prior for one in own) or 1.0
    return tuple((one.id, round(one.prior / whole, 9), round(one.density_g_cm3, 9)) for one in own)


def _named_table(model: Model, cue: Any) -> dict[str, tuple[object, ...]]:
    if cue.table is None:
        return {}
    pairs = zip(model.compounds[:-1], cue.table.row_of, strict=False)  # the last one, none of these, follows from all
    return {compound.id: cue.table.rows[row] for compound, row in pairs}


def _named_tilt(model: Model, part: Any) -> dict[str, tuple[object, ...]]:
    return {compound.id: (tilt,) for compound, tilt in zip(model.compounds, part.tilt, strict=True)}


def _changes(kind: str, old: Mapping[str, object], new: Mapping[str, object]) -> list[Change]:
    found = [Change(kind, id, "removed") for id in sorted(old.keys() - new.keys())]
    found += [Change(kind, id, "added") for id in sorted(new.keys() - old.keys())]
    for id in sorted(old.keys() & new.keys()):
        parts = _parts(old[id], new[id])
        if parts:
            found.append(Change(kind, id, "changed", tuple(parts)))
    return found


def _parts(one: object, other: object) -> list[str]:
    """The names of the fields that differ."""
    if isinstance(one, _Named) and isinstance(other, _Named):
        both = one.by_compound.keys() & other.by_compound.keys()
        moved = any(one.by_compound[id] != other.by_compound[id] for id in both)
        moved = moved or bool(one.by_compound) != bool(other.by_compound)
        own = _parts(one.row, other.row)
        what = next((word for name, word in _NAMED.items() if name in _fields(one.row)), "numbers")
        return [name for name in own if name not in ("table", "tilt")] + ([what] if moved else [])
    if isinstance(one, tuple) and isinstance(other, tuple) and is_dataclass(one[0]):
        return _parts(one[0], other[0]) + (["compounds"] if one[1] != other[1] else [])
    if is_dataclass(one) and is_dataclass(other):
        return [name for name in _fields(one) if getattr(one, name) != getattr(other, name)]
    return ["text"] if one != other else []


def _fields(row: object) -> list[str]:
    return [field.name for field in fields(row)] if is_dataclass(row) else []


def _effect(old: Model, new: Model, path: Path) -> Effect | None:
    """None when an answers file comes out the same."""
    try:
        before, after = (consult(model, read_answers(model, path).state) for model in (old, new))
    except BadAnswers as error:
        return Effect(path.name, "", "", 0.0, 0.0, error=str(error))
    shown = [_cell(result) for result in (before, after)]
    other = [
        f"{what}: {a} -> {b}"
        for what, a, b in (
            ("status", before.status, after.status),
            ("gate", before.gate.state, after.gate.state),
            ("asks next", _next(before), _next(after)),
            ("first polymer", _first(before), _first(after)),
        )
        if a != b
    ]
    rules_before, rules_after = ({b.rule for b in result.because if b.rule} for result in (before, after))
    other += [f"no longer says: {rule}" for rule in sorted(rules_before - rules_after)]
    other += [f"now says: {rule}" for rule in sorted(rules_after - rules_before)]
    if not other and shown[0][0] == shown[1][0] and abs(shown[0][1] - shown[1][1]) < 0.0005:
        return None
    return Effect(path.name, shown[0][0], shown[1][0], shown[0][1], shown[1][1], tuple(other))


def _cell(result: Result) -> tuple[str, float]:
    first = max(result.cells, key=lambda chance: chance.probability, default=None)
    return (first.id, first.probability) if first is not None else ("", 0.0)


def _first(result: Result) -> str:
    return result.polymers[0].id if result.polymers else "none"


def _next(result: Result) -> str:
    return result.next.cue if result.next is not None else "nothing"
