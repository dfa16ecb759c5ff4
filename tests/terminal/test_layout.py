"""The layout of a page at any size: nothing too wide or too high, nothing left out without a word."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered
from whichresin.session.interview import Interview
from whichresin.session.state import fold
from whichresin.terminal import words
from whichresin.terminal.fit import Section, fit
from whichresin.terminal.layout import Drawn, compose
from whichresin.terminal.lines import Line
from whichresin.terminal.look import ASCII, Look, bar, cells, cut, look_for, width_of
from whichresin.terminal.page import Page, question_page

ANSWERS = (
    Answered("part", "a very long name for a part that nobody would type"),
    Answered("duty", "none_of_these"),
    Answered("condition", "sound"),
    Answered("look", ("waxy", "opaque")),
    Answered("float_in_water", "sinks"),
)


@pytest.fixture(scope="module")
def interview(shipped: Model) -> Interview:
    return Interview(shipped, fold(ANSWERS))


def shown(drawn: Drawn) -> str:
    return " ".join("".join(text for _, text in row) for row in drawn.rows)


def pages_of(interview: Interview) -> list[Page]:
    return [question_page(interview, cue, 5, True, "[unsure] ") for cue in interview.model.cues.values()]


@settings(max_examples=40)
@given(data=st.data())
def test_any_page_fits_any_size(interview: Interview, data: st.DataObject) -> None:
    """From a watch to a wall: no row is wider than the screen, there are never more rows than it has."""
    page = pages_of(interview)[data.draw(st.integers(0, len(interview.model.cues) - 1), label="page")]
    columns, rows = data.draw(st.integers(20, 200), label="columns"), data.draw(st.integers(6, 70), label="rows")
    remark = [Line("word " * data.draw(st.integers(0, 60)))]
    drawn = compose(page, columns, rows, data.draw(st.sampled_from([Look(), ASCII])), remark, remark)
    assert len(drawn.rows) <= rows - 1
    assert max(width_of(row) for row in drawn.rows) <= columns, shown(drawn)


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (40, 24), (120, 40), (30, 12)])
def test_every_answer_is_in_sight_or_comes_with_the_space_bar(interview: Interview, columns: int, rows: int) -> None:
    """No answer is ever cut away in silence: screen after screen, all of them come up, once each."""
    for page in pages_of(interview):
        if rows < 24 and len(page.answers) < 10:
            continue
        skip, seen = 0, list[str]()
        while True:
            drawn = compose(page, columns, rows, ASCII, skip=skip)
            assert (drawn.more > 0) == (words.MORE_HERE.format(count=drawn.more) in shown(drawn))
            seen += [key for key, _ in page.answers[skip : skip + drawn.shown]]
            if not drawn.more:
                break
            skip += drawn.shown
        assert seen == [key for key, _ in page.answers], page.question


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (40, 24), (120, 40)])
def test_what_must_be_in_sight_is(interview: Interview, columns: int, rows: int) -> None:
    """At these sizes every shipped question shows its class, leader, rival, refuter, and where the rest is."""
    result = interview.result
    for page in pages_of(interview):
        if page.kind == "text":
            continue
        text = " ".join(shown(compose(page, columns, rows, ASCII)).split())
        for wanted in (page.question.split()[0], result.class_name, result.polymers[0].symbol, words.RIVAL_SHORT):
            assert wanted in text, (page.question, wanted)
        # Only many long answers in a narrow window push the refuter behind a key.
        assert words.AGAINST_IT in text or (columns < 70 and len(page.answers) > 9), page.question
        assert "q stop" in text
        assert page.how[:5] in text or "h how" in text
        if len(page.answers) <= (12 if columns >= 70 else 8):
            assert compose(page, columns, rows, ASCII).more == 0, page.question


def test_a_roomy_screen_says_everything(interview: Interview) -> None:
    """At 120x40: instructions, lesson, what fools it, cautions, all answers so far, what follows and its rule."""
    page = question_page(interview, interview.model.cues["grind"], 5, True)
    text = " ".join(shown(compose(page, 120, 44, ASCII)).replace("|", " ").split())
    ends = page.how.split()[-1], page.lesson.split()[-1]
    for wanted in (*ends, "look: waxy", "sinks-so-heavier-than-", words.CAUTIONS_SHORT):
        assert wanted in text, wanted


def test_the_figures_stand_beside_the_bars(interview: Interview) -> None:
    """No meaning by colour or length alone: each bar has its number, the class its word."""
    page = question_page(interview, interview.model.cues["grind"], 5, False)
    for row in compose(page, 80, 24, ASCII).rows:
        text = "".join(part for _, part in row)
        if "##" in text or "#." in text:
            assert " %" in text or interview.result.class_word in text


def test_the_rest_is_named_whole_beside_short_symbols(shipped: Model) -> None:
    """Two leaders with short symbols leave a narrow column; `others` must still be read there."""
    marked = Interview(shipped, events=[Answered("marking", ">PA66-GF3?<"), Answered("duty", "none_of_these")])
    page = question_page(marked, marked.model.cues["condition"], 2, False)
    shown = ["".join(part for _, part in row) for row in compose(page, 120, 40, ASCII).rows]
    assert any(f"{words.OTHERS} " in row for row in shown)


def test_no_attributes_no_styles(interview: Interview) -> None:
    """NO_COLOR: not one bold or reversed piece; the question stands between rules instead."""
    page = question_page(interview, interview.model.cues["grind"], 5, False)
    plain = Look(attributes=False)
    assert {style for row in compose(page, 80, 24, plain).rows for style, _ in row} == {""}
    styled = {style for row in compose(page, 80, 24, Look()).rows for style, _ in row}
    assert styled == {"", "bold", "reverse bold"}


@given(st.lists(st.integers(1, 9), min_size=1, max_size=6), st.integers(0, 40))
def test_sections_give_way_in_order_and_only_as_far_as_needed(heights: list[int], room: int) -> None:
    """The first in the order shrinks first, row by row; the next only when that is not enough."""
    sections = [
        Section(str(number), [[[]] * left for left in range(height, -1, -1)]) for number, height in enumerate(heights)
    ]
    order = [section.name for section in sections for _ in section.versions]
    taken = fit(sections, room, order)
    assert taken == sum(len(section.rows) for section in sections) == min(room, sum(heights))
    given_way = [section.at for section in sections]
    last = max((number for number, steps in enumerate(given_way) if steps), default=0)
    assert all(at == height for at, height in zip(given_way[:last], heights[:last], strict=True))


@given(st.floats(0, 1), st.integers(1, 60))
def test_a_bar_is_as_long_as_it_should_be(share: float, width: int) -> None:
    """Always the same width, full only at the top, and never empty for what is shown as 1 % or more."""
    drawn = bar(share, width, ASCII)
    assert len(drawn) == width
    assert drawn.count("#") == min(width, max(round(share * width), 1 if share >= 0.005 else 0))


@given(st.text(max_size=40), st.integers(3, 30))
def test_cut_text_fits(text: str, width: int) -> None:
    """Wide signs count double; what is cut ends in dots."""
    assert cells(cut(text, width)) <= width
    assert cut(text, width) == text or cut(text, width).endswith("...")


def test_the_signs_follow_the_encoding() -> None:
    """Block signs where they can be shown, else the signs that every console has."""
    assert look_for("utf-8", True).full == "\u2588"
    for encoding in ("ascii", "cp1252", "latin-1", "no such thing"):
        assert look_for(encoding, True).full == "#"
