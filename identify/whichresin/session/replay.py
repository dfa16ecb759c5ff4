"""Recorded interviews run again: the same answers, and what the result says differently now."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from whichresin.knowledge.model import Model

from .answers import read_answers
from .interview import consult

_RECORD = ".result.json"
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Replayed:
    """One recorded interview: what it says now, and where that differs from the record (empty: the same bytes)."""

    name: str
    text: str
    differences: tuple[str, ...]


def record_of(path: Path) -> Path:
    """The record beside an answers file."""
    return path.with_name(path.stem + _RECORD)


def rendered(document: Any) -> str:
    """A result as the text of its record."""
    return json.dumps(document, ensure_ascii=True, indent=2) + "\n"


def interviews_in(path: Path) -> list[Path]:
    """Answers files under a folder, sorted; or the file itself."""
    return sorted(path.glob("*.yaml")) if path.is_dir() else [path]


def replay(model: Model, path: str | os.PathLike[str]) -> Replayed:
    """Run one answers file and hold the result against its record. Raises BadAnswers, OSError.

    The key of the knowledge is not compared: what matters is whether changed knowledge says anything else.
    """
    where = Path(path)
    text = rendered(consult(model, read_answers(model, where).state).as_json())
    record = record_of(where)
    if not record.exists():
        return Replayed(where.name, text, (f"there is no record {record.name}; --rewrite makes it",))
    old = record.read_text(encoding="utf-8")
    if old == text:
        return Replayed(where.name, text, ())
    try:
        before, now = json.loads(old), json.loads(text)
    except ValueError:
        return Replayed(where.name, text, ("the record is not JSON",))
    if rendered(before) != old:
        return Replayed(where.name, text, ("the layout of the record differs",))
    found = [line for line in _differences("", before, now) if not line.startswith("knowledge: ")]
    cut = found[:_SHOWN] + ([f"and {len(found) - _SHOWN} more"] if len(found) > _SHOWN else [])
    return Replayed(where.name, text, tuple(cut))


def _differences(place: str, old: Any, new: Any) -> Iterator[str]:
    """`place: old -> new` for every leaf that differs."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key in sorted({*old, *new}):
            yield from _differences(f"{place}.{key}" if place else key, old.get(key), new.get(key))
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for number, (a, b) in enumerate(zip(old, new, strict=True)):
            yield from _differences(f"{place}[{number}]", a, b)
    elif old != new:
        yield f"{place}: {_short(old)} -> {_short(new)}"


def _short(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=True)
    return text if len(text) <= 60 else text[:57] + "..."
