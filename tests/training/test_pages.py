"""The author's manual: every code has a page, and every example on it is run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from whichresin.knowledge.codes import CODES
from whichresin.knowledge.paths import shipped
from whichresin.training.check import Memory, check
from whichresin.training.checks import ALL
from whichresin.training.pages import manual

GUIDE = (Path(shipped().shared) / "authoring.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```yaml\n(.*?)^```$", GUIDE, re.S | re.M)
PACK = {text.partition("\n")[0].removeprefix("# my-shop/"): text for text in BLOCKS}
PAGES = manual().pages
MEMORY = Memory()  # the shipped files are the same for every page: read once


def codes_of(pack: dict[str, str], folder: Path) -> dict[str, str]:
    """Code -> line, for what the check says of a pack with these files."""
    for name, text in pack.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return {problem.code: str(problem) for problem in check([str(folder)], memory=MEMORY).problems}


def test_every_code_has_a_page_and_every_page_a_code() -> None:
    """`whichresin help CODE` must answer for whatever stands in brackets at the end of a line."""
    assert set(PAGES) == set(CODES) | set(ALL)
    assert not set(CODES) & set(ALL)


def test_the_right_lines_are_right(tmp_path: Path) -> None:
    """The guide's files with the manual's own beside them, as they stand, give no problem at all."""
    assert codes_of({**PACK, **manual().files}, tmp_path) == {}


@pytest.mark.parametrize("code", [code for code, page in PAGES.items() if page.file])
def test_the_wrong_lines_give_the_code(code: str, tmp_path: Path) -> None:
    """A page that shows a fault which the check does not find would teach nonsense."""
    page, pack = PAGES[code], {**PACK, **manual().files}
    assert pack[page.file].count(page.right) == 1, f"{page.right!r} must stand once in {page.file}"
    pack[page.file] = pack[page.file].replace(page.right, page.wrong)
    found = codes_of(pack, tmp_path)
    assert code in found
    if page.level:
        assert f": {page.level}: " in found[code]


def test_few_pages_go_without_an_example() -> None:
    """The excuse is for what a file of knowledge cannot show; this number may only go down."""
    assert len([page for page in PAGES.values() if page.no_example]) <= 12


@pytest.mark.parametrize("code", list(PAGES))
def test_a_page_reads_well(code: str) -> None:
    """A page says what, what to do, and shows it; advice ends as a sentence does."""
    page = PAGES[code]
    text = page.text()
    assert text.startswith(f"{code}: {page.title}\n")
    assert page.advice.endswith((".", "?"))
    assert ("Wrong, in" in text) == bool(page.file)
    assert page.title[0].islower() and not page.title.endswith(".")
