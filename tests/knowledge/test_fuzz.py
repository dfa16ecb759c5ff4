"""Whatever is done to a knowledge file: problems, never a traceback, and no model that hides an error."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_knowledge import FILES, Small

from whichresin.knowledge.compile import compile_files
from whichresin.knowledge.layers import layers_of
from whichresin.knowledge.steps import Steps
from whichresin.training.examples import run_examples
from whichresin.vocabulary.text import first_control

SCRAPS = [
    "", "\n", " ", ": ", "- ", "[", "]", "{", "}", "{}", "[]", "'", '"', "0", "-1", "1e999", "nan", "?x", "yes", "~",
    "none", "all", "any",
    "&a ", "*a", "!!int ", "|\n", ">", "#", "\t", "\x1b[0m", "\u202e", "é", "id: x\n", "source: BOOK\n",
    "polyolefin", "grind", "PP", "FR", "a" * 999, "[{}]", "{a: [b]}", "for: {}", "expect: []\n", "physics: density\n",
]  # fmt: skip


@pytest.fixture(scope="module")
def small_once() -> Iterator[Small]:
    """One small knowledge for all cases; its files are changed in memory only."""
    with tempfile.TemporaryDirectory() as folder:
        yield Small(Path(folder))


@st.composite
def cuts(draw: st.DrawFn, names: tuple[str, ...]) -> tuple[str, float, float, str]:
    """A file, a stretch of it as two fractions of its length, and what to put in its place."""
    start = draw(st.floats(0, 1))
    return draw(st.sampled_from(names)), start, draw(st.floats(0, 0.2)), draw(st.sampled_from(SCRAPS))


@settings(max_examples=120, deadline=None)
@given(st.lists(cuts((*FILES, "shared/lists.yaml")), min_size=1, max_size=2))
def test_any_change_of_any_file_is_survived(small_once: Small, changes: list[tuple[str, float, float, str]]) -> None:
    """An author's slip of any kind, in any file, must end in lines that can be read."""
    layers = layers_of(small_once.knowledge, small_once.shared)
    contents = {file.path: Path(file.path).read_bytes() for file in layers.files}
    for name, start, length, scrap in changes:
        path = str(small_once.root / name)
        text = contents[path].decode()
        at = int(start * len(text))
        contents[path] = (text[:at] + scrap + text[at + int(length * len(text)) :]).encode()
    compiled = compile_files(layers.files, "key", contents, with_others=True)
    run_examples(compiled, Steps())
    problems = compiled.tree.ctx.report.sorted()
    assert compiled.model is not None or any(problem.level == "error" for problem in problems)
    for problem in problems:
        assert first_control(str(problem)) < 0
        assert "\n" not in str(problem)
        assert (problem.line == 0) == (problem.column == 0)
