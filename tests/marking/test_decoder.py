"""The search against the obvious decoder, and properties that every decoding keeps."""

from __future__ import annotations

import random
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_decoder import weights

from whichresin.marking.composition import Marking
from whichresin.marking.decoder import decode, plain_key
from whichresin.marking.language import Language
from whichresin.marking.load import load as _load
from whichresin.marking.search import Searcher
from whichresin.marking.tables import Tables

TEXTS = (
    "PA66-GF30", "PP", "UP", "PA6?-GF3O", "PA6GF3O", "PP-TD2", "PPTD20FR(4O)", "PC+ABS-FR(40)", "FP-T?20", "PE HD",
    "E?P-TD20", "PA66-(GF25+M015)", "PA6-6F30", "P0-TD2O", "SPP", "PA68-GF3", "PE-IID",
)  # fmt: skip
load = lru_cache(_load)
MARGIN = 0.15  # under this a reading with one damage more than the best may be left out


@pytest.mark.parametrize("text", TEXTS)
def test_search_equals_the_plain_decoder(text: str, small: Language, tables: Tables) -> None:
    """Every reading that matters has the weight that the sum over all alignments gives it."""
    found = Searcher(small, tables.channel).search(text, True, True)
    mine = {(key >> 32, key & 0xFFFF, key >> 16 & 0xFFFF): hit.weight for key, hit in found.items()}
    want = weights(text, small, tables.channel)
    best = max(want.values())
    assert max(mine, key=lambda k: mine[k]) == max(want, key=lambda k: want[k])
    for key, weight in want.items():
        if weight >= MARGIN * best:
            assert mine[key] == pytest.approx(weight, rel=0.1), key
    for key, weight in mine.items():
        assert weight <= want[key] * (1 + 1e-9)


def _sample(language: Language, rng: random.Random) -> tuple[int, int, int]:
    """Any composition of the language: heads by the square root of their prior, additions at will."""
    head = rng.choices(range(len(language.heads)), [h.weight**0.5 for h in language.heads])[0]
    profile = language.heads[head].profile
    filler = rng.choices(range(len(language.fillers)), [f.weights[profile] ** 0.5 for f in language.fillers])[0]
    tail = rng.choices(range(len(language.tails)), [t.weights[profile] ** 0.5 for t in language.tails])[0]
    return head, filler, tail


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_one_unreadable_character_keeps_the_truth(seed: int) -> None:
    """Whatever single character cannot be read, however rare the marking: the true one is among the readings."""
    rng, tables = random.Random(seed), load()
    language = tables.language
    head, filler, tail = _sample(language, rng)
    true = language.heads[head].text + language.fillers[filler].text + language.tails[tail].text
    place = rng.randrange(len(true))
    text = f">{true[:place]}{rng.choice('?_.*')}{true[place + 1 :]}<"
    want = plain_key(Marking((language.composition(head, filler, tail),)))
    decoded = decode(text, tables)
    if decoded.verdict == "unreadable" and not decoded.readings:
        assert len(true) <= 3  # nearly all of it is gone
    else:
        assert want in {reading.text for reading in decoded.readings}, text


@pytest.mark.parametrize(
    ("text", "best"),
    [
        (">PA6?-GF3_<", ">PA66-GF30<"),
        ("PP+E/P-TD2O", ">PP+E/P-TD20<"),
        ("pa66gf30", ">PA66-GF30<"),
        ("PBT GF", ">PBT-GF<"),
        (">>PC+ABS<<", ">PC+ABS<"),
        (">PP TD20<", ">PP-TD20<"),
        ("PA 46 GF 15", ">PA46-GF15<"),
        ("P.A.46", ">PA46<"),
        (">9Vd<", ">PA6<"),
        ("4711 >PBT-GF30< 03/2011", ">PBT-GF30<"),
        ("polypropelene", ">PP<"),
        ("nylon six glass thirty", ">PA6-GF30<"),
        ("fibreglas polyester", ">UP-GF<"),
        ("poly carbonate ABS blend", ">PC+ABS<"),
        ("talc filled polypropylene 20 percent", ">PP-TD20<"),
    ],
)
def test_what_people_type(text: str, best: str, tables: Tables) -> None:
    """Damaged, sloppy and spoken markings read as what they are."""
    assert decode(text, tables).readings[0].text == best


@pytest.mark.parametrize(
    "text", ["205/55R16", "12/2004", "CAV 3", "8N0 807 217 B", "LEFT", "MADE IN ITALY", "42"]
)
def test_other_text_is_refused(text: str, tables: Tables) -> None:
    """Tyre codes, dates, cavity and part numbers and words are no marking."""
    assert decode(text, tables).verdict == "unreadable"


@pytest.mark.parametrize("text", [">PA66-HI<", ">PBT-HI<", ">PA6-HI<"])
def test_characteristics_that_are_not_listed_with_a_polymer(text: str, tables: Tables) -> None:
    """A whole, well-formed marking is what it says, and its letters are explained: no other polymer is read into it."""
    decoded = decode(text, tables)
    assert (decoded.verdict, decoded.readings[0].text) == ("clear", text)
    assert decoded.readings[0].meaning.endswith(", high impact")


def test_class_is_not_stated_against_a_plausible_reading(tables: Tables) -> None:
    """One lost letter turns UP into PP: then the class stays open; a clear UP states it."""
    assert decode(">?P<", tables).klass == ""
    assert decode("UP-GF25", tables).klass == "thermoset"
    assert decode(">PE-X<", tables).klass == "thermoset"


def test_odds_add_up(tables: Tables) -> None:
    """Odds of readings, of no marking and of what was not looked for add up to 1; sums add up to the readings."""
    for text in (">PA6?-GF3_<", "UP?", "PP", "12?PP", "P-TD20"):
        decoded = decode(text, tables)
        whole = sum(reading.probability for reading in decoded.readings)
        assert whole + decoded.not_a_marking + decoded.unseen == pytest.approx(1.0)
        for sums in (decoded.by_class, decoded.by_polymer, decoded.by_filler):
            assert sum(sums.values()) == pytest.approx(whole)


def test_memory_does_not_change_odds(tables: Tables) -> None:
    """A decoding is the same whatever was decoded before it."""
    fresh = Searcher(tables.language, tables.channel)
    for text in ("PA6?-GF3O", "PP-TD2", "PC+A8S", "PP+EPDM-TDIO"):
        assert fresh.search(text, True, True) == tables.searcher.search(text, True, True)
        assert fresh.search(text, True, True) == tables.searcher.search(text, True, True)


def test_the_grammar_is_large(tables: Tables) -> None:
    """At least three million compositions are searched."""
    assert tables.language.size >= 3_000_000


def test_priors_are_probabilities(tables: Tables) -> None:
    """Heads sum to 1, and so do fillers and tails under each profile (a few spellings are left out)."""
    language = tables.language
    assert sum(head.weight for head in language.heads) == pytest.approx(1.0)
    for profile in range(language.profiles):
        assert sum(word.weights[profile] for word in language.fillers) == pytest.approx(1.0, abs=1e-3)
        assert sum(tail.weights[profile] for tail in language.tails) == pytest.approx(1.0)
