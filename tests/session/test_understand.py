"""Free words for a part are matched to part kinds; where they could mean a gated part, the gate counts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.session.understand import understand_part

STRICT = {"open": 0, "ask": 1, "refer": 2, "replace": 3, "": -1}


@pytest.mark.parametrize("kind_words", ["fuel tank", "Fuel Tank", "the old fuel-tank", "feul tank"])
def test_a_fuel_tank_is_gated_however_it_is_written(shipped: Model, kind_words: str) -> None:
    """Capitals, hyphens, other words around it and a slip of the keys do not open the gate."""
    assert understand_part(shipped, kind_words).gate in ("refer", "replace")


def test_every_word_of_every_kind_is_understood_at_least_as_strictly(shipped: Model) -> None:
    """A word listed for a gated kind must never be read as a freer one."""
    for kind in shipped.parts.values():
        for words in (kind.name, *kind.words):
            reading = understand_part(shipped, words)
            assert reading.kind is not None, words
            if kind.gate in ("refer", "replace"):
                assert STRICT[reading.gate] >= STRICT["ask"], (words, reading.kind.id)


@pytest.mark.parametrize("nonsense", ["xyzzy", "", "   ", "12345", "qqqq wwww"])
def test_words_that_mean_nothing_open_nothing(shipped: Model, nonsense: str) -> None:
    """Not understood is said, and leaves the gate to be asked."""
    reading = understand_part(shipped, nonsense)
    assert (reading.kind, reading.gate, reading.sure) == (None, "", "not_understood")


@given(st.text(max_size=60))
def test_an_unsure_reading_never_opens_the_gate(shipped: Model, words: str) -> None:
    """Whatever is typed: unsure is at least 'ask'."""
    reading = understand_part(shipped, words)
    if reading.sure == "unsure":
        assert STRICT[reading.gate] >= STRICT["ask"]
