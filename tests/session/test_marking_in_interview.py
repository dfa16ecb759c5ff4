"""A marking is evidence with odds: it leads when the bench agrees, and is called out when the bench does not."""

from __future__ import annotations

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered
from whichresin.session.interview import consult
from whichresin.session.result import Result
from whichresin.session.state import fold


def said(model: Model, **answers: str) -> Result:
    return consult(model, fold(Answered(cue, value) for cue, value in answers.items()))


def test_a_marking_that_the_bench_agrees_with_leads(shipped: Model) -> None:
    """Case id-029 of the published cases: >PE-HD< floats and is marked by a nail."""
    result = said(shipped, marking=">PE-HD<", float_in_water="floats", nail="marks")
    assert result.polymers[0].symbol == "PE-HD" and result.polymers[0].probability > 0.9
    assert result.contradictions == ()
    assert result.because[0].text.startswith("The marking reads >PE-HD<")


def test_a_marking_is_never_certainty(shipped: Model) -> None:
    """Moulds are reused: a clear marking alone leaves every compound some chance, and says the filler too."""
    result = said(shipped, marking=">PA66-GF30<")
    assert result.polymers[0].id == "PA66" and 0.5 < result.polymers[0].probability < 0.999
    assert result.filled.probability > 0.9


def test_a_marking_that_the_answers_contradict_is_called_so(shipped: Model) -> None:
    """>PE-HD< cannot sink, powder, char and hold a fibre mat: wrong insert, swapped part or painted-over repair."""
    result = said(
        shipped,
        marking=">PE-HD<",
        float_in_water="sinks",
        grind="powder",
        hot_needle="no_melt_chars",
        fibres_at_edge="random_mat",
    )
    assert result.status == "contradiction"
    assert result.repeat is not None
    assert any("wrong insert" in because.text for because in result.contradictions)
    assert result.class_name == "thermoset"
    assert result.marking is not None and result.marking["belongs_to_another_part"] > 0.5


def test_nonsense_changes_nothing(shipped: Model) -> None:
    """A part number is no evidence on the material."""
    with_number = said(shipped, marking="4711-22-A", float_in_water="sinks")
    without = said(shipped, float_in_water="sinks")
    assert with_number.class_chances == without.class_chances
    assert with_number.marking is not None and with_number.marking["verdict"] == "unreadable"


def test_a_damaged_marking_speaks_with_its_odds(shipped: Model) -> None:
    """One unreadable character spreads the belief over what it can be."""
    result = said(shipped, marking=">PA6?-GF30<")
    chances = {chance.id: chance.probability for chance in result.polymers}
    assert chances.get("PA66", 0) + chances.get("PA6", 0) + chances.get("PA612", 0) > 0.7
