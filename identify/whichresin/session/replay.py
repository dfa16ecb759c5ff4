"""Recorded interviews run again: the same answers, and what is concluded differently now, step by step."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from whichresin.knowledge.positions import read_bytes

from .record import recorded, step_name
from .transcript import Plain, plain, read_transcript
from .values import BadAnswers
from .weighed import Desk

_SHOWN = 12
_WORDS = {"class": "class", "polymer": "polymer", "group": "repair group", "asks": "asks next"}


@dataclass(frozen=True, slots=True)
class Replayed:
    """One recorded interview: its text now, and where that concludes otherwise than the record."""

    name: str
    text: str
    differences: tuple[str, ...]
    recorded_with: str  # key of the knowledge that the record was made with


def interviews_in(path: Path) -> list[Path]:
    """Transcripts and answers files under a folder, sorted; or the file itself."""
    return sorted(path.glob("*.yaml")) if path.is_dir() else [path]


def replay(desk: Desk, path: str | os.PathLike[str]) -> Replayed:
    """Run one transcript again and hold what is concluded against its record. Raises BadAnswers.

    The key of the knowledge is not compared: what counts is whether changed knowledge concludes anything else.
    Questions and answers that the knowledge no longer has are a difference, and left out.
    """
    where = Path(path)
    before = read_transcript(desk.model, where, strict=False)
    text = recorded(desk, before)
    key = before.knowledge.get("key", "")
    try:
        if where.read_bytes().decode() == text:
            return Replayed(where.name, text, (), key)
    except (OSError, UnicodeDecodeError) as error:
        raise BadAnswers(f"{where}: {error}") from None
    root = read_bytes(text.encode(), where.name).root
    now = plain(root) if root is not None else {}
    assert isinstance(now, dict)
    if before.result == "" and all(step.then == "" for step in before.steps):
        return Replayed(where.name, text, ("not recorded yet; --rewrite works out what is concluded",), key)
    found = [step.fault for step in before.steps if step.fault]
    found += _steps([(step.then, step.event is not None) for step in before.steps], now.get("steps", []))
    result = [f"result: {line}" for line in _differences("", before.result, now.get("result", ""))]
    cut = result[:_SHOWN] + ([f"result: and {len(result) - _SHOWN} more"] if len(result) > _SHOWN else [])
    return Replayed(where.name, text, (*found, *cut), key)


def _steps(before: list[tuple[Plain, bool]], now: Plain) -> Iterator[str]:
    """One line for each step after which something else is concluded."""
    steps = iter(now if isinstance(now, list) else [])
    for number, (then, told) in enumerate(before, 1):
        step = next(steps, {}) if told else {}
        if not isinstance(step, dict) or not told:
            continue
        after = step.get("then", "")
        changed = list(_moved(then if isinstance(then, dict) else {}, after if isinstance(after, dict) else {}))
        if changed:
            yield f"step {number}, {step_name(step)}: {'; '.join(changed)}"


def _moved(old: dict[str, Any], new: dict[str, Any]) -> Iterator[str]:
    for key, word in _WORDS.items():
        before, after = (_with_chance(side, key) for side in (old, new))
        if before == after and old.get(f"{key}_chance") == new.get(f"{key}_chance"):
            continue
        if before == after:
            before, after = (f"{side.get(key)} {side.get(f'{key}_chance')}" for side in (old, new))
        yield f"{word} {before} -> {after}"


def _with_chance(side: dict[str, Any], key: str) -> str:
    said = str(side.get(key, "not said"))
    chance = str(side.get(f"{key}_chance", ""))
    try:
        return f"{said} {float(chance) * 100:.1f} %"
    except ValueError:
        return said


def _differences(place: str, old: Plain, new: Plain) -> Iterator[str]:
    """`place: old -> new` for every leaf that differs."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key in sorted({*old, *new}):
            yield from _differences(f"{place}.{key}" if place else key, old.get(key, ""), new.get(key, ""))
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for number, (a, b) in enumerate(zip(old, new, strict=True)):
            yield from _differences(f"{place}[{number}]", a, b)
    elif old != new:
        yield f"{place}: {_short(old)} -> {_short(new)}"


def _short(value: Plain) -> str:
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    text = text or "nothing"
    return text if len(text) <= 60 else text[:57] + "..."
