"""Free words: understood through the vocabulary, sizes with units, denials, and what is not understood told back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.knowledge.repair_codec import book_of
from whichresin.knowledge.repair_model import Words
from whichresin.repair.read import read_words, rods_of
from whichresin.repair.words import BadWords, understand


@pytest.fixture(scope="module")
def words(shipped: Model) -> Words:
    """The shipped vocabulary."""
    found = book_of(shipped).words
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("text", "lengths"),
    [
        ("crack 40 mm", (40.0,)), ("crack 3 cm", (30.0,)), ('crack 2"', (50.8,)), ("crack 2 in", (50.8,)),
        ("hole 120 x 80 mm", (120.0, 80.0)), ("hole 2 x 3 cm", (30.0, 20.0)), ("a 40mm crack", (40.0,)),
        ("crack 1.5 inch", (38.1,)), ("crack 1,5 cm", (15.0,)), ("tear 1/2 in", (12.7,)), ("crack 0.3 m", (300.0,)),
        ("two cracks, 40 mm and 60 mm", (60.0, 40.0)), ("crack of 1 ft", (304.8,)),
    ],
)  # fmt: skip
def test_lengths_with_units(words: Words, text: str, lengths: tuple[float, ...]) -> None:
    """Shops think in millimetres, centimetres and inches: 1 in is 25.4 mm, 1 ft 304.8 mm (exact by definition)."""
    assert understand(words, "damage", text).lengths_mm == pytest.approx(lengths)


def test_wall_and_width_are_told_from_the_length(words: Words) -> None:
    """A wall of 3 mm is not a crack of 3 mm."""
    said = understand(words, "damage", "crack 150 mm, 12 mm wide, wall 3 mm")
    assert (said.lengths_mm, said.width_mm, said.wall_mm) == ((150.0,), 12.0, 3.0)
    assert understand(words, "damage", "crack 40 mm in 2 mm thick skin").wall_mm == 2.0


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("crack 40", "no unit"), ("crack -40 mm", "no size"), ("crack 0 mm", "no size"), ("crack 99 m", "no size"),
    ],
)  # fmt: skip
def test_sizes_that_cannot_be_are_refused_in_one_sentence(words: Words, text: str, told: str) -> None:
    """What, and what to write instead."""
    with pytest.raises(BadWords, match=told) as caught:
        understand(words, "damage", text)
    assert "\n" not in str(caught.value) and "write" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "celsius"), [("room 12 C", 12.0), ("18 °C in the shop", 18.0), ("about 68 F", 20.0), ("cold", None)]
)
def test_temperatures(words: Words, text: str, celsius: float | None) -> None:
    """68 F is 20 C."""
    assert understand(words, "context", text).celsius == celsius
    with pytest.raises(BadWords):
        understand(words, "context", "room 400 C")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("sits in front of the radar", ("sensor_view",)), ("no radar", ()), ("not in front of the radar", ()),
        ("no radar or camera behind it", ()), ("no sticker, radar behind it", ("sensor_view",)),
        ("no cap on the fuel tank", ("fuel",)), ("without fuel", ()),
        ("not sure whether it carries load", ("structure",)),
        ("no load", ()), ("under load", ("structure",)), ("far from the seat belt", ()), ("nothing known", ()),
    ],
)  # fmt: skip
def test_words_of_a_duty_and_their_denial(words: Words, text: str, said: tuple[str, ...]) -> None:
    """A denial counts only when nothing but small words stand between; in doubt the word counts as said."""
    assert understand(words, "context", text).facts.get("duty_said", ()) == said


def test_what_is_not_understood_is_told_back_and_slips_are_read(words: Words) -> None:
    """Nobody should have to guess what the tool made of the words."""
    said = understand(words, "damage", "cracc 40 mm through the frobnicator")
    assert said.facts["damage"] == ("crack",) and any("cracc" in text for text in said.meanings)
    assert said.not_understood == ("frobnicator",)


@given(text=st.text(max_size=120))
def test_no_text_breaks_the_reading(shipped: Model, text: str) -> None:
    """Whatever is typed: facts of the vocabulary, or one sentence."""
    words = book_of(shipped).words
    assert words is not None
    known = {group.name: {value.id for value in group.values} for group in words.groups}
    for field in ("part", "damage", "context", "shop"):
        try:
            said = understand(words, field, text)
        except BadWords as error:
            assert "\n" not in str(error)
            continue
        for name, values in said.facts.items():
            assert set(values) <= known[name]


def test_every_word_of_the_vocabulary_is_understood_as_itself(words: Words) -> None:
    """A phrase that a longer one always hides would be dead knowledge."""
    for group in words.groups:
        for value in group.values:
            for phrase in value.words:
                for field in group.reads:
                    facts = understand(words, field, phrase).facts
                    assert value.id in facts.get(group.name, ()), (group.name, value.id, phrase)


def test_rods_by_name(shipped: Model) -> None:
    """A rod without a name is of no plastic; the longest name wins."""
    assert rods_of(shipped, ["pp_rod"]) == {"PP"}
    assert rods_of(shipped, ["PP+EPDM welding rod"]) == {"PP+EPDM"}
    assert rods_of(shipped, ["rod", "welding_rod", "welder"]) == set()
    assert rods_of(shipped, ["polypropylene rods", "PE-HD rod"]) == {"PP", "PE-HD"}


def test_what_is_missing_is_asked_for(shipped: Model) -> None:
    """Without a size no amounts; without a damage no way to work: one sentence each."""
    read = read_words(shipped, book_of(shipped), "", "", "", ())
    assert len(read.missing) == 2
    read = read_words(shipped, book_of(shipped), "", "crack", "", ())
    assert len(read.missing) == 1 and "40 mm" in read.missing[0]
    assert not read_words(shipped, book_of(shipped), "", "crack 4 cm", "", ()).missing
