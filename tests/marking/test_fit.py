"""A decoding as evidence over compounds: what fits weighs more, nothing is ruled out, nonsense changes nothing."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from whichresin.marking.decoder import decode
from whichresin.marking.fit import weights
from whichresin.marking.tables import Tables

SYMBOLS = (
    "PP", "PP-TD20", "PP-GF30", "PP+EPDM-TD20", "PP+EPDM-TD15", "PA6-GF30", "PA66-GF30", "PA66-GF35", "PA66-GF30 FR",
    "ABS", "UP-GF25", "none of these",
)  # fmt: skip
NONE = SYMBOLS[-1]


def _weights(text: str, tables: Tables) -> dict[str, float]:
    compounds: list[Any] = [SimpleNamespace(symbol=s, material=s.split("-")[0]) for s in SYMBOLS]
    return dict(zip(SYMBOLS, weights(decode(text, tables), compounds, tables), strict=True))


@pytest.mark.parametrize(
    ("text", "first", "then"),
    [
        (">PA66-GF30<", "PA66-GF30", "PA66-GF35"),
        (">PA66-GF35<", "PA66-GF35", "PA66-GF30"),
        (">PP+EPDM-TD20<", "PP+EPDM-TD20", "PP+EPDM-TD15"),
        (">PP-T20<", "PP-TD20", "PP"),
        (">UP-GF30<", "UP-GF25", "ABS"),
        (">PP+E/P-TD20<", "PP+EPDM-TD20", "PP+EPDM-TD15"),
    ],
)
def test_the_compound_that_is_marked_weighs_most(text: str, first: str, then: str, tables: Tables) -> None:
    """The best fit comes first, a near level next, and all above the background."""
    found = _weights(text, tables)
    assert max(found, key=lambda s: found[s]) == first
    assert found[first] > found[then]
    assert found[first] > 10 * found[NONE]


def test_a_family_symbol_fits_its_members(tables: Tables) -> None:
    """PA-GF30 fits PA6-GF30 and PA66-GF30 alike, and PP not at all."""
    found = _weights(">PA-GF30<", tables)
    assert found["PA6-GF30"] == pytest.approx(found["PA66-GF30"], rel=0.3)
    assert found["PA6-GF30"] > 10 * found["PP-GF30"]


def test_a_wrong_insert_is_possible(tables: Tables) -> None:
    """No compound is ruled out by a marking: inserts are wrong and parts are swapped."""
    found = _weights(">ABS<", tables)
    assert min(found.values()) >= 0.9 * tables.fit.wrong_insert
    assert found["ABS"] > 100 * found["PP"]


def test_an_unreadable_text_is_no_evidence(tables: Tables) -> None:
    """A part number weighs every compound alike."""
    assert set(_weights("205/55R16", tables).values()) == {1.0}


def test_a_retardant_counts(tables: Tables) -> None:
    """A marked retardant prefers the retarded compound."""
    found = _weights(">PA66-GF30-FR(52)<", tables)
    assert found["PA66-GF30 FR"] > found["PA66-GF30"]
