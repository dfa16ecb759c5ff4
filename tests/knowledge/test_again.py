"""A check that remembers an earlier one finds exactly what a fresh one finds, whatever was changed in between."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_knowledge import FILES, Small
from test_fuzz import SCRAPS

from whichresin.training.check import Memory, check

FAULTS = yaml.safe_load((Path(__file__).parent / "faults.yaml").read_text(encoding="utf-8"))
SHOP = {
    "shop/pack.yaml": "pack: shop\nversion: 1\nauthors: [trainer]\nlicence: CC0-1.0\n",
    "shop/cues/grind.yaml": FILES["knowledge/cues/grind.yaml"].replace("minutes: 2", "minutes: 4"),
    "shop/rules/own.yaml": FILES["knowledge/rules/water.yaml"].replace("id: ", "id: own-"),
}
MORE = int(os.environ.get("MORE_EXAMPLES", "1"))
NAMES = (*FILES, "shared/lists.yaml", *SHOP)


class Changing:
    """The small knowledge with a shop's layer, changed over and over, and a check that remembers."""

    def __init__(self, root: Path) -> None:
        self.small, self.memory, self._times = Small(root), Memory(), count(1_000_000_000)
        self.first = {name: (root / name).read_text() for name in (*FILES, "shared/lists.yaml")} | SHOP
        self.reset()

    def put(self, name: str, text: str | None) -> None:
        """Write a file, changed long ago by its time so that its size and time are believed; None removes it."""
        path = self.small.root / name
        if text is None:
            path.unlink(missing_ok=True)
        elif not path.exists() or path.read_text() != text:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
            then = next(self._times)
            os.utime(path, (then, then))

    def reset(self) -> None:
        """Everything as it was at first."""
        for path in self.small.root.rglob("*-more.yaml"):
            path.unlink()
        for name, text in self.first.items():
            self.put(name, text)

    def lines(self, memory: Memory | None) -> tuple[list[str], int]:
        """What the check says and how many examples ran."""
        found = check(
            [str(self.small.root / "shop")], knowledge=self.small.knowledge, shared=self.small.shared, memory=memory
        )
        return [str(problem) for problem in found.problems], found.examples


@pytest.fixture(scope="module")
def changing() -> Iterator[Changing]:
    """One folder and one memory for all cases: what an earlier case left in it must not show in a later one."""
    with tempfile.TemporaryDirectory() as folder:
        yield Changing(Path(folder))


def test_every_seeded_fault_and_its_mending(small: Small) -> None:
    """One memory lives through all faults of the suite, each made and taken back: each line is told, none is left."""
    memory = Memory()
    for case in (*FAULTS, None):
        if case is not None:
            path = small.root / case["file"]
            before = path.read_text()
            small.change(case["file"], case["old"], case["new"])
        found = check(knowledge=small.knowledge, shared=small.shared, memory=memory).problems
        says = case["says"] if case is not None else []
        assert [str(one).replace(f"{small.root}/", "") for one in found] == says
        path.write_text(before)


# What is done next: to this file, cut out a stretch (fractions of its length) and put something in its place; or
# remove it; or make it as it was; or give it the text of another file.
STEPS = st.one_of(
    st.tuples(
        st.just("cut"),
        st.sampled_from(NAMES),
        st.floats(0, 1),
        st.sampled_from((0.0, 0.01, 0.05)),
        st.sampled_from(SCRAPS),
    ),
    st.tuples(st.just("fault"), st.sampled_from(FAULTS)),
    st.tuples(st.just("remove"), st.sampled_from(NAMES)),
    st.tuples(st.just("back"), st.sampled_from(NAMES)),
    st.tuples(st.just("add"), st.sampled_from(NAMES), st.sampled_from(("knowledge", "shop"))),
)  # fmt: skip


@settings(max_examples=25 * MORE, derandomize=MORE == 1, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(STEPS, min_size=1, max_size=5))
def test_any_history_of_changes_leaves_no_trace(changing: Changing, steps: list[tuple[object, ...]]) -> None:
    """Edits, edits taken back, files removed and added, a changed shop's layer: after each the two agree."""
    changing.reset()
    for what, *how in steps:
        if what == "fault":
            case = how[0]
            assert isinstance(case, dict)
            text = changing.first[case["file"]]
            changing.put(case["file"], text.replace(case["old"], case["new"]))
        elif what == "add":
            name = str(how[0])
            changing.put(f"{how[1]}/{name.partition('/')[2].removesuffix('.yaml')}-more.yaml", changing.first[name])
        elif what == "cut":
            name, start, length, scrap = str(how[0]), float(str(how[1])), float(str(how[2])), str(how[3])
            path = changing.small.root / name
            text = path.read_text() if path.exists() else ""
            at = int(start * len(text))
            changing.put(name, text[:at] + scrap + text[at + int(length * len(text)) :])
        else:
            changing.put(str(how[0]), None if what == "remove" else changing.first[str(how[0])])
        assert changing.lines(changing.memory) == changing.lines(None)
