"""What would change a conclusion is found by search and must hold when the interview is really run that way."""

from __future__ import annotations

import json

import pytest

from whichresin.belief.decision import verdict
from whichresin.belief.posterior import Workspace, weigh
from whichresin.belief.questions import remembered_target
from whichresin.belief.stopping import Choice, choose
from whichresin.engine.chain import Chain
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, AnswerValue
from whichresin.session.interview import Interview
from whichresin.session.otherwise import Reading, Search, alternatives
from whichresin.session.state import State
from whichresin.session.weighed import Desk, Weighed, weigh_state
from whichresin.session.would_change import WouldChange, would_change
from whichresin.terminal.ending import ending_lines

STORIES: dict[str, dict[str, AnswerValue]] = {
    "a waxy floater": {"float_in_water": "floats", "grind": "smears", "hot_needle": "melts_strings"},
    "powder and fibre": {"float_in_water": "sinks", "grind": "powder", "fibres_at_edge": "random_mat"},
    "at odds": {"float_in_water": "floats", "grind": "powder", "hot_needle": "no_melt_chars", "look": ("opaque",)},
    "weighed": {"density_measured": 1.15, "grind": "smears", "nail": "marks"},
}


def seated(model: Model, answers: dict[str, AnswerValue]) -> tuple[Desk, State, Weighed, Choice]:
    desk, state = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace()), State()
    for cue, value in answers.items():
        state = state.with_answer(Answered(cue, value))
    at = weigh_state(desk, state)
    return desk, state, at, choose(model, at.belief, list(model.cues), workspace=desk.workspace)


def readings(model: Model, state: State) -> tuple[str, str]:
    """(leading class, action) of a state, worked out from nothing."""
    desk = Desk(model, Chain(RuleSet.compile(model.rules)), Workspace())
    belief = weigh_state(desk, state).belief.belief
    sums: dict[str, float] = {}
    for compound, p in zip(model.compounds, belief.compounds, strict=True):
        name = compound.klass if compound is not model.compounds[-1] else "outside"
        sums[name] = sums.get(name, 0.0) + p
    target = remembered_target(model, "decision", (), desk.workspace)
    return max(sums, key=lambda n: sums[n]), verdict(target, belief.compounds).action


@pytest.fixture(scope="module", params=list(STORIES))
def story(request: pytest.FixtureRequest, shipped: Model) -> tuple[Desk, State, Weighed, Choice, WouldChange]:
    desk, state, at, choice = seated(shipped, STORIES[request.param])
    return desk, state, at, choice, would_change(desk, state, at, choice)


def test_the_answers_named_do_turn_it(shipped: Model, story: tuple[Desk, State, Weighed, Choice, WouldChange]) -> None:
    """Run again from nothing with the answers named, class and decision are what was said, now and then."""
    _, state, _, _, found = story
    assert (found.klass.now, found.decision.now) == readings(shipped, state)
    for place, turned in enumerate((found.klass, found.decision)):
        changed = state
        for answer in turned.answers:
            changed = changed.with_answer(Answered(answer.cue, answer.value))
        if turned.answers:
            assert readings(shipped, changed)[place] == turned.then != turned.now
        else:
            assert turned.then == ""


def test_no_smaller_set_would_do(shipped: Model, story: tuple[Desk, State, Weighed, Choice, WouldChange]) -> None:
    """Where two answers or more are named, every single one is tried here from nothing, and none turns it."""
    _, state, _, _, found = story
    turned = [place for place, t in enumerate((found.klass, found.decision)) if len(t.answers) != 1]
    for cue, answer in state.answers.items() if turned else ():
        for value in alternatives(shipped.cues[cue], answer.value):
            after = readings(shipped, state.with_answer(Answered(cue, value)))
            for place in turned:
                assert after[place] == (found.klass, found.decision)[place].now, (cue, value)


def test_pairs_are_weighed_as_the_posterior_does(shipped: Model) -> None:
    """Adding up logarithms over groups equals weighing the changed answers afresh, inside a group and across."""
    answers: dict[str, AnswerValue] = {"grind": "smears", "grind_fast": "melts_drags", "flex": "flexible"}
    known = {v.id for v in shipped.cues["grind_fast"].values}
    answers["grind_fast"] = sorted(known)[0]
    desk, state, at, _ = seated(shipped, answers)
    search = Search(desk, state, at)
    pairs = [
        (a, b) for a in range(len(search.changes)) for b in range(a) if search.changes[a][0] != search.changes[b][0]
    ]
    inside = 0
    for a, b in pairs[::3]:
        told = list(search.seen)
        for k in (a, b):
            place, value = search.changes[k]
            told[place] = type(told[place])(told[place].cue, value, told[place].sure, told[place].doubt)
        inside += len({shipped.cues[told[search.changes[k][0]].cue].group for k in (a, b)}) == 1
        plain = weigh(shipped, told, at.prior, at.factors).belief
        assert search.belief((b, a)).compounds == pytest.approx(plain.compounds, abs=1e-12)
    assert inside > 0


def test_the_desk_is_left_as_it_was(shipped: Model) -> None:
    """Asking what would change a conclusion changes nothing: facts of the engine and the belief stay."""
    desk, state, at, choice = seated(shipped, STORIES["at odds"])
    before = desk.chain.facts()
    would_change(desk, state, at, choice)
    assert desk.chain.facts() == before
    assert weigh_state(desk, state).belief.joint == at.belief.joint


def test_nothing_turns_what_no_answer_speaks_for(shipped: Model) -> None:
    """Without answers there is nothing that could have been otherwise, and nothing to repeat."""
    desk, state, at, choice = seated(shipped, {})
    found = would_change(desk, state, at, choice)
    assert found.klass.answers == found.decision.answers == () and found.repeat is None
    assert Search(desk, state, at).fewest(Reading(lambda b: "same", lambda b, n: 1.0)) == ("same", "", ())


def test_results_of_the_next_test_move_the_belief_as_told(
    shipped: Model, story: tuple[Desk, State, Weighed, Choice, WouldChange]
) -> None:
    """Chances of the results sum to 1, and by them today's leader keeps his probability on average (martingale)."""
    *_, found = story
    test = found.next_test
    assert test is not None
    if shipped.cues[test.cue].kind == "choice":
        assert sum(move.probability for move in test.moves) == pytest.approx(1.0, abs=1e-6)
        mean = sum(move.probability * move.today for move in test.moves if move.today is not None)
        assert mean == pytest.approx(test.leader_probability, abs=0.02)


def test_a_shaky_answer_is_worth_more_to_repeat(shipped: Model) -> None:
    """An answer given without being sure leaves more to be told by giving it again."""
    bits = {}
    for sure in ("low", "high"):
        desk, _, _, _ = seated(shipped, {})
        state = State().with_answer(Answered("grind", "smears", sure))
        at = weigh_state(desk, state)
        choice = choose(shipped, at.belief, list(shipped.cues), workspace=desk.workspace)
        found = would_change(desk, state, at, choice).repeat
        assert found is not None and found.cue == "grind"
        bits[sure] = found.tells_bits
    assert bits["low"] > bits["high"] > 0.0


def test_an_alarm_says_what_to_repeat(shipped: Model) -> None:
    """When the answers fit nothing, the answer to repeat is the one the fit suffers from."""
    from whichresin.belief.contradiction import Finding

    desk, state, at, choice = seated(shipped, STORIES["at odds"])
    finding = Finding(True, -3.0, at.finding.compound, "hot_needle", -1.0)
    odd = Weighed(at.part, at.marked, at.prior, at.factors, at.evidence, at.belief, finding)
    found = would_change(desk, state, odd, choice).repeat
    assert found is not None and found.cue == "hot_needle"


def test_it_prints_as_json(story: tuple[Desk, State, Weighed, Choice, WouldChange]) -> None:
    """The object holds nothing that JSON cannot, and every answer named can be put into an answers file."""
    *_, found = story
    again = json.loads(json.dumps(found.as_json()))
    assert set(again) == {"class", "decision", "repeat", "next_test"}
    assert again["class"]["now"] == found.klass.now


def test_what_else_could_have_been_answered(shipped: Model) -> None:
    """Every other word of a choice; one word more or less of a set; a lighter and a heavier weight."""
    grind, look = shipped.cues["grind"], shipped.cues["look"]
    words = alternatives(grind, grind.values[0].id)
    assert len(words) == len(grind.values) - 1 and grind.values[0].id not in words
    one = (look.values[0].id,)
    assert () in alternatives(look, one) and len(alternatives(look, one)) == len(look.values)
    weights = alternatives(shipped.cues["density_measured"], 1.1)
    assert min(weights) == pytest.approx(0.85) and max(weights) == pytest.approx(1.35)
    liquids = alternatives(shipped.cues["float_liquids"], ((1.1, "sinks"), (1.2, "floats")))
    assert liquids == [((1.1, "floats"), (1.2, "floats")), ((1.1, "sinks"), (1.2, "sinks"))]


def test_an_ended_interview_says_it_and_an_open_one_does_not(shipped: Model) -> None:
    """The closing result carries it, in JSON and on screen; while questions are open nothing is worked out."""
    ended = Interview(shipped, events=[Answered(c, v) for c, v in STORIES["a waxy floater"].items()]).closing()
    assert ended.next is None and ended.would_change is not None
    assert ended.as_json()["would_change"]["decision"]["answers"]
    shown = "\n".join(line.text for line in ending_lines(ended, 100))
    assert ended.would_change.decision.answers[0].instead in shown
    assert '" in place of "' in " ".join(shown.split())
    going_on = Interview(shipped, events=[Answered("flex", "rigid")]).closing()
    assert going_on.next is not None and "would_change" not in going_on.as_json()
