"""Free words for a part, matched to part kinds. Doubt errs on the safe side: a kind that must be referred
counts as soon as the words could mean it, and a person says which was meant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from whichresin.knowledge.model import Model, PartKind

from .part_phrases import GUARDED, Heard, Hit, part_phrases, split, stem

MEANT = "="  # 'fuel tank bracket = bracket': the words as they were said, and which kind was meant
SOMETHING_ELSE = "something else"
_STRICTNESS = ("open", "ask", "refer", "replace")
_MOST_OTHERS = 3


@dataclass(frozen=True, slots=True)
class PartReading:
    """How free words for a part were understood. `kind` is None when they match no known kind."""

    text: str
    kind: PartKind | None
    sure: str  # clear | unsure | not_understood
    others: tuple[str, ...]  # names of other kinds that the words could mean
    gate: str  # open | ask | refer | replace, the strictest that the words could mean; "" if not understood
    gate_kind: PartKind | None  # the kind that sets the gate
    choices: tuple[PartKind, ...] = ()  # kinds to ask between, the one that counts until then first
    unknown: tuple[str, ...] = ()  # words that are part of no known name
    rest: str = ""  # the words beyond those that name the kind


def understand_part(model: Model, text: str) -> PartReading:
    """Match `text` against the words of every part kind."""
    said, mark, meant = text.rpartition(MEANT)
    if mark:
        chosen = _chosen(understand_part(model, said), meant, text)
        if chosen is not None:
            return chosen
    heard = part_phrases(model).hear(text)
    main = _main(heard)
    kinds = [hit.kind for hit in sorted(heard.hits, key=_telling)] + list(heard.scattered)
    if not kinds:
        return PartReading(text, None, "not_understood", (), "", None, unknown=heard.unknown, rest=text)
    at_head = {hit.kind.id: hit for hit in heard.hits if heard.head in hit.places}
    kind = main.kind if main is not None else kinds[0]
    kinds = list({one.id: one for one in (kind, *kinds)}.values())
    gate_kind = max(kinds, key=lambda one: _STRICTNESS.index(one.gate))
    clear = main is not None and main.kind.id in at_head and len(at_head) == 1 and not main.doubtful
    clear = clear and (gate_kind.gate not in GUARDED or kind.gate in GUARDED)
    if clear and kind.gate not in GUARDED:
        gate_kind = kind  # a deck does not shut the gate over its cleat; what the cleat guards is asked all the same
    gate = gate_kind.gate if clear or gate_kind.gate != "open" else "ask"
    return PartReading(
        text,
        kind,
        "clear" if clear else "unsure",
        tuple(one.name for one in kinds if one is not kind)[:_MOST_OTHERS],
        gate,
        gate_kind,
        () if clear else _choices(gate_kind, kind, [one.kind for one in at_head.values()]),
        heard.unknown,
        _rest(heard, main) if clear else text,
    )


def as_meant(text: str, meant: str) -> str:
    """The words for a part with what a person said they meant by them: the name of a kind, or `SOMETHING_ELSE`."""
    return f"{text} {MEANT} {meant}"


def _main(heard: Heard) -> Hit | None:
    """The phrase that says what it is; where that word is not known, the most telling of the others."""
    at_head = [hit for hit in heard.hits if heard.head in hit.places]
    return min(at_head or heard.hits, key=_telling, default=None)


def _telling(hit: Hit) -> tuple[int, int, int, str]:
    return (hit.slips, -len(hit.places), -_STRICTNESS.index(hit.kind.gate), hit.kind.id)


def _choices(gate_kind: PartKind, kind: PartKind, others: Iterable[PartKind]) -> tuple[PartKind, ...]:
    """What to ask between: nothing where no guarded kind is at stake and only one kind could be meant."""
    every = tuple({one.id: one for one in (gate_kind, kind, *others)}.values())
    guarded = any(one.gate in GUARDED for one in every)
    return every if guarded or len(every) > 1 else ()


def _chosen(reading: PartReading, meant: str, text: str) -> PartReading | None:
    """The reading that a person chose among those that were near; None where that was not to be chosen."""
    if not reading.choices:
        return None
    if _same(meant, SOMETHING_ELSE):
        return PartReading(text, None, "not_understood", (), "", None, unknown=reading.unknown, rest=reading.text)
    for kind in reading.choices:
        if any(_same(meant, phrase) for phrase in (kind.id, kind.name, *kind.words)):
            gate = "ask" if kind.gate == "open" else kind.gate
            clear = replace(reading, text=text, kind=kind, sure="clear", others=(), gate=gate, gate_kind=kind)
            return replace(clear, choices=())
    return None


def _same(one: str, other: str) -> bool:
    return [stem(word) for word in split(one)] == [stem(word) for word in split(other)]


def _rest(heard: Heard, main: Hit | None) -> str:
    places = main.places if main is not None else frozenset()
    return " ".join(word for place, word in enumerate(heard.words) if place not in places)
