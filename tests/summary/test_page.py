"""The page of an interview: one file that needs nothing else, says what the result says, and cannot be led astray."""

from __future__ import annotations

import re
import shutil
import subprocess
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, AtBench, Declined, Event, Noted, TakenBack, WhatIf
from whichresin.session.record import transcript_from
from whichresin.session.transcript import read_transcript
from whichresin.summary import words
from whichresin.summary.chart import WIDTH, chart
from whichresin.summary.lines import sheet_lines
from whichresin.summary.made import Made, made
from whichresin.summary.page import page
from whichresin.summary.sheet import Point

TRANSCRIPTS = Path(__file__).parents[2] / "transcripts"
EVIL = "<script>alert(1)</script><img src=x onerror=alert(2)> \" ' & \x1b[31m </style>"
EVENTS: list[Event] = [
    Answered("part", EVIL),
    Declined("marking"),
    Answered("duty", "none_of_these"),
    Answered("grind", "powder"),
    TakenBack(),
    WhatIf("nail", "marks"),
    AtBench(16.5),
    Answered("grind", "smears", "low"),
    Answered("density_measured", 1.05, "medium", 0.004),
    Noted(EVIL),
]
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None)


@pytest.fixture(scope="module")
def awkward(shipped: Model) -> Made:
    return made(shipped, transcript_from(EVENTS, (), "decision"), ["Workshop <b>North</b>"])


@pytest.fixture(scope="module")
def usual(shipped: Model) -> Made:
    return made(shipped, read_transcript(shipped, TRANSCRIPTS / "lying-fan-shroud.yaml"))


class Reader(HTMLParser):
    """Tags with attributes, and the text of the body."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text += data


def flat(text: str) -> str:
    return " ".join(text.replace("\xa0", " ").split())


def test_the_temperature_of_the_bench_stands_among_the_steps(awkward: Made) -> None:
    """Who reads later must know for which bench the liquids were made."""
    assert "The bench was at 16.5 C" in page(awkward.sheet)
    assert any("The bench was at 16.5 C" in line.text for line in sheet_lines(awkward.sheet, 100))


def test_free_text_stays_text(awkward: Made) -> None:
    """A note or a part's name may hold anything; it is shown and never acted on."""
    read = Reader(page(awkward.sheet))
    assert not read.open
    assert {"script", "img", "b"}.isdisjoint(tag for tag, _ in read.tags)
    assert not any(name.startswith("on") for _, attributes in read.tags for name in attributes)
    assert "<script>alert(1)</script>" in flat(read.text) and "Workshop <b>North</b>" in flat(read.text)
    assert "\x1b" not in read.text
    said = "\n".join(line.text for line in sheet_lines(awkward.sheet, 60))
    assert "\x1b" not in said and "<script>" in said


@given(st.text(max_size=40))
def test_no_text_gets_out_of_its_place(text: str) -> None:
    """Whatever a line of the picture is called, the picture stays well-formed and keeps its parts."""
    point = Point(0, {"thermoset": 0.5}, 0.2, {text: 0.5})
    root = ElementTree.fromstring(chart([point, point]))
    assert {child.tag.rpartition("}")[2] for child in root.iter()} <= {"svg", "text", "line", "polyline", "circle"}


def test_needs_nothing_else(usual: Made) -> None:
    """No network and no script: every address is inside the page, and the page forbids itself the rest."""
    text = page(usual.sheet)
    read = Reader(text)
    links = [attributes["href"] for tag, attributes in read.tags if tag == "a"]
    anchors = {attributes["id"] for _, attributes in read.tags if "id" in attributes}
    assert links and all(link and link.startswith("#") and link[1:] in anchors for link in links)
    assert not any({"src", "data", "poster"} & attributes.keys() for _, attributes in read.tags)
    assert "default-src 'none'" in text and "@import" not in text and "url(" not in text


def test_says_what_the_result_says(usual: Made) -> None:
    """Made from the same result as text and JSON: verdict, cautions, reasons, rules and sources are all there."""
    text, result = flat(Reader(page(usual.sheet)).text), usual.result
    lines = flat(" ".join(line.text for line in sheet_lines(usual.sheet, 10_000)))
    for shown in (text, lines):
        for caution in result.cautions:
            assert flat(caution.text) in shown
        for reason in result.because:
            assert flat(reason.text) in shown and (not reason.rule or f"rule {reason.rule}" in shown)
            assert all(source in shown for source in reason.source)
        for said in (*result.open_points, *result.contradictions):
            assert flat(said.text) in shown
        assert result.cells[0].name in shown and result.polymers[0].symbol in shown
    assert text.index(flat(result.cautions[0].text)) < text.index(words.COURSE)


def test_every_step_is_told_as_it_came(awkward: Made) -> None:
    """Taken back, only tried, unsure: a reader sees it, and what does not count has no number."""
    said = {(step.said, step.how): step for step in awkward.sheet.steps}
    hows = [(step.said, step.how, step.counts) for step in awkward.sheet.steps]
    assert (words.TAKEN_BACK, "", True) in hows
    assert any(how == words.TRIED and not counts for _, how, counts in hows)
    assert any("unsure" in how for _, how in said)
    assert len(awkward.sheet.points) == 1 + sum(step.counts for step in awkward.sheet.steps)


def test_the_picture_has_a_point_for_every_step(usual: Made) -> None:
    """Each line runs through all steps, inside the picture, at the height of its chance."""
    picture = chart(usual.sheet.points)
    root = ElementTree.fromstring(picture)
    lines = [child for child in root.iter() if child.tag.endswith("polyline")]
    assert len(lines) >= 4
    for line in lines:
        pairs = [tuple(map(float, pair.split(","))) for pair in line.attrib["points"].split()]
        assert len(pairs) == len(usual.sheet.points)
        assert all(0 <= x <= WIDTH for x, _ in pairs)
    last = [float(line.attrib["points"].split(",")[-1]) for line in lines]
    shares = [1 - (y - 22) / 120 for y in last[:1]]
    assert shares[0] == pytest.approx(usual.sheet.points[-1].classes["thermoplastic"], abs=0.01)


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine: the page is not looked at in a browser")
@pytest.mark.parametrize("width", [360, 794])
def test_in_a_real_browser(awkward: Made, usual: Made, tmp_path: Path, width: int) -> None:
    """Nothing runs, nothing is wider than a phone or a sheet, and the picture is drawn."""
    probe = (
        f"<script>document.documentElement.style.width = '{width}px';"
        "document.title = [document.body.scrollWidth, document.querySelector('svg')."
        "getBoundingClientRect().height, document.querySelectorAll('script').length, window.ran || 0].join()</script>"
    )
    for one in (usual, awkward):
        text = page(one.sheet)
        # The probe is ours: the page's own policy would rightly refuse it.
        text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text).replace("alert(", "window.ran = (")
        path = tmp_path / "page.html"
        path.write_text(text.replace("</body>", probe + "</body>"), encoding="utf-8")
        done = subprocess.run(
            [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync",
             f"--user-data-dir={tmp_path / 'profile'}", f"--window-size={width},900", "--dump-dom", path.as_uri()],
            capture_output=True, check=False, timeout=90,
        )  # fmt: skip
        title = re.search(r"<title>([\d.,]+)</title>", done.stdout.decode())
        assert title, done.stderr.decode()[-500:]
        wide, picture, scripts, ran = map(float, title.group(1).split(","))
        assert wide <= width
        assert picture > 100 and (scripts, ran) == (1, 0)
