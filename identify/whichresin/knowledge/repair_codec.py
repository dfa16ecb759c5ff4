"""The repair book as one JSON text inside the model, and back when it is first asked for.

An interview never looks into the book, so it is kept packed: unpacking costs only those who plan a repair.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import lru_cache
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from whichresin.engine.rules import Rule

from .codec import rule_from_plain, rule_to_plain
from .model import Model
from .repair_model import RepairBook

_LAST: list[tuple[RepairBook, str]] = []  # a watching check packs the same book after every change elsewhere


def packed(book: RepairBook) -> str:
    """The book as JSON text."""
    if not _LAST or _LAST[0][0] != book:
        _LAST[:] = [(book, json.dumps(_plain(book), separators=(",", ":")))]
    return _LAST[0][1]


def book_of(model: Model) -> RepairBook:
    """The model's repair book; an empty one where the knowledge has none."""
    return unpacked(model.repair) if model.repair else RepairBook()


@lru_cache(maxsize=4)
def unpacked(text: str) -> RepairBook:
    """The book again. Raises TypeError or ValueError on anything misshapen."""
    found = _made(RepairBook, json.loads(text))
    if not isinstance(found, RepairBook):
        raise TypeError("this is no repair book")
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Rule):
        return rule_to_plain(value)
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    if is_dataclass(value):
        return [_plain(getattr(value, one.name)) for one in fields(value)]
    return value


@lru_cache(maxsize=64)
def _kinds(record: type) -> tuple[Any, ...]:
    hints = get_type_hints(record)
    return tuple(hints[one.name] for one in fields(record))


def _made(kind: Any, value: Any) -> Any:
    if kind is Rule:
        return rule_from_plain(value)
    origin, inner = get_origin(kind), get_args(kind)
    if origin is tuple:
        if inner[-1] is Ellipsis:
            return tuple(_made(inner[0], one) for one in value)
        return tuple(_made(one_kind, one) for one_kind, one in zip(inner, value, strict=True))
    if origin in (Union, UnionType):
        return None if value is None else _made(inner[0], value)
    if isinstance(kind, type) and is_dataclass(kind):
        return kind(*(_made(one_kind, one) for one_kind, one in zip(_kinds(kind), value, strict=True)))
    return value
