"""A decoding as evidence over compounds: P(text | compound) up to one factor.

Each reading m was found with odds P(m | text) under its prior P(m), so P(text | m) is proportional to their ratio. A
compound carries marking m with the chance that fit.yaml gives for how well they agree, or, with `wrong_insert`, any
marking at all. In units where a marking that says nothing weighs 1:

    w(compound) = (1 - wrong) * sum over m of P(m | compound) P(m | text) / P(m) + wrong * P(marking) + P(no marking).

'None of these' gets 1, the background.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from .composition import Composition, FillerPart
from .explain import row_of
from .grammar import NotParsed, parse
from .reading import Decoding, Reading
from .tables import FitTable, Tables

if TYPE_CHECKING:
    from whichresin.knowledge.model import Compound

NEAR_PERCENT = 5


def weights(decoding: Decoding, compounds: Sequence[Compound], tables: Tables) -> tuple[float, ...]:
    """P(text | compound) up to one factor, in the order of `compounds`. All 1 when the text is unreadable."""
    if decoding.verdict == "unreadable" or not decoding.readings:
        return tuple(1.0 for _ in compounds)
    table = tables.fit
    marking = 1.0 - decoding.not_a_marking
    found = []
    for compound in compounds:
        carried = composition_of(compound.symbol, tables)
        if carried is None:
            found.append(1.0)
            continue
        told = sum(
            reading.probability / max(reading.prior, 1e-12) * chance
            for reading in decoding.readings
            for chance in (fit(reading, carried, compound.material, tables),)
            if chance > 0.0
        )
        found.append((1.0 - table.wrong_insert) * told + table.wrong_insert * marking + decoding.not_a_marking)
    return tuple(found)


def composition_of(symbol: str, tables: Tables) -> Composition | None:
    """What a compound's symbol (`PA66-GF30 FR`) says, or None for none of these."""
    known = tables.compositions
    if symbol not in known:
        base, retarded = (symbol[:-3], True) if symbol.endswith(" FR") else (symbol, False)
        try:
            found = parse(f">{base}<", tables).marking.layers[0]
            known[symbol] = Composition(
                found.polymers, found.fillers, found.total_percent, retarded=retarded or found.retarded
            )
        except NotParsed:
            known[symbol] = None
    return known[symbol]


def fit(reading: Reading, carried: Composition, material: str, tables: Tables) -> float:
    """P(this marking | a part of this compound), wrong inserts apart."""
    said, table = reading.marking.leading, tables.fit
    chance = _polymers(said.polymers, carried.polymers, material, table)
    if chance <= 0.0:  # characteristics that the tables do not list with a polymer make a kind of it
        plain = tuple(row.symbol if (row := row_of(symbol, tables)) else symbol for symbol in said.polymers)
        if plain != said.polymers and "+".join(plain) in ("+".join(carried.polymers), material):
            chance = table.polymers["wider"]
    if chance <= 0.0:
        return 0.0
    share, among = table.fits[_filler_fit(said, carried)]
    retardant = table.retardant["same" if said.retarded == carried.retarded else "differs"]
    return chance * share / among * retardant


def _polymers(said: tuple[str, ...], carried: tuple[str, ...], material: str, table: FitTable) -> float:
    one, other = "+".join(said), "+".join(carried)
    if one in (other, material):
        return table.polymers["same"]
    if other in table.wider.get(one, ()) or (len(said) == len(carried) > 1 and all(
        a == b or b in table.wider.get(a, ()) for a, b in zip(said, carried, strict=True)
    )):  # fmt: skip
        return table.polymers["wider"]
    for group, times in table.relatives:
        if one in group and other in group:
            return min(1.0, table.polymers["relative"] * times)
    return 0.0


def _filler_fit(said: Composition, carried: Composition) -> str:
    if not said.fillers:
        return "same" if not carried.fillers else "filler left out"
    if not carried.fillers:
        return "filler not known"
    if {f.code for f in said.fillers} != {f.code for f in carried.fillers}:
        kin = any(_kin(a, b) for a in said.fillers for b in carried.fillers)
        return "filler of the same kind" if kin else "other filler"
    one, other = said.filler_percent, carried.filler_percent
    if one is None or other is None:
        return "same" if one == other else "level left out"
    if one == other:
        return "same"
    return "near level" if abs(one - other) <= NEAR_PERCENT else "other level"


def _kin(a: FillerPart, b: FillerPart) -> bool:
    return a.material == b.material or (a.form == b.form and a.form in ("powder", "fibre"))
