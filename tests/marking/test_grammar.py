"""Print and parse are inverse over the whole grammar of ISO 11469."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from whichresin.marking.composition import Composition, FillerPart, Marking, spell
from whichresin.marking.grammar import NotParsed, parse
from whichresin.marking.load import load

TABLES = load()
POLYMERS = sorted(TABLES.polymers)
CODES = [FillerPart(row.code, row.material, row.form) for row in TABLES.fillers.values()]


@st.composite
def compositions(draw: st.DrawFn) -> Composition:
    """Any lawful composition: blends of up to three, up to three fillers, plasticizer, recycled share, retardants."""
    polymers = tuple(draw(st.lists(st.sampled_from(POLYMERS), min_size=1, max_size=3, unique=True)))
    kinds = draw(st.lists(st.sampled_from(CODES), max_size=3, unique=True))
    totalled = len(kinds) > 1 and draw(st.booleans())
    percents = st.integers(1, 99)
    fillers = tuple(FillerPart(k.code, k.material, k.form, None if totalled else draw(percents)) for k in kinds)
    softener = (
        draw(st.sampled_from([None, *sorted(TABLES.plasticizers)])) if polymers[-1] in ("PVC-P", "CA", "CAB") else None
    )
    codes = draw(st.lists(st.sampled_from(sorted(TABLES.retardants)), max_size=2, unique=True))
    retarded = bool(codes) or draw(st.booleans())
    recycled = draw(st.none() | st.integers(1, 100))
    return Composition(
        polymers, fillers, draw(percents) if totalled else None, softener, recycled, retarded, tuple(codes)
    )


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(layers=st.lists(compositions(), min_size=1, max_size=3), main=st.none() | st.integers(0, 2))
def test_print_then_parse(layers: list[Composition], main: int | None) -> None:
    """What is printed parses back to the same composition."""
    marking = Marking(tuple(layers), main if main is not None and len(layers) > 1 and main < len(layers) else None)
    assert parse(spell(marking), TABLES).marking == marking


@pytest.mark.parametrize("text", [">PA6?-GF30<", "205/55R16", ">PP-<", "><", ">PP-GF30", "QQ", ">PP+<", ">PP-GF300<"])
def test_what_is_no_marking(text: str) -> None:
    """Damaged or foreign text is not parsed; the sentence quotes it."""
    if text == ">PP-GF30":
        assert parse(text, TABLES).departures  # one bracket is missing: a departure, not a refusal
        return
    with pytest.raises(NotParsed, match="no marking"):
        parse(text, TABLES)
