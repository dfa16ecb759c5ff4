"""A step is done again exactly when something that it looked at has changed, and tells its problems every time."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import given
from hypothesis import strategies as st

from whichresin.knowledge.problems import Problem, Report
from whichresin.knowledge.steps import Steps, noted


@noted
@dataclass
class Inner:
    """A record inside a record."""

    words: tuple[str, ...] = ("a",)
    texts: dict[str, str] = field(default_factory=dict)

    def first(self) -> str:
        return self.words[0]


@noted
@dataclass
class Outer:
    """What steps are handed."""

    number: int = 1
    inner: Inner | None = field(default_factory=Inner)
    report: Report = field(default_factory=Report)


def told(report: Report) -> list[str]:
    return [problem.sentence for problem in report.since(0)]


def add(report: Report, sentence: str) -> None:
    report.extend([Problem("f", 1, 1, "error", "code", sentence)])


class Counted:
    """A step that looks at the parts it is told to look at, and counts how often it is done."""

    def __init__(self, *parts: str) -> None:
        self.parts, self.times = parts, 0

    def __call__(self, outer: Outer, more: int) -> list[object]:
        self.times += 1
        found: list[object] = [more]
        for part in self.parts:
            if part == "number":
                found.append(outer.number)
            elif outer.inner is None:
                found.append(None)
            else:
                found.append(outer.inner.first() if part == "first" else getattr(outer.inner, part))
        add(outer.report, f"found {found}")
        return found


PARTS = ("number", "words", "texts", "first")
# A change: which part, and to which of two values; `none` takes the inner record away, or brings a new one.
CHANGES = st.lists(st.tuples(st.sampled_from(("number", "words", "texts", "more", "none")), st.booleans()), max_size=12)


@given(st.lists(st.sampled_from(PARTS), max_size=3), CHANGES)
def test_what_is_made_and_told_is_that_of_a_step_done_afresh(parts: list[str], changes: list[tuple[str, bool]]) -> None:
    """Whatever a step reads and whatever is changed: nothing is overlooked."""
    steps, step, outer, more = Steps(), Counted(*parts), Outer(), 0
    for what, value in changes:
        inner = outer.inner
        if what == "number":
            outer = Outer(int(value), inner)
        elif what == "more":
            more = int(value)
        elif what == "none":
            outer = Outer(outer.number, None if value else Inner())
        elif inner is not None:
            words, texts = (("a",) if value else ("b",)), {"a": "x" if value else "y"}
            new = Inner(words, inner.texts) if what == "words" else Inner(inner.words, texts)
            outer = Outer(outer.number, new)
        outer.report = Report()
        made = steps.run("step", step, outer.report, outer, more)
        again = Outer(outer.number, outer.inner)
        assert (made, told(outer.report)) == (Counted(*parts)(again, more), told(again.report))


def test_a_step_is_not_done_again_for_what_it_did_not_look_at() -> None:
    """That is what makes the second check quick."""
    steps, step, inner = Steps(), Counted("words"), Inner()
    for number in range(3):
        outer = Outer(number, inner)
        steps.run("step", step, outer.report, outer, 0)
        assert told(outer.report) == ["found [0, ('a',)]"]
    assert step.times == 1
    outer = Outer(9, Inner(("b",)))
    steps.run("step", step, outer.report, outer, 0)
    assert step.times == 2


def test_what_an_inner_step_looks_at_counts_for_the_outer_one() -> None:
    """Also when the inner one is not done again, as when the outer one was handed something new besides."""
    steps, inner_step = Steps(), Counted("number")

    def outer_step(outer: Outer, more: int) -> list[object]:
        return [more, *steps.run("inner", inner_step, outer.report, outer, 0)]

    for number, more, expected in ((1, 0, [0, 0, 1]), (1, 1, [1, 0, 1]), (2, 1, [1, 0, 2]), (2, 1, [1, 0, 2])):
        outer = Outer(number)
        assert steps.run("outer", outer_step, outer.report, outer, more) == expected
        assert told(outer.report) == [f"found [0, {number}]"]
    assert inner_step.times == 2


def test_what_is_equal_is_settled_as_one_and_order_counts() -> None:
    """A mapping in another order lists what is known otherwise, so it is another one."""
    steps = Steps()
    first = {"a": 1, "b": 2}
    assert steps.settled("name", first, list(first.items())) is first
    same = {"a": 1, "b": 2}
    assert steps.settled("name", same, list(same.items())) is first
    turned = {"b": 2, "a": 1}
    assert steps.settled("name", turned, list(turned.items())) is turned
    assert steps.settled("other", same, list(same.items())) is same
