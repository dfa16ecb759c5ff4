"""The model as plain lists, texts and numbers, and back: what the cache keeps. Exact: floats come back bit
for bit.

Every record is a list of its fields in order. A field that is added to `model` must be added here; the test
of the round trip says so, and `shape()` keeps caches of another shape from being read.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from whichresin.engine.conditions import (
    All,
    Condition,
    Equals,
    Known,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    Within,
)
from whichresin.engine.rules import Conclusion, Rule

from . import model as m

Plain = list[Any]
T = TypeVar("T")
_RECORDS: tuple[type, ...] = (
    m.Range,
    m.Filler,
    m.Material,
    m.Compound,
    m.CueValue,
    m.Table,
    m.Cue,
    m.PartKind,
    m.Cell,
    m.SplitLoss,
    m.Losses,
    m.Caution,
    m.Skill,
    m.Observer,
    m.Against,
    m.FactWord,
    m.Model,
    Rule,
    Conclusion,
)


def shape() -> str:
    """A short mark of all field names: changes when a record gains, loses or renames a field."""
    names = ";".join(f"{record.__name__}:{','.join(_fields(record))}" for record in _RECORDS)
    return f"{zlib.crc32(names.encode()):08x}"


def to_plain(model: m.Model) -> Plain:
    """The model as lists, texts and numbers."""
    return [
        model.key,
        [_deep(one) for one in model.materials.values()],
        [_deep(one) for one in model.fillers.values()],
        [_deep(one) for one in model.compounds],
        [_deep(one) for one in model.cues.values()],
        [_part(one) for one in model.parts.values()],
        [_deep(one) for one in model.cells.values()],
        _deep(model.losses),
        [_deep(one) for one in model.cautions.values()],
        [rule_to_plain(one) for one in model.rules],
        [_deep(one) for one in model.against.values()],
        [_deep(one) for one in model.facts.values()],
        _deep(model.observer),
        [list(step) for step in model.how_sure],
        dict(model.sources),
        model.repair,
    ]


def from_plain(plain: Plain) -> m.Model:
    """The model again. Raises TypeError, ValueError, LookupError or AttributeError on anything misshapen."""
    key, materials, fillers, compounds, cues, parts, cells, losses, cautions, *rest = plain
    rules, against, facts, observer, how_sure, sources, repair = rest
    if not isinstance(repair, str):
        raise TypeError("what is known of mending is no text")
    width = len(compounds)
    return m.Model(
        key=key,
        materials={row[0]: _material(row) for row in materials},
        fillers={row[0]: m.Filler(row[0], row[1], row[2], _range(row[3]), row[4], tuple(row[5])) for row in fillers},
        compounds=tuple([_compound(row) for row in compounds]),
        cues={row[0]: _cue(row) for row in cues},
        parts={row[0]: _part_from(row, width) for row in parts},
        cells={row[0]: m.Cell(row[0], row[1], row[2], tuple(row[3])) for row in cells},
        losses=_losses(losses),
        cautions={row[0]: m.Caution(*row[:4], *map(tuple, row[4:])) for row in cautions},
        rules=tuple([rule_from_plain(row) for row in rules]),
        against={row[0]: m.Against(row[0], row[1], tuple(row[2]), tuple(row[3])) for row in against},
        facts={row[0]: m.FactWord(row[0], row[1]) for row in facts},
        observer=m.Observer(tuple([m.Skill(*skill) for skill in observer[0]]), *observer[1:]),
        how_sure=tuple([(float(low), str(word)) for low, word in how_sure]),
        sources=sources,
        repair=repair,
    )


def _fields(record: type) -> tuple[str, ...]:
    return tuple(getattr(record, "__slots__", ()))


def _deep(value: object) -> Any:
    """Records and tuples to lists, all the way down."""
    if isinstance(value, tuple | list):
        return [_deep(one) for one in value]
    if isinstance(value, dict):
        return {name: _deep(one) for name, one in value.items()}
    names = _fields(type(value))
    return [_deep(getattr(value, name)) for name in names] if names else value


def _part(part: m.PartKind) -> Plain:
    tilted = [(index, times) for index, times in enumerate(part.tilt) if times != 1.0]
    row = [_deep(getattr(part, name)) for name in _fields(m.PartKind)]
    row[_fields(m.PartKind).index("tilt")] = [list(pair) for pair in tilted]
    return row


def _part_from(row: Plain, width: int) -> m.PartKind:
    name, title, words, gate, reason, cautions, tilted, source = row
    tilt = [1.0] * width
    for index, times in tilted:
        tilt[index] = times
    return m.PartKind(name, title, tuple(words), gate, reason, tuple(cautions), tuple(tilt), tuple(source))


def _make(record: Callable[..., T], *fields: Any) -> T:
    """One record from its fields in order."""
    return record(*fields)


def _range(row: Plain | None) -> m.Range | None:
    return None if row is None else m.Range(row[0], row[1], tuple(row[2]))


def _compound(row: Plain) -> m.Compound:
    *fields, source = row
    return _make(m.Compound, *fields, tuple(source))


def _material(row: Plain) -> m.Material:
    *words, share, density, melt, glass, energy, weldable, synonyms, parts, note, source = row
    known = m.Range(density[0], density[1], tuple(density[2]))
    heat = (_range(melt), _range(glass), _range(energy))
    return _make(m.Material, *words, share, known, *heat, weldable, tuple(synonyms), parts, note, tuple(source))


def _cue(row: Plain) -> m.Cue:
    *words, values, minutes, marks, tools, hazard, wear, cautions, opt_in, locked, askable, table, source = row
    answers = tuple([m.CueValue(*value) for value in values])
    rows = None if table is None else m.Table(tuple(map(tuple, table[0])), tuple(table[1]), tuple(table[2]))
    care = (hazard, wear, tuple(cautions), opt_in)
    return _make(m.Cue, *words, answers, minutes, marks, tuple(tools), *care, locked, askable, rows, tuple(source))


def _losses(row: Plain) -> m.Losses:
    cells, actions, table, splits, *numbers, source = row
    costs = tuple(map(tuple, table))
    extra = tuple([m.SplitLoss(*one) for one in splits])
    return _make(m.Losses, tuple(cells), tuple(actions), costs, extra, *numbers, tuple(source))


def rule_to_plain(rule: Rule) -> Plain:
    """A rule as lists, texts and numbers."""
    concludes = [[c.name, _value(c.value)] for c in rule.conclude]
    return [rule.id, _when(rule.when), concludes, rule.because, list(rule.source)]


def rule_from_plain(row: Plain) -> Rule:
    """The rule again. Raises TypeError or ValueError on anything misshapen."""
    name, when, conclude, because, source = row
    parts = _when_from(when)
    if not isinstance(parts, All):
        raise TypeError("a rule's conditions are not a list of all")
    conclusions = tuple([Conclusion(fact, _value_from(value)) for fact, value in conclude])
    return Rule(name, parts, conclusions, because, tuple(source))


def _value(value: Any) -> Any:
    return ["?", value.name] if isinstance(value, Var) else value


def _value_from(value: Any) -> Any:
    return Var(value[1]) if isinstance(value, list) else value


def _when(part: Condition) -> Plain:
    if isinstance(part, Equals):
        return ["=", part.name, _value(part.value)]
    if isinstance(part, OneOf):
        return ["in", part.name, list(part.values)]
    if isinstance(part, Within):
        return ["within", part.name, part.low, part.high, part.low_open, part.high_open]
    if isinstance(part, Known):
        return ["known", part.name]
    if isinstance(part, NotKnown):
        return ["not_known", part.name]
    word = "all" if isinstance(part, All) else "any" if isinstance(part, Some) else "none"
    return [word, _whens(part.parts)]


def _whens(parts: Iterable[Condition]) -> list[Plain]:
    return [_when(part) for part in parts]


def _when_from(row: Plain) -> Condition:
    word = row[0]
    if word == "=":
        return Equals(row[1], _value_from(row[2]))
    if word == "in":
        return OneOf(row[1], tuple(row[2]))
    if word == "within":
        return Within(*row[1:])
    if word == "known":
        return Known(row[1])
    if word == "not_known":
        return NotKnown(row[1])
    parts = tuple([_when_from(part) for part in row[1]])
    if word == "none":
        return Never(parts)
    return Some(parts) if word == "any" else All(parts)
