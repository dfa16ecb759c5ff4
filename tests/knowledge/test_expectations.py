"""Tables of expectations against a slow twin that looks at one compound at a time."""

from __future__ import annotations

from functools import cache

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.knowledge import forms
from whichresin.knowledge.expectations import TableBuilder
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Compound
from whichresin.knowledge.positions import read_text
from whichresin.knowledge.problems import Report
from whichresin.knowledge.schema import Context
from whichresin.knowledge.selectors import WEIGHTS, Selectors
from whichresin.vocabulary.words import Scale

VALUES = ("a", "b", "c")
SCALE = Scale("how often", {"usually": 0.8, "seldom": 0.08, "never_seen": 0.004})


@cache
def compounds() -> tuple[Compound, ...]:
    """The shipped compounds: real mixtures of class, family, filler and level."""
    model = load(use_cache=False).model
    assert model is not None
    return model.compounds


def trait(compound: Compound, key: str) -> str:
    """What a selector key looks at."""
    return {
        "class": compound.klass,
        "cell": compound.cell,
        "family": compound.family,
        "polymer": compound.material,
        "filler_kind": compound.filler_kind,
        "filler": compound.filler,
        "retarded": "yes" if compound.retarded else "no",
        "compound": compound.id,
    }[key]


def fits(compound: Compound, selector: dict[str, object]) -> bool:
    """Whether a selector means a compound, key by key."""
    for key, wanted in selector.items():
        if key == "percent":
            assert isinstance(wanted, list)
            if not wanted[0] <= compound.percent <= wanted[1]:
                return False
        elif trait(compound, key) not in (wanted if isinstance(wanted, list) else [wanted]):
            return False
    return True


def slow(rows: list[dict[str, dict[str, object]]], kind: str) -> list[tuple[float, ...]] | str:
    """The rows of all compounds but the last; or 'tie' or 'gap' where the author must decide."""
    result, gap = [], False
    for compound in compounds()[:-1]:
        if kind == "choice":
            matching = [row for row in rows if fits(compound, row["for"])]
            best = max((sum(WEIGHTS[key] for key in row["for"]) for row in matching), default=None)
            top = [row["seen"] for row in matching if sum(WEIGHTS[key] for key in row["for"]) == best]
            if any(one != top[0] for one in top):
                return "tie"
            if not top:
                gap = True
                continue
            weights = [SCALE.numbers[str(top[0].get(value, "never_seen"))] for value in VALUES]
            result.append(tuple(weight / sum(weights) for weight in weights))
        else:
            chances = []
            for value in VALUES:
                naming = [row for row in rows if value in row["seen"] and fits(compound, row["for"])]
                best = max((sum(WEIGHTS[key] for key in row["for"]) for row in naming), default=None)
                words = {str(row["seen"][value]) for row in naming if sum(WEIGHTS[key] for key in row["for"]) == best}
                if len(words) > 1:
                    return "tie"
                chances.append(SCALE.numbers[words.pop() if words else "never_seen"])
            result.append(tuple(chances))
    return "gap" if gap else result


@st.composite
def selectors(draw: st.DrawFn) -> dict[str, object]:
    """A selector that means at least one compound: traits of one that is drawn, some widened to lists."""
    one, other = draw(st.sampled_from(compounds()[:-1])), draw(st.sampled_from(compounds()[:-1]))
    result: dict[str, object] = {}
    for key in draw(st.sets(st.sampled_from([*WEIGHTS]), max_size=2)):
        if key == "percent":
            result[key] = [max(0, one.percent - 5), one.percent + 5]
        elif draw(st.booleans()):
            result[key] = sorted({trait(one, key), trait(other, key)})
        else:
            result[key] = trait(one, key)
    return result


WORDS = st.sampled_from(list(SCALE.numbers))
ROWS = st.lists(
    st.fixed_dictionaries({"for": selectors(), "seen": st.dictionaries(st.sampled_from(VALUES), WORDS, min_size=1)}),
    min_size=1,
    max_size=6,
)


@settings(max_examples=50, deadline=None)
@given(ROWS, st.booleans(), st.sampled_from(["choice", "set"]))
def test_table_equals_the_slow_twin(rows: list[dict[str, dict[str, object]]], with_rest: bool, kind: str) -> None:
    """Bit masks and shared rows must change nothing but the speed; ties and gaps must be found, all of them."""
    if with_rest:
        rows = [{"for": {}, "seen": {"a": "usually"}}, *rows]
    expect = [{**row, "source": "from memory"} for row in rows]
    cue = {"id": "x", "kind": kind, "topic": "bench", "question": "q", "how": "h", "minutes": 1, "hazard": "none"}
    node, problems = read_text(yaml.safe_dump({**cue, "source": "from memory", "expect": expect}), "cue")
    assert node is not None
    assert not problems
    ctx = Context(Report(), scales={"how_often": SCALE})
    row = forms.CUE.read(node, ctx)
    assert row is not None
    weighed = tuple((one.id, one.prior) for one in compounds())
    table = TableBuilder(ctx, Selectors(compounds()[:-1]), weighed).build(row, VALUES)
    codes = {problem.code for problem in ctx.report.sorted() if problem.level == "error"}
    wanted = slow(rows, kind)
    if wanted == "tie":
        assert "equal-specificity" in codes
    elif wanted == "gap":
        assert codes == {"compound-without-row"}
    else:
        assert table is not None
        assert codes == set()
        assert [table.rows[place] for place in table.row_of[:-1]] == [pytest.approx(one, abs=1e-15) for one in wanted]
        assert len(set(table.rows)) == len(table.rows)
        assert all(chance > 0 for one in table.rows for chance in one)
