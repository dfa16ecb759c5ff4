"""Free words for a part are matched to part kinds; where they could mean a gated part, the gate counts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.session.part_phrases import GUARDED, part_phrases, split, stem
from whichresin.session.understand import SOMETHING_ELSE, as_meant, understand_part

STRICT = {"open": 0, "ask": 1, "refer": 2, "replace": 3, "": -1}
PAIRS = ("kind", "words")
WORDS: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parents[1] / "data" / "part_words.yaml").read_text(encoding="utf-8")
)
# Words that stand beside a part's name at a bench; none denies, and none is part of a name.
BESIDE = ["left", "cracked", "old", "big", "blue", "tractor's", "quad", "zorb", "for the", "from my", "2", "xk-7"]


def test_there_are_words_enough() -> None:
    """At least 150 ways in which repairers name a part."""
    assert sum(map(len, WORDS["kinds"].values())) + len(WORDS["asks"]) + len(WORDS["unknown"]) >= 150


@pytest.mark.parametrize(PAIRS, [(kind, text) for kind, texts in WORDS["kinds"].items() for text in texts])
def test_what_repairers_type_is_read_as_the_part_they_mean(shipped: Model, kind: str, words: str) -> None:
    """Plurals, slips, adjectives, run-together words and 'the lid of ...' are read; nothing is asked."""
    reading = understand_part(shipped, words)
    assert (reading.kind and reading.kind.id, reading.sure, reading.choices) == (kind, "clear", ())


@pytest.mark.parametrize(("words", "kinds"), WORDS["asks"].items())
def test_two_near_readings_are_asked_about_and_the_safe_one_counts(
    shipped: Model, words: str, kinds: list[str]
) -> None:
    """'steering wheel cover' may be a cover; until somebody says so, it is a steering part."""
    reading = understand_part(shipped, words)
    assert [kind.id for kind in reading.choices] == kinds
    assert reading.sure == "unsure" and reading.gate in GUARDED and reading.gate == reading.choices[0].gate


@pytest.mark.parametrize(PAIRS, [(kind, text) for kind, texts in WORDS["perhaps"].items() for text in texts])
def test_a_harmless_doubtful_reading_is_only_called_perhaps(shipped: Model, kind: str, words: str) -> None:
    """Nobody is asked about what makes no difference to the gate, and the gate question stays open."""
    reading = understand_part(shipped, words)
    assert reading.kind is not None and reading.kind.id == kind
    assert (reading.sure, reading.gate, reading.choices) == ("unsure", "ask", ())


@pytest.mark.parametrize("words", [*WORDS["unknown"], "", "   ", "12345", "qqqq wwww", "no", "= =", "of the"])
def test_an_unknown_word_is_not_forced_onto_the_nearest(shipped: Model, words: str) -> None:
    """Not understood is said, and leaves the gate to be asked."""
    reading = understand_part(shipped, words)
    assert (reading.kind, reading.gate, reading.sure, reading.choices) == (None, "", "not_understood", ())


def test_every_word_of_every_kind_is_understood_as_that_kind(shipped: Model) -> None:
    """A word listed for one kind that is read as another would be dead knowledge, or open a gate."""
    for kind in shipped.parts.values():
        for words in (kind.name, *kind.words):
            reading = understand_part(shipped, words)
            assert reading.kind is kind and reading.gate == kind.gate and not reading.choices, words


def test_no_two_kinds_share_a_name_that_differs_only_in_spaces_or_plural(shipped: Model) -> None:
    """'air line' and 'airlines' are one name: two kinds that claim it would leave the gate to luck."""
    seen: dict[str, str] = {}
    for kind in shipped.parts.values():
        for words in (kind.name, *kind.words):
            assert seen.setdefault("".join(map(stem, split(words))), kind.id) == kind.id, words


def guarded_names(model: Model) -> list[tuple[str, str]]:
    """Every name of every kind that is referred or replaced, with the kind."""
    kinds = [kind for kind in model.parts.values() if kind.gate in GUARDED]
    return [(words, kind.id) for kind in kinds for words in (kind.name, *kind.words)]


def made_longer(model: Model, name: str, text: str) -> bool:
    """Whether a longer name that some kind lists was made of a guarded one: then the list has the say."""
    tokens = [stem(word) for word in split(name)]
    given = {stem(word) for word in split(text)}
    for kind in model.parts.values():
        for words in kind.words:
            longer = [stem(word) for word in split(words)]
            if kind.gate not in GUARDED and len(longer) > len(tokens) and set(tokens) <= set(longer) <= given:
                return True
    return False


@given(data=st.data())
def test_a_guarded_kind_is_never_lost_by_a_longer_text(shipped: Model, data: st.DataObject) -> None:
    """Fuel, pressure, brake, steering, restraint, structure: whatever is written before and after, it counts."""
    name, _ = data.draw(st.sampled_from(guarded_names(shipped)))
    free = [kind for kind in shipped.parts.values() if kind.gate not in GUARDED]
    other = st.sampled_from([words for kind in free for words in (kind.name, *kind.words)])
    beside = st.lists(st.one_of(st.sampled_from(BESIDE), other), max_size=2)
    text = " ".join([*data.draw(beside), name, *data.draw(beside)])
    assume(not made_longer(shipped, name, text))
    assert understand_part(shipped, text).gate in GUARDED, text


@given(data=st.data())
def test_a_guarded_kind_is_never_lost_by_a_slip_of_the_keys(shipped: Model, data: st.DataObject) -> None:
    """One letter lost, doubled or swapped with the next, in a word of five letters or more."""
    name, _ = data.draw(st.sampled_from(guarded_names(shipped)))
    words = name.split()
    long = [place for place, word in enumerate(words) if len(word) >= 5 and word.isalpha()]
    assume(long)
    place = data.draw(st.sampled_from(long))
    word, at = words[place], data.draw(st.integers(1, len(words[place]) - 2))
    slipped = data.draw(
        st.sampled_from(
            [word[:at] + word[at + 1 :], word[:at] + word[at] + word[at:],
             word[:at] + word[at + 1] + word[at] + word[at + 2 :]]
        )
    )  # fmt: skip
    words[place] = slipped
    known = part_phrases(shipped).known
    assume(slipped == word or (stem(slipped) not in known and len(stem(slipped)) >= 4))
    assert understand_part(shipped, " ".join(words)).gate in GUARDED, words


@given(st.text(max_size=60))
def test_an_unsure_reading_never_opens_the_gate(shipped: Model, words: str) -> None:
    """Whatever is typed: unsure is at least 'ask'."""
    reading = understand_part(shipped, words)
    if reading.sure == "unsure":
        assert STRICT[reading.gate] >= STRICT["ask"]


def test_the_answer_says_which_was_meant(shipped: Model) -> None:
    """The words stay, the choice is written behind them, and a free kind still has its duty asked."""
    text = "steering wheel cover"
    names = [kind.name for kind in understand_part(shipped, text).choices]
    assert understand_part(shipped, as_meant(text, names[0])).gate == "refer"
    other = understand_part(shipped, as_meant(text, names[1]))
    assert (other.kind and other.kind.name, other.sure, other.gate) == (names[1], "clear", "ask")
    nothing = understand_part(shipped, as_meant(text, SOMETHING_ELSE))
    assert (nothing.kind, nothing.sure, nothing.gate) == (None, "not_understood", "")


@pytest.mark.parametrize(
    "text", ["fuel tank = bracket", "fuel tank = something else", "bonnet = fuel tank", "= fuel tank"]
)
def test_only_what_was_asked_can_be_chosen(shipped: Model, text: str) -> None:
    """A plain fuel tank is not talked away, and a guarded word behind the sign counts like any other."""
    assert understand_part(shipped, text).gate in GUARDED


def test_a_denied_part_does_not_count_and_opens_nothing(shipped: Model) -> None:
    """'no airbag' leaves the door trim, 'not a helmet' leaves nothing; the duty is asked either way."""
    assert understand_part(shipped, "door trim, no airbag").gate == "ask"
    assert understand_part(shipped, "not a helmet").gate == ""
    assert understand_part(shipped, "no sticker, airbag cover").gate in GUARDED


def test_words_that_nobody_knows_are_told_back(shipped: Model) -> None:
    """'kayak gizmo': perhaps a kayak, and 'gizmo' is not known."""
    reading = understand_part(shipped, "kayak gizmo")
    assert (reading.sure, reading.unknown) == ("unsure", ("gizmo",))
