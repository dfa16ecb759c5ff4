"""JSON Schemas for editors, made from the forms that the loader itself reads with.

    python -m whichresin.training.editor FOLDER      writes one file for each kind of knowledge file

An editor that knows the schema completes keys and words and underlines what does not fit, before any check is
run. A schema says less than the check: it knows shapes, closed words and limits, not what names refer to.
Dialect: JSON Schema 2020-12. It fits what an editor makes of a file: numbers as numbers, all else as text.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from whichresin.knowledge import forms, liquids, repair_forms
from whichresin.knowledge.conclusions import KINDS, OPTIONAL_BESIDE
from whichresin.knowledge.conditions import BOUNDS, GROUPS
from whichresin.knowledge.expectations import MIN_WEIGHT
from whichresin.knowledge.schema import Ident, Many, MapOf, Number, Piece, Raw, Record, Text, Word, YesNo
from whichresin.knowledge.selectors import WEIGHTS
from whichresin.marking.forms import FORMS as MARKING_FORMS
from whichresin.repair.failure import FAILURES
from whichresin.repair.figures import FIGURES
from whichresin.repair.product_rules import PRODUCT_RULES
from whichresin.repair.shelf import PRODUCT

from .chart import CHART

Schema = dict[str, Any]
DIALECT = "https://json-schema.org/draft/2020-12/schema"
# Kind of file -> its form. `parts` may also hold one part kind by itself.
KINDS_OF_FILE: Mapping[str, tuple[Record, ...]] = {
    "cautions": (forms.CAUTIONS,),
    "cells": (forms.CELLS,),
    "cue": (forms.CUE,),
    "decisions": (repair_forms.DECISIONS,),
    "facts": (forms.FACTS,),
    "filler": (forms.FILLER,),
    "lists": (forms.LISTS,),
    "losses": (forms.LOSSES,),
    "material": (forms.MATERIAL,),
    "observer": (forms.OBSERVER,),
    "pack": (forms.PACK,),
    "parts": (forms.PARTS, forms.PART),
    "product": (PRODUCT,),
    "process": (repair_forms.PROCESS,),
    "rules": (forms.RULES,),
    "sources": (forms.SOURCES,),
    "vocabulary": (repair_forms.VOCABULARY,),
    "words": (forms.WORDS,),
    "work": (repair_forms.WORK,),
    "liquid": (liquids.LIQUID,),
    "liquids-bench": (liquids.BENCH,),
    "failures": (FAILURES,),
    "figures": (FIGURES,),
    "chart": (CHART,),
    "products": (PRODUCT_RULES,),
    "wetting": (liquids.WETTING,),
    **{f"marking-{name.replace('_', '-')}": (form,) for name, form in MARKING_FORMS.items() if name != "sources"},
}
_SCALAR: Schema = {"type": ["string", "number", "boolean"]}  # every scalar is a text to the loader
_TEXT: Schema = {**_SCALAR, "minLength": 1}
_YES_NO: Schema = {"enum": ["yes", "no"]}


class Writer:
    """Turns forms into schemas; `lists` are the closed lists with their meanings, `often` the words of how often."""

    def __init__(self, lists: Mapping[str, Mapping[str, str]], often: Sequence[str]) -> None:
        self._lists = lists
        self._often = often

    def of_kind(self, kind: str) -> Schema:
        """The schema of one kind of file."""
        shapes = [self._record(form) for form in KINDS_OF_FILE[kind]]
        whole = shapes[0] if len(shapes) == 1 else {"anyOf": shapes}
        head = {"$schema": DIALECT, "title": f"whichresin knowledge: {kind}"}
        refers = "#/$defs/" in json.dumps(whole)
        return {**head, **whole, **({"$defs": self._definitions()} if refers else {})}

    def _record(self, form: Record) -> Schema:
        properties = {}
        for name, field in form.fields.items():
            own = RAW.get((form.name, name))
            properties[name] = own(self) if own is not None else self._piece(field.piece)
        needed = [name for name, field in form.fields.items() if field.required]
        found: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
        return {**found, "required": needed} if needed else found

    def _piece(self, piece: Piece) -> Schema:
        if isinstance(piece, Record):
            return self._record(piece)
        if isinstance(piece, Text):
            return {**_TEXT, "maxLength": piece.limit} if piece.lines else _one_line(piece.limit)
        if isinstance(piece, Ident):
            return {**_TEXT, "pattern": f"^(?:{piece.pattern})$", "description": piece.form}
        if isinstance(piece, Word):
            return self._words(piece.list_name, piece.words)
        if isinstance(piece, YesNo):
            return dict(_YES_NO)
        if isinstance(piece, Number):
            kind = "integer" if piece.whole else "number"
            return {"type": kind, "minimum": piece.low, "maximum": piece.high}
        if isinstance(piece, Many):
            return self._many(piece)
        if isinstance(piece, MapOf):
            keys = self._piece(piece.key)
            return {"type": "object", "propertyNames": {**keys, "type": "string"}, **_every(self._piece(piece.of))}
        if isinstance(piece, Raw):
            return {"description": piece.says}
        raise TypeError(f"no schema is known for {piece!r}; teach it to Writer._piece")

    def _many(self, piece: Many) -> Schema:
        one = self._piece(piece.of)
        several: Schema = {"type": "array", "items": one}
        if piece.at_least:
            several["minItems"] = piece.at_least
        if piece.says:
            several["description"] = piece.says
        return {"anyOf": [one, several]} if piece.single else several

    def _words(self, list_name: str, words: Sequence[str] = ()) -> Schema:
        means = self._lists.get(list_name, {})
        known = list(words or means)
        if not known:
            return dict(_TEXT)
        return {"enum": known, "description": "; ".join(f"{word}: {text}" for word, text in means.items()) or list_name}

    def _definitions(self) -> Schema:
        number: Schema = {"type": "number"}
        bounds = {"type": "object", "properties": dict.fromkeys(BOUNDS, number), "additionalProperties": False}
        value: Schema = {"anyOf": [_SCALAR, {"type": "array", "items": _SCALAR, "minItems": 1}, _few(bounds, 1, 2)]}
        group: Schema = {"type": "array", "items": {"$ref": "#/$defs/condition"}, "minItems": 1}
        groups = dict.fromkeys(GROUPS, group)
        asked = {"known": _TEXT, "not_known": _TEXT}
        condition = {"type": "object", "properties": {**groups, **asked}, "additionalProperties": value}
        when = {"type": "object", "properties": groups, "additionalProperties": False, "minProperties": 1}
        return {
            "when": when,
            "condition": _few(condition, 1, 1),
            "conclusion": {"oneOf": [self._conclusion(kind) for kind in KINDS]},
            "selector": self._selector(),
            "often": {"anyOf": [{"enum": list(self._often)}, {**number, "minimum": MIN_WEIGHT, "maximum": 1}]},
            "given": {"type": "object", **_every({"anyOf": [_SCALAR, {"type": "array", "items": _SCALAR}]})},
        }

    def _conclusion(self, kind: str) -> Schema:
        beside = KINDS[kind]
        own: Schema = {"$ref": "#/$defs/selector"} if kind == "against" else _TEXT
        how: Mapping[str, Schema] = {"seen": {"$ref": "#/$defs/often"}, "instead_of": _one_or_more(_TEXT)}
        properties = {kind: own, **{name: how.get(name, _TEXT) for name in beside}}
        needed = [kind, *(name for name in beside if (kind, name) not in OPTIONAL_BESIDE)]
        return {"type": "object", "properties": properties, "required": needed, "additionalProperties": False}

    def _selector(self) -> Schema:
        closed = {"class": self._words("classes"), "filler_kind": self._words("filler_kinds")}
        closed["retarded"] = dict(_YES_NO)
        properties = {key: _one_or_more(closed.get(key, _TEXT)) for key in WEIGHTS}
        number: Schema = {"type": "number"}
        properties["percent"] = {"type": "array", "items": number, "minItems": 2, "maxItems": 2}
        return {"type": "object", "properties": properties, "additionalProperties": False}


# Where a form hands a node to a reader of its own: (record, key) -> the schema of what that reader takes.
RAW: Mapping[tuple[str, str], Callable[[Writer], Schema]] = {
    (forms.RULES.name, "rules"): lambda w: {"type": "array", "items": w._record(forms.RULE)},
    (forms.PARTS.name, "parts"): lambda w: {"type": "array", "items": w._record(forms.PART)},
    (forms.RULE.name, "when"): lambda w: {"$ref": "#/$defs/when"},
    (forms.RULE.name, "conclude"): lambda w: {"type": "array", "items": {"$ref": "#/$defs/conclusion"}, "minItems": 1},
    (forms.RULE.name, "examples"): lambda w: {"type": "array", "items": w._record(forms.EXAMPLE)},
    (forms.RULE.name, "near_misses"): lambda w: {"type": "array", "items": w._record(forms.EXAMPLE)},
    (forms.EXAMPLE.name, "given"): lambda w: {"$ref": "#/$defs/given"},
    (forms.EXAMPLE.name, "each"): lambda w: _few(
        {"type": "object", **_every({"type": "array", "items": _SCALAR, "minItems": 2})}, 1, 1
    ),
    (forms.EXAMPLE.name, "expect"): lambda w: {"type": "array", "items": {"$ref": "#/$defs/conclusion"}},
    (forms.OWN_EXPECT.name, "for"): lambda w: {"$ref": "#/$defs/selector"},
    (forms.OWN_EXPECT.name, "seen"): lambda w: {"type": "object", **_every({"$ref": "#/$defs/often"})},
    (forms.EXPECT.name, "for"): lambda w: {"$ref": "#/$defs/selector"},
    (forms.EXPECT.name, "seen"): lambda w: {"type": "object", **_every({"$ref": "#/$defs/often"})},
    (forms.TILT.name, "for"): lambda w: {"$ref": "#/$defs/selector"},
    (repair_forms.LOSES.name, "for"): lambda w: {"$ref": "#/$defs/selector"},
    **{
        (form.name, "when"): lambda w: {"$ref": "#/$defs/when"}
        for form in (
            repair_forms.ADDS,
            repair_forms.ASK,
            repair_forms.FLIP,
            repair_forms.MUST_NOT,
            repair_forms.NEED,
            repair_forms.PROCESS,
            repair_forms.STEP,
            repair_forms.STUFF,
        )
    },
}


def _every(of: Schema) -> Schema:
    return {"additionalProperties": of}


def _few(of: Schema, least: int, most: int) -> Schema:
    return {**of, "minProperties": least, "maxProperties": most}


def _one_or_more(of: Schema) -> Schema:
    return {"anyOf": [of, {"type": "array", "items": of, "minItems": 1}]}


def _one_line(limit: int) -> Schema:
    return {**_TEXT, "maxLength": limit, "pattern": r"^\s*[^\n]*\s*$"}


def schemas() -> dict[str, Schema]:
    """Kind of file -> schema, with the closed lists and words as shipped. Raises ValueError when those are faulty."""
    from .check import check

    compiled = check().compiled
    if compiled is None or compiled.tree.words is None or not compiled.tree.ctx.lists:
        raise ValueError("the shipped lists of words cannot be read; run `whichresin check`")
    lists = {name: words.means for name, words in compiled.tree.ctx.lists.items()}
    writer = Writer(lists, list(compiled.tree.words.numbers("how_often")))
    return {kind: writer.of_kind(kind) for kind in KINDS_OF_FILE}


def as_text(schema: Schema) -> str:
    """The schema as its file holds it."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Write every schema into the folder named."""
    (folder,) = list(sys.argv[1:] if arguments is None else arguments) or ["shared/schemas"]
    Path(folder).mkdir(parents=True, exist_ok=True)
    for kind, schema in schemas().items():
        Path(folder, f"{kind}.json").write_text(as_text(schema), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
