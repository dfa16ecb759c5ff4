"""A job sheet read back from its JSON document, every field checked; one sentence where it is none."""

from __future__ import annotations

import re
import types
from collections.abc import Mapping as MappingType
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from .sheet import FORMAT, Sheet


class NoSheet(ValueError):
    """A document that is no job sheet; the message is one sentence without a place."""


def sheet_from(document: Any) -> Sheet:
    """The sheet that `Sheet.as_json` wrote. Raises NoSheet for anything else, and for another format."""
    if not isinstance(document, dict) or "whichresin_sheet" not in document:
        raise NoSheet("it is no job sheet; make one with 'whichresin sheet --answers FILE --out sheet.json'")
    if document["whichresin_sheet"] != FORMAT:
        raise NoSheet(f"it is a job sheet of format {document['whichresin_sheet']!r}; this version reads {FORMAT}")
    plain = {key: value for key, value in document.items() if key not in ("schema", "whichresin_sheet")}
    sheet: Sheet = _record(Sheet, plain, "the sheet")
    if not re.fullmatch("[0-9a-f]{12}", sheet.id):  # it names a file
        raise NoSheet(f"the sheet, id is {sheet.id!r}, which no job sheet has there; make the sheet again")
    if [step.number for step in sheet.steps] != list(range(1, len(sheet.steps) + 1)):
        raise NoSheet("the steps are not numbered from 1; make the sheet again")
    return sheet


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _record(kind: Any, value: Any, what: str) -> Any:
    if not isinstance(value, dict):
        raise NoSheet(f"{what} is not what a job sheet holds there; make the sheet again")
    names = [field.name for field in fields(kind)]
    for name in value:
        if name not in names:
            raise NoSheet(f"{what} holds {name!r}, which no job sheet has; make the sheet again")
    for name in names:
        if name not in value:
            raise NoSheet(f"{what} lacks {name!r}; make the sheet again")
    return kind(**{name: _value(_hints(kind)[name], value[name], f"{what}, {name}") for name in names})


def _value(kind: Any, value: Any, what: str) -> Any:
    origin = get_origin(kind)
    if is_dataclass(kind):
        return _record(kind, value, what)
    if origin is tuple:
        if not isinstance(value, list):
            raise NoSheet(f"{what} is not a list; make the sheet again")
        return tuple(_value(get_args(kind)[0], item, what) for item in value)
    if origin in (types.UnionType, Union):
        return None if value is None else _value(get_args(kind)[0], value, what)
    if origin is MappingType:
        if not isinstance(value, dict):
            raise NoSheet(f"{what} is not a mapping; make the sheet again")
        return value
    sound = isinstance(value, (int, float)) and not isinstance(value, bool) if kind is float else type(value) is kind
    if not sound:
        raise NoSheet(f"{what} is {value!r}, which no job sheet has there; make the sheet again")
    return float(value) if kind is float else value
