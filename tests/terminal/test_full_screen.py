"""The full screen at three sizes, key by key in an emulated terminal: every power, the panel, cautions, resizing."""

from __future__ import annotations

import asyncio

import pytest
from emulated import OPENED, Bench

from whichresin.knowledge.model import Model
from whichresin.session.events import Allowed, Answered, Declined, Noted, PutOff, TakenBack, WhatIf
from whichresin.terminal import words

SIZES = [(80, 24), (40, 24), (120, 40)]


def squeezed(text: str) -> str:
    """Text without line breaks, so that a wrapped sentence is found."""
    return " ".join(text.replace("\u2502", " ").split())


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_question_stands_with_its_answers_and_what_is_known(shipped: Model, columns: int, rows: int) -> None:
    """In sight at every size: question, every answer, class, leader, rival, what would refute, the keys."""
    cue = shipped.cues["float_in_water"]

    async def story(bench: Bench) -> None:
        screen = await bench.press("g", "float in water\r", "1\r")
        flat = squeezed(screen)
        assert cue.question in flat
        for value in cue.values:
            assert value.text.split()[0] in flat
        result = bench.interview.result
        leader = result.polymers[0]
        for wanted in (result.class_name, leader.symbol, f"{words.RIVAL_SHORT}:", f"{words.AGAINST_IT}:", "q stop"):
            assert wanted in flat, screen
        assert len(screen.splitlines()) == rows

    Bench(shipped, columns, rows).run(story)


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_an_interview_by_single_keys_to_its_end(shipped: Model, columns: int, rows: int) -> None:
    """Answers are single keys; the ending says class, polymer and filler, and Enter finishes."""

    async def story(bench: Bench) -> None:
        for _ in range(30):
            if words.ENDING in squeezed(bench.shown()):
                break
            await bench.press("1")
            if words.MARKS_PROMPT.strip() in squeezed(bench.shown()):
                await bench.press("\r")
            if bench.shown().rstrip().endswith(words.READ_PROMPT.strip()):
                await bench.press("x")
            if words.HAZARD_CONSENT.strip() in bench.shown():
                await bench.press("n")
        assert words.CLASS in squeezed(bench.shown()) or "NOT on this tool's word" in squeezed(bench.shown())
        await bench.press("\r")
        result = await bench.ended()
        assert len(result.answered) > len(OPENED) and not bench.flow.left

    Bench(shipped, columns, rows).run(story)


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_every_power_comes_up_and_goes_back_to_the_question(shipped: Model, columns: int, rows: int) -> None:
    """How, why, so far, all reasons, more keys, kept back: each a page; any key goes back; nothing is told."""

    async def story(bench: Bench) -> None:
        await bench.press("g", "nail\r", "1\r")
        question = squeezed(bench.shown())
        for key, wanted in (
            ("h", "How:"), ("w", "minutes of wrong work"), ("s", words.SO_FAR), ("?", words.MORE_KEYS_TITLE),
            ("y", "Somebody looked"),
        ):  # fmt: skip
            assert wanted in squeezed(await bench.press(key)), bench.shown()
            await bench.press("z")  # no key of the list of keys either
            assert squeezed(bench.shown()) == question
        assert "Burn tests are off" in squeezed(await bench.press("k", "\r"))
        assert "minutes" in squeezed(await bench.press("x", "k", "knife\r"))
        assert squeezed(await bench.press("x")) == question
        assert bench.told == []

    Bench(shipped, columns, rows).run(story)


def test_a_key_of_the_list_of_keys_does_what_the_list_says(shipped: Model) -> None:
    """Whoever reads `n keep a note` presses n; the list must not swallow it, and any other key goes back."""

    async def story(bench: Bench) -> None:
        question = bench.interview.result.next
        await bench.press("?", "n")
        await bench.press("a scratch\r")
        assert bench.interview.state.notes == ("a scratch",)
        screen = await bench.press("?", "z")
        assert words.MORE_KEYS_TITLE not in screen and bench.interview.result.next == question

    Bench(shipped, 80, 24).run(story)


def test_answers_change_back_put_off_note_and_measure(shipped: Model) -> None:
    """Each power sends its event and no other; the screen says what came of it."""

    async def story(bench: Bench) -> None:
        await bench.press("g", "float in water\r", "1\r", "u", "2")
        assert bench.told == [Answered("float_in_water", "sinks", "low")]
        assert "Learned" in bench.shown() and "heavier than water" in squeezed(bench.shown())
        await bench.press("p", "x")  # x: the cautions of the next test are read
        assert isinstance(bench.told[-1], PutOff)
        await bench.press("n", "hairline\r")
        assert bench.told[-1] == Noted("hairline")
        await bench.press("c", "4\r")
        assert "Your answer so far" in bench.shown()
        await bench.press("1")
        assert bench.told[-1] == Answered("float_in_water", "floats")
        await bench.press("t", "5.02 0.62\r")
        assert isinstance(bench.told[-1], Answered) and bench.told[-1].value == pytest.approx(1.138, abs=0.001)
        await bench.press("m", ">PA66-GF30<\r")
        assert bench.told[-1] == Answered("marking", ">PA66-GF30<")
        await bench.press("b")
        assert bench.told[-1] == TakenBack()
        before = len(bench.told)
        await bench.press("r", "3\r")
        taken = bench.told[before:]
        assert taken and set(map(type, taken)) == {TakenBack}
        assert list(bench.interview.state.answers) == ["part"] and "marking" in bench.interview.state.declined

    Bench(shipped).run(story)


def test_what_if_and_supposing_tell_nothing(shipped: Model) -> None:
    """Trying an answer out, and 'I think it is', are looks and not answers."""

    async def story(bench: Bench) -> None:
        await bench.press("g", "float in water\r", "1\r")
        assert "If it were sinks" in squeezed(await bench.press("x", "2"))
        assert "PA6" in squeezed(await bench.press("z", "i", "nylon 6\r"))
        assert words.NOT_A_MATERIAL.split("{")[0] in await bench.press("z", "i", "xyzzy\r")
        assert bench.told == [WhatIf("float_in_water", "sinks")]
        assert "float_in_water" not in bench.interview.state.answers

    Bench(shipped).run(story)


def test_several_marks_are_ticked_and_handed_over_together(shipped: Model) -> None:
    """Each key ticks or unticks; Enter with nothing ticked asks again."""

    async def story(bench: Bench) -> None:
        await bench.press("g", "see and feel\r", "1\r")
        assert words.NOTHING_MARKED in squeezed(await bench.press("\r"))
        screen = await bench.press("1", "4", "5", "5")
        assert screen.count("[x]") == 2
        assert (await bench.press("h", "x")).count("[x]") == 2  # a look at the how takes no tick away
        await bench.press("\r")
        values = [value.id for value in shipped.cues["look"].values]
        assert bench.told == [Answered("look", (values[0], values[3]))]

    Bench(shipped).run(story)


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_yes_counts_only_when_all_cautions_have_been_shown(shipped: Model, columns: int, rows: int) -> None:
    """Every caution of the needle comes up before its instructions; a yes before the last page is not taken."""
    cue = shipped.cues["hot_needle"]

    async def story(bench: Bench) -> None:
        seen = squeezed(await bench.press("g", "hot needle\r", "1\r"))
        assert "A safer test may do as well" in seen
        for _ in range(30):
            screen = await bench.press("y")
            if words.READ_ON not in squeezed(screen):
                break
            assert cue.how[:20] not in squeezed(screen)
            seen += " " + squeezed(await bench.press(" "))
        for caution in cue.cautions:
            for sentence in shipped.cautions[caution].text.split(". "):
                assert " ".join(sentence.split()[:4]) in seen, sentence
        assert "1" in bench.shown() and cue.values[0].text.split()[0] in bench.shown()
        await bench.press("1")
        assert bench.told == [Answered("hot_needle", cue.values[0].id)]

    Bench(shipped, columns, rows).run(story)


def test_no_and_later_and_the_safer_test_leave_the_hazard_alone(shipped: Model) -> None:
    """`n` leaves the test out, `p` puts it off, `a` goes to the safer one; none shows the instructions."""
    how = shipped.cues["hot_needle"].how[:25]

    async def story(bench: Bench) -> None:
        for key, wanted in (("n", Declined("hot_needle")), ("p", PutOff("hot_needle"))):
            screen = await bench.press("g", "hot needle\r", "1\r", key)
            assert bench.told[-1] == wanted and how not in screen
        before = len(bench.told)
        assert how not in await bench.press("g", "hot needle\r", "1\r", "h", "z")
        safer = bench.interview.safer("hot_needle")
        assert safer is not None and safer.question in squeezed(await bench.press("a"))
        assert len(bench.told) == before

    Bench(shipped).run(story)


def test_burn_tests_stay_off_until_allowed(shipped: Model) -> None:
    """Going to a flame asks for leave first; a no changes nothing, a yes leads to the cautions, not to the flame."""

    async def story(bench: Bench) -> None:
        screen = squeezed(await bench.press("g", "colour is the flame\r", "1\r"))
        assert "Burn tests are off" in screen
        await bench.press("n")
        assert bench.told == []
        screen = squeezed(await bench.press("g", "colour is the flame\r", "1\r", "y"))
        assert bench.told == [Allowed("burn")] and "DANGER" in screen
        assert shipped.cues["flame"].how[:20] not in screen

    Bench(shipped).run(story)


def test_a_resize_in_the_middle_redraws_the_same_question(shipped: Model) -> None:
    """80x24, 40x24, 120x40 and back: the question, all answers and the ticks stay; the next key counts."""
    cue = shipped.cues["look"]

    async def story(bench: Bench) -> None:
        first = await bench.press("g", "see and feel\r", "1\r", "1")
        for columns, rows in (*SIZES[1:], SIZES[0]):
            screen = await bench.resize(columns, rows)
            assert "What do you see and feel" in squeezed(screen) and "[x]" in screen
            assert max(map(len, screen.splitlines())) <= columns
            seen = squeezed(screen)
            while words.MORE_HERE.split("}")[1].strip() in seen.rsplit(words.NAME, 1)[-1]:
                more = squeezed(await bench.press(" "))
                seen += more
                if words.FROM_START in more:
                    break
            for value in cue.values:
                assert value.text.split()[-1] in seen, (columns, value.text)
        assert screen.splitlines()[1] == first.splitlines()[1]
        await bench.press("\r")
        assert bench.told == [Answered("look", (cue.values[0].id,))]

    Bench(shipped).run(story)


def test_ten_thousand_keys_at_once_are_no_answer(shipped: Model) -> None:
    """Pasted with or without the terminal's paste signs: one sentence, no answer, and the next key works."""

    async def story(bench: Bench) -> None:
        await bench.press("g", "nail\r", "1\r")
        assert "came at once" in squeezed(await bench.press("\x1b[200~" + "1" * 10_000 + "\x1b[201~"))
        assert bench.told == []
        await bench.press("1y2dq\r" * 1_700)
        assert bench.told == [] and "10200 characters came at once" in squeezed(bench.shown())
        await asyncio.sleep(1.1)
        await bench.press("2")
        assert bench.told == [Answered("nail", shipped.cues["nail"].values[1].id)]

    Bench(shipped).run(story)


def test_a_long_line_typed_or_pasted_is_cut_and_harmless(shipped: Model) -> None:
    """Free words: control signs and all beyond the limit are left out."""

    async def story(bench: Bench) -> None:
        await bench.press("n")
        await bench.press("\x1b[200~" + "a\x07b\nc " * 3_000 + "\x1b[201~")
        await bench.press("\r")
        (note,) = bench.told
        assert isinstance(note, Noted) and len(note.text) <= 200 and note.text.isprintable()

    Bench(shipped).run(story)


@pytest.mark.parametrize(("key", "left"), [("\x03", True), ("\x04", True)])
def test_leaving_in_the_middle_keeps_it_open(shipped: Model, key: str, left: bool) -> None:
    """Ctrl-C and Ctrl-D leave at once, wherever one is; the interview stays open."""

    async def story(bench: Bench) -> None:
        for way in ((), ("n",), ("h",), ("g", "hot needle\r", "1\r")):
            if way:
                await bench.press(*way)
                await bench.press("x" if way == ("h",) else "")
        bench.pipe.send_text(key)
        await bench.ended()
        assert bench.flow.left is left

    Bench(shipped).run(story)


def test_the_questions_ahead_are_counted_while_nobody_presses_a_key(shipped: Model) -> None:
    """An end in sight: the number comes up by itself, and is what the interview says."""

    async def story(bench: Bench) -> None:
        count = bench.interview.questions_left()
        wanted = words.LEFT_SHORT.format(count=(count or 0) - 1)
        for _ in range(400):
            if wanted in bench.shown():
                return
            await asyncio.sleep(0.02)
        raise AssertionError(bench.shown())

    Bench(shipped, pause=0.0).run(story)


def test_the_lesson_stands_beside_the_test(shipped: Model) -> None:
    """With the tutor: why it works, and what fools it, where the screen has room; without, neither."""
    cue = shipped.cues["float_in_water"]

    async def story(bench: Bench) -> str:
        return squeezed(await bench.press("g", "float in water\r", "1\r"))

    taught = Bench(shipped, 120, 40, tutor=True).run(story)
    assert cue.lesson[:30] in taught and cue.fooled_by[:30] in taught
    assert cue.lesson[:30] in Bench(shipped, 80, 24, tutor=True).run(story)
    assert cue.lesson[:30] not in Bench(shipped, 120, 40).run(story)


def test_no_colour_is_ever_asked_for(shipped: Model) -> None:
    """Light and dark grounds: bold and reverse only, and not even those under NO_COLOR."""

    async def story(bench: Bench) -> str:
        await bench.press("g", "float in water\r", "1\r")
        return bench.paper.written

    import re

    for attributes in (True, False):
        written = Bench(shipped, attributes=attributes).run(story)
        codes = {code for found in re.findall(r"\x1b\[([0-9;]*)m", written) for code in found.split(";")}
        assert codes <= ({"", "0", "1", "7"} if attributes else {"", "0"}), codes
