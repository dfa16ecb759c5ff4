"""Density pictures: what stands left of what is lighter, in signs and in SVG; nothing too wide, no colour needed."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge.liquids import shipped_shelf
from whichresin.knowledge.model import Model
from whichresin.physics.liquids import Bench
from whichresin.physics.propagation import Measured
from whichresin.session.density_picture import DensityPicture, Mark, Span, of_interview, of_ladder, of_weighing
from whichresin.session.events import Answered
from whichresin.session.interview import Interview
from whichresin.session.recipes import Wish, fewest
from whichresin.session.state import State
from whichresin.session.weighing import Readings, Scale, weighed_document
from whichresin.terminal.density_lines import density_lines
from whichresin.terminal.density_svg import density_svg

NAMES = ("PP", "PE-HD", "ABS", "PA66", "PC", "POM")
_SVG = "{http://www.w3.org/2000/svg}"

densities = st.floats(0.85, 2.2)
pictures = st.builds(
    DensityPicture,
    st.lists(
        st.tuples(densities, st.floats(0.002, 0.2), st.none() | st.floats(0.0, 1.0)).map(
            lambda row: Span("PP-X", row[0], row[0] + row[1], row[2])
        ),
        min_size=1,
        max_size=8,
    ).map(tuple),
    st.lists(densities, max_size=5).map(lambda found: tuple(Mark("salt", d) for d in sorted(found))),
    st.none() | st.tuples(densities, st.floats(0.0, 0.1)).map(lambda row: (row[0] - row[1], row[0], row[0] + row[1])),
)


@settings(max_examples=60)
@given(pictures, st.integers(24, 120))
def test_no_picture_is_too_wide_or_fails(picture: DensityPicture, width: int) -> None:
    """Any spans, liquids and measured value fit the width in plain ASCII, a row for each; the SVG is sound XML."""
    lines = density_lines(picture, width)
    assert all(len(line.text) <= width and line.text.isascii() for line in lines)
    assert sum("=" in line.text or "#" in line.text or "*" in line.text for line in lines) >= len(picture.spans)
    ElementTree.fromstring(density_svg(picture, "a <title> & more"))


@pytest.mark.parametrize("width", [39, 79])
def test_a_ladder_puts_every_liquid_between_what_it_parts(shipped: Model, width: int) -> None:
    """In the row of what floats the bar is left of the liquid's line, in the row of what sinks right of it."""
    document = fewest(shipped, shipped_shelf(), NAMES, Bench(), Wish())
    lines = [line.text for line in density_lines(of_ladder(shipped, NAMES, document["liquids"]), width)]
    rows = {line.split()[0]: line for line in lines[: len(NAMES)]}
    for place, one in enumerate(document["liquids"]):
        for name, row in rows.items():
            at = [column for column, sign in enumerate(row) if sign in "|#"][place]
            bar = [column for column, sign in enumerate(row) if sign in "=#"]
            middle = sum(bar) / len(bar)
            assert (middle < at) == (name in one["floats"]), (name, one["density_g_cm3"])


def test_the_svg_keeps_the_scale(shipped: Model) -> None:
    """Bars as wide as their ranges, dashed lines at their densities, named in words for those who do not see it."""
    document = fewest(shipped, shipped_shelf(), NAMES, Bench(), Wish())
    picture = of_ladder(shipped, NAMES, document["liquids"])
    root = ElementTree.fromstring(density_svg(picture, "Six plastics"))
    bars = [r for r in root.iter(f"{_SVG}rect") if r.get("stroke")]
    widths = [float(bar.get("width", 0)) / (s.high - s.low) for bar, s in zip(bars, picture.spans, strict=True)]
    assert len(bars) == len(NAMES) and max(widths) == pytest.approx(min(widths), rel=0.02)
    drawn = [float(line.get("x1", 0)) for line in root.iter(f"{_SVG}line") if line.get("stroke-dasharray")]
    assert drawn == sorted(drawn) and len(drawn) == len(document["liquids"])
    text = root.findtext(f"{_SVG}desc") or ""
    assert all(name in text for name in NAMES)


def test_a_weighing_shows_its_value_between_its_limits(shipped: Model) -> None:
    """The measured row, and 95 in 100 in words; chances beside the materials where there is room."""
    readings = Readings([5.02], [0.62])
    document = weighed_document(shipped, shipped_shelf(), readings, Scale(0.01), Measured(0.9975, 0.0004))
    text = "\n".join(line.text for line in density_lines(of_weighing(shipped, document), 79))
    assert "measured" in text and "95 in 100 from 1.13" in text and "PA6" in text and " %" in text


def test_an_interview_shows_what_is_left_and_what_was_tried(shipped: Model) -> None:
    """Materials with their chances; a liquid in which the piece was tried says what it did there."""
    state = State().with_answer(Answered("float_in_water", "sinks"))
    state = state.with_answer(Answered("density_measured", 1.14, uncertainty=0.005))
    picture = of_interview(Interview(shipped, state))
    assert picture.measured is not None and picture.measured[1] == 1.14
    assert [mark.label for mark in picture.liquids] == ["sank in it"]
    assert any(span.label == "PA6" and span.probability and span.probability > 0.1 for span in picture.spans)
