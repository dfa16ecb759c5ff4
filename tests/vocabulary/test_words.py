"""Closed lists, near words, and text from outside made harmless."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.vocabulary.text import escaped, first_control, shown
from whichresin.vocabulary.words import Scale, UnknownWord, WordList, listed, nearest

CLASSES = WordList("classes", {"thermoplastic": "melts", "thermoset": "chars", "elastomer": "springs back"})


def test_a_wrong_word_names_the_nearest_known_one() -> None:
    """The error is the correction."""
    assert CLASSES.check("thermoset") == "thermoset"
    with pytest.raises(UnknownWord) as caught:
        CLASSES.check("termoset")
    assert str(caught.value) == (
        "'termoset' is not one of thermoplastic, thermoset, elastomer (classes); did you mean 'thermoset'?"
    )
    assert caught.value.nearest == "thermoset"


def test_a_word_like_nothing_gets_no_guess() -> None:
    """A wrong guess is worse than none."""
    with pytest.raises(UnknownWord) as caught:
        Scale("how often", {"often": 0.55, "seldom": 0.08}).number("perpetually")
    assert str(caught.value) == "'perpetually' is not one of often, seldom (how often)"
    assert Scale("how often", {"often": 0.55}).number("often") == 0.55


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ("polypropelene", "polypropylene"),
        ("Polypropylene", "polypropylene"),
        ("poly", ""),  # the start of two words says neither
        ("polypro", "polypropylene"),
        ("nlyon", "nylon"),
        ("", ""),
        ("zzz", ""),
    ],
)
def test_nearest(found: str, expected: str) -> None:
    """Swapped and lost letters, other case, and the start of a longer word."""
    assert nearest(found, ["nylon", "polypropylene", "polyester"]) == expected


def test_nearest_does_not_depend_on_the_order_of_the_list() -> None:
    """The same mistake gets the same answer on every machine."""
    assert nearest("ba", ["bb", "aa"]) == nearest("ba", ["aa", "bb"])


@given(st.text(max_size=80))
def test_shown_text_is_harmless_and_short(text: str) -> None:
    """No escape sequence, line break or reversed writing gets from a file onto the screen."""
    result = shown(text)
    assert first_control(result) < 0
    assert "\n" not in result
    assert "\t" not in result
    assert first_control(escaped(text)) < 0


@given(st.characters())
def test_control_characters_are_what_unicode_says(character: str) -> None:
    """Controls, format signs, separators of lines and surrogates are caught; letters of no script are."""
    if unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp") and character not in "\n\t":
        assert first_control(character) == 0
    if unicodedata.category(character)[0] in "LMNPS" or character == " ":
        assert first_control(character) < 0


def test_escapes() -> None:
    """Written so that a person can see which character it was."""
    assert escaped("a\x1b[2J\u202e\U000e0041\n\t") == "a\\x1b[2J\\u202e\\U000e0041\\n\\t"
    assert shown("x" * 100) == "'" + "x" * 45 + "...'"


def test_long_lists_are_cut() -> None:
    """A sentence that lists two hundred compounds is not read."""
    assert listed("abc", limit=2) == "a, b and 1 more"
    assert listed("ab", limit=2) == "a, b"
