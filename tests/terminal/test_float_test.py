"""A float liquid to be made, in the guided interview: cautions, recipe, keys, and what is typed wrongly."""

from __future__ import annotations

import io

import pytest

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, AtBench, Event
from whichresin.session.interview import Interview
from whichresin.session.result import Result
from whichresin.session.state import State
from whichresin.session.typed import density_typed
from whichresin.terminal.guided import Guided
from whichresin.terminal.plain import PlainFront, run_plainly

ANSWERS: dict[str, str | tuple[str, ...]] = {
    "duty": "none_of_these",
    "condition": "sound",
    "look": ("smooth_both_sides", "no_fibres"),
    "moulding_marks": ("weld_line", "mould_seam"),
    "flex": "rigid",
    "grind": "powder",
    "grind_fast": "smears",
    "hot_needle": "softens_chars",
    "float_in_water": "sinks",
}
LATE = State(
    {cue: Answered(cue, value) for cue, value in ANSWERS.items()},
    declined=("density_measured", "part", "marking", "clarity", "boiling_water", "tap_ring", "foam_core"),
)


def run(model: Model, typed: list[str], columns: int = 80, state: State = LATE) -> tuple[str, Result, list[Event]]:
    """What an interview that comes to a liquid wrote, its last result and its events."""
    out, seen = io.StringIO(), list[Event]()
    front = PlainFront(io.StringIO("".join(f"{line}\n" for line in typed)), out, width=lambda: columns)
    result = run_plainly(Guided(Interview(model, state), front, seen.append).run())
    return out.getvalue(), result, seen


@pytest.mark.parametrize("columns", [40, 80])
def test_caution_then_recipe_then_check_then_answers(shipped: Model, columns: int) -> None:
    """In this order, in lines that fit: nobody mixes before the caution was read."""
    text, _, _ = run(shipped, ["q"], columns)
    flat = " ".join(text.split())
    order = ["WARNING", "Make it:", "For a cup of", "washing-up", "known density", "floats up", "d don't know"]
    places = [flat.index(words) for words in order]
    assert places == sorted(places)
    asked = [line for line in text.splitlines() if not line.startswith("Your key")]
    assert max(map(len, asked)) < columns


def test_one_key_answers_and_the_interview_goes_on(shipped: Model) -> None:
    """The result enters with the density of the liquid as made and its doubt."""
    _, result, events = run(shipped, ["3", "q"])
    (answer,) = [event for event in events if isinstance(event, Answered)]
    assert answer.cue == "float_liquids" and answer.uncertainty is not None
    ((density, word),) = result.answered["float_liquids"]
    assert word in ("neutral", "sinks") and 1.0 < density < 1.25


def test_another_temperature_and_another_liquid(shipped: Model) -> None:
    """The recipe follows the bench; ice and words are told; a liquid of one's own counts as well."""
    text, result, _ = run(shipped, ["5", "0", "5", "70", "5", "warm", "5", "18", "4", "1.05", "1", "", "q"])
    flat = " ".join(text.split())
    assert "near ice" in flat and "it is 21 C" in flat and "no temperature" in flat and "at 18 C" in flat
    assert result.answered["float_liquids"] == [[1.05, "floats"]]


def test_the_bench_that_was_told_is_the_same_after_resuming(shipped: Model) -> None:
    """The recipe, the density that is answered and the result are those of the told temperature, then and later."""
    _, result, events = run(shipped, ["5", "15", "1", "q"])
    assert events[0] == AtBench(15.0)
    again = Interview(shipped, LATE, events)
    assert again.state.celsius == 15.0 and again.result == result
    made = Interview(shipped, LATE, events[:1]).result.next
    usual = Interview(shipped, LATE).result.next
    assert made is not None and made.liquid is not None and usual is not None and usual.liquid is not None
    assert made.liquid.celsius == 15.0
    assert (made.liquid.grams_per_100_g_water, made.liquid.density_g_cm3) != (
        usual.liquid.grams_per_100_g_water, usual.liquid.density_g_cm3,
    )  # fmt: skip
    (answer,) = [event for event in events if isinstance(event, Answered)]
    assert answer.value == ((round(made.liquid.density_g_cm3, 4), made.values[0][0]),)


def test_the_temperature_is_no_answer_to_take_back(shipped: Model) -> None:
    """`b` after it takes back the answer before it; the bench stays as warm as it is."""
    _, _, events = run(shipped, ["5", "15", "b", "q"])
    again = Interview(shipped, LATE, events)
    assert again.state.celsius == 15.0


def test_a_bench_where_nothing_can_be_made_goes_on(shipped: Model) -> None:
    """In a cold barn no recipe holds: that is said, and the next question comes."""
    text, result, events = run(shipped, ["5", "3", "q"])
    assert AtBench(3.0) in events and "at 3 C: on with the other questions" in " ".join(text.split())
    assert "float_liquids" not in result.answered


def test_what_if_and_why_know_the_results(shipped: Model) -> None:
    """Trying an answer changes nothing; why gives the chance of each result."""
    text, result, _ = run(shipped, ["w", "x", "1", "q"])
    assert "floats up (" in text and "If it were floats in" in text
    assert "float_liquids" not in result.answered


def test_alcohol_asks_for_consent_before_its_recipe(shipped: Model) -> None:
    """A liquid that burns: danger first, then a yes, then the recipe; a no skips it."""
    made = Interview(shipped, LATE).result.next
    assert made is not None
    floats = {"duty": "none_of_these", "condition": "sound", "float_in_water": "floats", "look": ("waxy", "no_fibres")}
    state = State(
        {cue: Answered(cue, value) for cue, value in floats.items()},
        declined=("density_measured", "part", "marking", "nail", "sound", "flex", "grind", "grind_fast", "clarity"),
        target="polymer",
    )
    text, _, _ = run(shipped, ["y", "q"], state=state)
    flat = " ".join(text.split())
    assert flat.index("DANGER") < flat.index("Ready, and protected?") < flat.index("Make it:")
    assert "ethanol" in flat
    text, result, _ = run(shipped, ["n", "q"], state=state)
    assert "Make it:" not in text and "float_liquids" in result.declined


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0.62 5.02", "mixed up"),
        ("5.02 0", ""),
        ("0 0.62", "not above zero"),
        ("-5 1", "not above zero"),
        ("5.02 -0.3", "sinker"),
        ("5.02 5.02", "equals"),
        ("5.02kg 0.62kg", "not kg"),
        ("5.02 0.62 at 100", "too hot"),
        ("5.02 0.62 at 0", "near ice"),
        ("5.02 0.62 at warm", "no temperature"),
        ("1140", "if it is kg/m3, type 1.14"),
        ("1140 kg/m3", "is 1.14 g/cm3"),
        ("5.02 g", "One weight gives no density"),
        ("1.2 5 30 4", "three with a sinker"),
        ("4.8 ml", "A volume alone"),
        ("5.02 g 4.8 l", "4.8 l is 4800 ml"),
        ("5.02 kg 4.8 ml", "not kg: 5.02 kg is 5020 g"),
        ("5.02 g 0.62 g 4.8 ml", "one weight and one volume"),
        ("5.02 g 54.8 50 ml", "mixed up"),
        ("5.02 g 0.8 ml", "less than one mark of 1 ml"),
        ("5.02 g -4.8 ml", "cannot be"),
        ("5.02 g 48 ml", "outside 0.2 to 5"),
        ("5.02 g 4.8 ml marks wide", "no distance between marks"),
        ("-5.02 g 4.8 ml", "not above zero"),
        ("heavy", "is not a number"),
        ("-1", "cannot be"),
    ],
)
def test_a_weighing_typed_wrongly_is_told_in_one_sentence(shipped: Model, typed: str, words: str) -> None:
    """Which figure is wrong and what to do; the question stays."""
    state = State({c: a for c, a in LATE.answers.items() if c != "float_in_water"}, declined=("part", "marking"))
    text, result, _ = run(shipped, ["g", "density of a clean chip", "1", typed, "q"], state=state)
    assert words in " ".join(text.split())
    assert ("density_measured" in result.answered) == (words == "")


@pytest.mark.parametrize(
    ("typed", "density"),
    [
        ("1.14", 1.14),
        ("1,14 g/cm3", 1.14),
        ("5.02 0.62", 1.138),
        ("5,02 g 0,62 g", 1.138),
        ("5.02 0.62 at 18", 1.139),
        ("1.20 20.17 20.30", 0.900),
        ("5.02 g 4.8 ml", 1.047),
        ("5.02 4.8 ml", 1.047),
        ("5,02g 4,8cm3", 1.047),
        ("4.8 ml 5.02 g", 1.047),
        ("5.02 50 54.8 ml marks 0.2", 1.047),
    ],
)
def test_the_ways_to_type_a_density(shipped: Model, typed: str, density: float) -> None:
    """A figure, two weights, three with a sinker, a temperature, a volume; comma or point, unit or none.

    A volume: 5.02 / 4.8 = 1.0458, and 0.0012 for the air that bears the piece on the scale.
    """
    state = State({c: a for c, a in LATE.answers.items() if c != "float_in_water"}, declined=("part", "marking"))
    _, result, _ = run(shipped, ["g", "density of a clean chip", "1", typed, "q"], state=state)
    assert result.answered["density_measured"] == pytest.approx(density, abs=0.002)


@pytest.mark.parametrize(
    ("typed", "mark"),
    [("25.10 g 24 ml", 1.0), ("25.10 g 24.0 ml", 1.0), ("25.10 g 24.00 ml", 0.1), ("25.10 g 24 ml mark 2", 2.0)],
)
def test_a_volume_is_as_rough_as_the_marks_of_its_jar(typed: str, mark: float) -> None:
    """Two levels read to half a mark: u = rho sqrt(2) 0.5 mark / sqrt(3) / V (JCGM 100:2008, 4.3.7 and equation 10).

    Nobody reads finer than tenths between two marks, so figures alone never make a jar finer than that.
    """
    density, doubt = density_typed(typed)
    assert doubt == pytest.approx(density * 2**0.5 * 0.5 * mark / 3**0.5 / 24.0, rel=0.01)
    weighed = density_typed("25.10 1.10").uncertainty
    assert doubt is not None and weighed is not None and (doubt > 3 * weighed or mark < 1)


def test_a_rough_volume_contradicts_no_float_test_and_ends_none(shipped: Model) -> None:
    """A piece that floats and weighs 1.05 give or take 0.09 is no contradiction, and floating is still worth asking;
    1.05 from two weights is."""
    known = {"duty": LATE.answers["duty"], "float_in_water": Answered("float_in_water", "floats")}
    start = State(known, declined=("part", "marking"))
    for typed, contradicts in (("5.02 g 4.8 ml", False), ("5.02 0.24", True)):
        density, doubt = density_typed(typed)
        state = start.with_answer(Answered("density_measured", density, "medium", doubt))
        assert density == pytest.approx(1.05, abs=0.005)
        assert bool(Interview(shipped, state).result.contradictions) == contradicts
    text, _, _ = run(shipped, ["t", "5.02 g 4.8 ml", "q"], state=start)
    assert "That is rough" in text and "Follows: heavier than water" not in " ".join(text.split())
