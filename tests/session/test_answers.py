"""An answers file is read text-first: `no` is text, and every fault is one sentence with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.session.answers import BadAnswers, answers_from_bytes, read_answers


def state_of(model: Model, text: str):  # type: ignore[no-untyped-def]
    return answers_from_bytes(model, text.encode(), "answers.yaml").state


@pytest.mark.parametrize("spelling", ["yes", '"yes"', "'yes'"])
def test_yes_and_no_are_text_quoted_or_not(shipped: Model, spelling: str) -> None:
    """YAML would make `yes` a truth value; here it is the word that the cue offers."""
    assert state_of(shipped, f"answers: {{drips: {spelling}}}").answers["drips"].value == "yes"


def test_no_is_not_dont_know(shipped: Model) -> None:
    """`drips: no` is an answer; an empty value and dont_know are none."""
    state = state_of(shipped, "drips: no\ngrind:\nnail: dont_know\n")
    assert state.answers["drips"].value == "no"
    assert state.declined == ("grind", "nail")


def test_the_mapping_of_cues_alone_is_enough(shipped: Model) -> None:
    """Both forms of the contract lead to the same state."""
    bare = state_of(shipped, "float_in_water: sinks\ngrind: powder\npart: hood\n")
    whole = state_of(shipped, "part: hood\nanswers:\n  float_in_water: sinks\n  grind: powder\n")
    assert bare.answers == whole.answers


def test_everything_of_the_contract_is_understood(shipped: Model) -> None:
    """part, marking, sure, allow_burn, shop, target, liquids, a measured density with its uncertainty."""
    state = state_of(
        shipped,
        "part: mirror bracket\nmarking: '>PA66-GF30<'\nallow_burn: true\nshop: [Plastic Welder, two-part adhesive]\n"
        "target: polymer\nsure: {grind: low}\nanswers:\n  grind: powder\n  look: glass_fibres\n"
        "  float_liquids: [{density: 1.10, result: sinks}]\n  density_measured: {value: 1.37, uncertainty: 0.01}\n",
    )
    assert state.allowed == ("burn", "solvent")
    assert state.shop == ("plastic_welder", "two_part_adhesive")
    assert state.target == "polymer"
    assert state.answers["grind"].sure == "low"
    assert state.answers["look"].value == ("glass_fibres",)
    assert state.answers["float_liquids"].value == ((1.10, "sinks"),)
    assert (state.answers["density_measured"].value, state.answers["density_measured"].uncertainty) == (1.37, 0.01)
    assert state.text("marking") == ">PA66-GF30<"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "answers: {float_in_watr: sinks}",
            "answers.yaml:1:11: there is no cue 'float_in_watr'; did you mean 'float_in_water'?",
        ),
        (
            "answers:\n  grind: powdr\n",
            "answers.yaml:2:10: 'powdr' is not an answer to grind; did you mean 'powder'?",
        ),
        (
            "- sinks\n",
            "answers.yaml:1:1: answers must be a mapping such as 'float_in_water: sinks', not a list or one word",
        ),
        ("", "answers.yaml: the file is empty"),
        (
            "density_measured: heavy",
            "answers.yaml:1:19: 'heavy' is not a number; density_measured wants a figure such as 1.14",
        ),
        (
            "density_measured: 114",
            "answers.yaml:1:19: density_measured 114 is outside 0.2 to 5 g/cm3; check the figure",
        ),
        (
            "density_measured: nan",
            "answers.yaml:1:19: 'nan' is not a number; density_measured wants a figure such as 1.14",
        ),
        ("allow_burn: perhaps", "answers.yaml:1:13: 'perhaps' is neither yes nor no"),
        (
            "answers: {grind: powder}\nshp: []",
            "answers.yaml:2:1: 'shp' is not a key of an answers file; did you mean 'shop'?",
        ),
    ],
)
def test_each_fault_is_one_sentence_with_its_place(shipped: Model, text: str, sentence: str) -> None:
    """What was found, where, and what to write instead."""
    with pytest.raises(BadAnswers) as caught:
        state_of(shipped, text)
    assert str(caught.value) == sentence


def test_files_that_are_no_text_are_refused_in_one_sentence(shipped: Model, tmp_path: Path) -> None:
    """Binary, far too large, missing, a folder: never a traceback, never read whole."""
    binary, large = tmp_path / "binary.yaml", tmp_path / "large.yaml"
    binary.write_bytes(bytes(range(256)))
    with large.open("wb") as stream:
        stream.truncate(100 * 1024 * 1024)
    for path in (binary, large, tmp_path / "missing.yaml", tmp_path):
        with pytest.raises(BadAnswers) as caught:
            read_answers(shipped, path)
        assert "\n" not in str(caught.value)


# Signs that Unicode has not given out, for private use, odd spaces, marks of direction, a lone half of a pair.
UNFIT = ["\ud7fc", "\u0378", "\ue000", "\U0001fffe", "\u00a0", "\u3000", "\u200b", "\u2028", "\u202e", "\ud800", "\x85"]
HOLES = [
    "{x}", "{x}: y", "answers: {{{x}: y}}", "answers: {{grind: {x}}}", "answers: {{look: [{x}]}}", "sure: {{{x}: low}}",
    "answers: {{density_measured: {x}}}", "shop: [{x}]", "target: {x}", "allow_burn: {x}", "temperature: {x}", "*{x}",
    "!{x} a", "%{x}", "[{x}", "transcript: {x}", "transcript: 1\nsteps:\n- {{answered: {x}}}",
]  # fmt: skip


@pytest.mark.parametrize("sign", UNFIT, ids=ascii)
def test_signs_that_no_screen_can_show_are_written_out(shipped: Model, sign: str) -> None:
    """Wherever such a sign stands in a file, the sentence about it can be printed, and the sign is named by its number.
    (Python 3.11 takes U+D7FC for a sign that is not given out.)"""
    told = []
    for hole in HOLES:
        for text in (hole.format(x=sign), hole.format(x=f"a{sign}b"), hole.format(x=sign * 60)):
            try:
                answers_from_bytes(shipped, text.encode("utf-8", "surrogatepass"), "answers.yaml")
            except BadAnswers as error:
                assert str(error).isprintable(), ascii(text)
                told.append(str(error))
    assert len(told) >= 2 * len(HOLES)
    assert any(f"{ord(sign):x}" in sentence for sentence in told) or "UTF-8" in told[0]


@example("\ud7fc: a")
@given(st.text(max_size=200))
def test_no_text_can_break_the_reader(shipped: Model, text: str) -> None:
    """Whatever is in the file: a state, or one sentence without control characters."""
    try:
        answers_from_bytes(shipped, text.encode("utf-8", "surrogatepass"), "answers.yaml")
    except BadAnswers as error:
        assert str(error).isprintable()
