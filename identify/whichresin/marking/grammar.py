"""Strict reading of a whole marking after ISO 11469, and where it departs from the standard.

`parse` takes what a careful person would still call well-formed: brackets of any kind or none, small letters, blanks,
a left-out hyphen, a slash for a blend, earlier abbreviations. Each of these is reported as a departure. A marking
with a wrong or unreadable character is not parsed; that is the decoder's work.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from whichresin.vocabulary.text import shown

from .composition import Composition, FillerPart, Marking
from .tables import Tables

_CHEMICAL = re.compile(r"\(([A-Z]{1,2})\)")
_NUMBER = re.compile(r"\d{1,3}")
_CODES = re.compile(r"\((\d{2}(?:\+\d{2})*)\)")
_RECYCLED = re.compile(r"\(REC(\d{1,3})\)")
MOST_WAYS = 200
Found = Iterator[tuple[Composition, int, tuple[str, ...]]]


class NotParsed(ValueError):
    """The text is no well-formed marking; the message says so in one sentence."""


@dataclass(frozen=True, slots=True)
class Parsed:
    """A marking and, in plain words, where the text departs from the standard."""

    marking: Marking
    departures: tuple[str, ...]


def parse(text: str, tables: Tables) -> Parsed:
    """The marking that a text spells. Raises NotParsed."""
    body, notes = _unbracket(text.strip())
    if re.search(r"[a-z]", re.sub(r"\([A-Z][a-z]\)", "", body)):
        notes.append("small letters; the standard wants capitals")
    body = body.upper()
    if " " in body.strip():
        notes.append("blanks inside; the standard has none")
    layers, main = [], None
    parts = body.split(",")
    for place, part in enumerate(parts):
        part = part.strip()
        if len(part) > 2 and part[0] == part[-1] == "_":
            main, part = place, part[1:-1]
        ways = islice(_whole(part.replace(" ", ""), tables), MOST_WAYS)
        found = min(ways, key=lambda way: len(way[1]), default=None)  # fewest departures, longest symbols
        if found is None:
            raise NotParsed(
                f"{shown(text)} is no marking that ISO 11469 knows: {shown(part)} does not read as a material"
            )
        layers.append(found[0])
        notes.extend(found[1])
    if len(layers) > 1 and main is None:
        notes.append("several layers, none underlined as the main one")
    return Parsed(Marking(tuple(layers), main), tuple(dict.fromkeys(notes)))


def _unbracket(text: str) -> tuple[str, list[str]]:
    notes: list[str] = []
    if re.fullmatch(r">[^<>]*<", text):
        return text[1:-1], notes
    if re.fullmatch(r"\(.*\)", text) and text.count("(") - text.count(")") == 0 and _matching(text):
        return text[1:-1], notes  # lawful on vehicles instead of > <
    bare = text.strip("<>[]«»{} ")
    if text != bare:
        kinds = {c for c in text if c in "<>"}
        notes.append(
            "brackets are doubled, turned or of another kind" if kinds else "brackets are not those of the standard"
        )
    else:
        notes.append("no brackets; the standard wants > and <")
    return bare, notes


def _matching(text: str) -> bool:
    """Whether the first round bracket closes with the last character."""
    depth = 0
    for place, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return place == len(text) - 1
    return False


def _whole(text: str, tables: Tables) -> Iterator[tuple[Composition, tuple[str, ...]]]:
    """Compositions that use up the text, the most literal first."""
    yield from _resin_code(text, tables)
    for composition, place, notes in _polymers(text, 0, tables):
        for done, end, more in _additions(text, place, composition, tables):
            if end == len(text):
                yield done, notes + more


def _resin_code(text: str, tables: Tables) -> Iterator[tuple[Composition, tuple[str, ...]]]:
    hit = re.fullmatch(r"0?(\d)([A-Z-]*)|([A-Z-]+)(\d)", text)
    row = tables.resin_codes.get(int(hit[1] or hit[4])) if hit else None
    letters = (hit[2] or hit[3] or "") if hit else ""
    if row and (letters in row.letters or not letters) and not (hit and hit[3] and text in tables.polymers):
        polymers = (row.polymer,) if row.polymer else ()
        yield (
            Composition(polymers, resin_code=row.number),
            (f"a resin identification code ({row.number}), not a marking of ISO 11469",),
        )


def _polymers(text: str, place: int, tables: Tables) -> Found:
    """One polymer or a blend from `place` on, longest symbols first."""
    for polymers, fillers, end, notes in _polymer(text, place, tables):
        sign = text[end : end + 1]
        if sign in ("+", "/"):
            slash = ("a slash joins the polymers of a blend; the standard writes +",) if sign == "/" else ()
            for rest, last, more in _polymers(text, end + 1, tables):
                yield (
                    replace(rest, polymers=polymers + rest.polymers, fillers=fillers + rest.fillers),
                    last,
                    notes + slash + more,
                )
        yield Composition(polymers, fillers), end, notes


def _polymer(
    text: str, place: int, tables: Tables
) -> Iterator[tuple[tuple[str, ...], tuple[FillerPart, ...], int, tuple[str, ...]]]:
    for size in range(min(16, len(text) - place), 0, -1):
        word = text[place : place + size]
        end = place + size
        if word in tables.polymers:
            letters = re.match(r"-([A-Z]{1,5})(?![A-Z0-9(])", text[end:])
            if (
                letters
                and all(c in tables.characteristics for c in letters[1])
                and letters[1] not in tables.fillers
                and letters[1] != "FR"
            ):
                yield (
                    (word + letters[0],),
                    (),
                    end + len(letters[0]),
                    ("special characteristics that the tables do not list with this polymer",),
                )
            yield (word,), (), end, ()
        if word in tables.legacy:
            row = tables.legacy[word]
            fillers = (_part(tables, row.filler, None),) if row.filler else ()
            yield row.polymers, fillers, end, (f"{row.symbol} is an earlier or trade spelling of {row.in_words}",)


def _additions(text: str, place: int, so_far: Composition, tables: Tables) -> Found:
    """Everything after the polymers, in any order; order and missing hyphens are noted."""
    yield so_far, place, ()
    if place >= len(text):
        return
    at = place
    notes: tuple[str, ...] = ()
    if text[place] == "-":
        at = place + 1
    elif not (text[place] == "(" and so_far.polymers[-1].endswith("-P")):
        notes = ("a hyphen is left out",)
    for done, end, more in _addition(text, at, so_far, tables):
        for whole, last, rest in _additions(text, end, done, tables):
            yield whole, last, notes + more + rest


def _addition(text: str, at: int, so_far: Composition, tables: Tables) -> Found:
    if text.startswith("FR", at) and not so_far.retarded:
        codes = _CODES.match(text, at + 2)
        if codes:
            numbers = tuple(int(code) for code in codes[1].split("+"))
            odd = tuple(f"FR({n}) is not in ISO 1043-4" for n in numbers if n not in tables.retardants)
            yield replace(so_far, retarded=True, retardants=numbers), codes.end(), odd
        yield replace(so_far, retarded=True), at + 2, ("FR without its number",)
    late = ("the retardant should come last",) if so_far.retarded else ()
    softener = re.compile(r"P?\(([A-Z]+)\)").match(text, at)
    if softener and softener[1] in tables.plasticizers and so_far.plasticizer is None:
        polymers = so_far.polymers
        plasticized = f"{polymers[-1]}-P"  # the P of the additive is the P of the characteristic
        if plasticized in tables.polymers:
            polymers = (*polymers[:-1], plasticized)
        if softener[0][0] == "P" or polymers[-1].endswith("-P"):
            yield replace(so_far, polymers=polymers, plasticizer=softener[1]), softener.end(), late
    recycled = _RECYCLED.match(text, at)
    if recycled and so_far.recyclate is None:
        yield replace(so_far, recyclate=int(recycled[1])), recycled.end(), late
    if so_far.fillers and so_far.fillers[0].percent is not None:
        return
    if text.startswith("(", at):
        yield from _mixture(text, at, so_far, tables, late)
    for part, end, notes in _filler(text, at, tables):
        yield replace(so_far, fillers=(part,)), end, late + notes


def _mixture(text: str, at: int, so_far: Composition, tables: Tables, late: tuple[str, ...]) -> Found:
    def more(
        place: int, parts: tuple[FillerPart, ...], notes: tuple[str, ...]
    ) -> Iterator[tuple[tuple[FillerPart, ...], int, tuple[str, ...]]]:
        for part, end, said in _filler(text, place, tables):
            if text.startswith("+", end):
                yield from more(end + 1, (*parts, part), notes + said)
            elif text.startswith(")", end) and parts:
                yield (*parts, part), end + 1, notes + said

    for parts, end, notes in more(at + 1, (), late):
        total = _NUMBER.match(text, end)
        if total and len(total[0]) <= 2:
            yield replace(so_far, fillers=parts, total_percent=int(total[0])), total.end(), notes
        yield replace(so_far, fillers=parts), end, notes


def _filler(text: str, at: int, tables: Tables) -> Iterator[tuple[FillerPart, int, tuple[str, ...]]]:
    """A filler and its percentage at `at`; known pairs first, then letter by letter, then other spellings."""
    choices: list[tuple[FillerPart, int, tuple[str, ...]]] = []
    for code in tables.fillers:
        if text.startswith(code.upper(), at):
            choices.append((_part(tables, code, None), at + len(code), ()))
    choices.sort(key=lambda choice: -choice[1])
    for material in ("ME", *tables.material_letters):
        for form in sorted(tables.form_letters, key=len, reverse=True):
            code = material + form
            if text.startswith(code, at) and code not in tables.fillers and material in tables.material_letters:
                end = at + len(code)
                metal = _CHEMICAL.match(text, end) if material == "ME" else None
                name = tables.material_letters[material]
                if metal:
                    code, end, name = (
                        f"{code}({metal[1].capitalize()})",
                        metal.end(),
                        f"metal ({metal[1].capitalize()})",
                    )
                choices.append((FillerPart(code, name, tables.form_letters[form]), end, ()))
    for spelling in tables.prior.spellings:
        if text.startswith(spelling.letters, at):
            says = f"{spelling.letters} is written for {spelling.code}: {spelling.note}"
            choices.append((_part(tables, spelling.code, None), at + len(spelling.letters), (says,)))
    for part, end, notes in choices:
        number = _NUMBER.match(text, end)
        if number and len(number[0]) <= 2:
            short = ("a percentage of one digit; the standard writes two",) if len(number[0]) == 1 else ()
            yield replace(part, percent=int(number[0])), number.end(), notes + short
        elif not notes or len(notes[0].split()[0]) > 1:
            yield part, end, (*notes, "the percentage is left out")


def _part(tables: Tables, code: str, percent: int | None) -> FillerPart:
    row = tables.fillers[code]
    return FillerPart(row.code, row.material, row.form, percent)
