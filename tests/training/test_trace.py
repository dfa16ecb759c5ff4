"""The trace shows what an interview really does: no step is lost, and the end is the interview's own."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from whichresin.belief.posterior import Workspace
from whichresin.command.main import run
from whichresin.engine.chain import Chain, Firing
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model
from whichresin.session.answers import read_answers
from whichresin.session.believed import belief_facts
from whichresin.session.facts import told_facts
from whichresin.session.interview import consult
from whichresin.session.understand import understand_part
from whichresin.session.weighed import Desk, weigh_state
from whichresin.training.trace import steps, supports_of

TRANSCRIPTS = sorted((Path(__file__).parents[2] / "transcripts").glob("*.yaml"))


@pytest.mark.parametrize("path", TRANSCRIPTS[:3], ids=lambda path: path.stem)
def test_the_steps_add_up_to_the_interview(shipped: Model, path: Path) -> None:
    """What fired less what was withdrawn is what stands at the end, for an engine that is told everything at once."""
    state = read_answers(shipped, path).state
    run_of = list(steps(shipped, state))
    assert [step.cue for step in run_of] == ["", *state.answers]
    standing: set[Firing] = set()
    holding: dict[str, tuple[str, ...]] = {}
    for step in run_of:
        assert set(step.withdrawn) <= standing and not set(step.fired) & standing
        standing = (standing - set(step.withdrawn)) | set(step.fired)
        assert set(step.gone) <= holding.keys()
        holding = {fact: rules for fact, rules in holding.items() if fact not in step.gone}
        holding.update({one.fact: one.rules for one in step.derived})
    assert run_of[-1].result == consult(shipped, state)

    part = understand_part(shipped, state.text("part")) if state.text("part") else None
    desk = Desk(shipped, Chain(RuleSet.compile(shipped.rules)), Workspace())
    belief = weigh_state(desk, state).belief.belief
    chain = Chain(RuleSet.compile(shipped.rules))
    for fact in (*told_facts(shipped, state, part), *belief_facts(shipped, belief, run_of[-1].result.status)):
        chain.tell(fact)
    assert standing == set(chain.firings())
    assert holding.keys() == {str(fact) for one in standing for fact in one.concluded}


def test_the_belief_is_shown_where_a_rule_rests_on_it(shipped: Model) -> None:
    """An author must see that a rule fired on what the tool believes and not on an answer."""
    state = read_answers(shipped, TRANSCRIPTS[0]).state
    grounds = {text for step in steps(shipped, state) for one in step.fired for text in supports_of(one)}
    assert any(text.startswith("possible.cell = ") for text in grounds)


def test_the_command_in_text_and_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The same run, for eyes and for programs."""
    path = str(TRANSCRIPTS[0])
    assert run(["trace", path]) == 0
    text = capsys.readouterr().out
    assert run(["trace", path, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["steps"]
    assert text.count("\nstep ") + 1 == len(found)
    for step in found:
        assert f"step {step['step']}: {step['cue'] or 'before any answer'}\n" in text
        for one in step["fired"]:
            assert f"  fires      {one['rule']}: from " in text


def test_one_rule_by_itself(capsys: pytest.CaptureFixture[str]) -> None:
    """An author asks: when does my rule fire, and when is it withdrawn?"""
    assert run(["trace", str(TRANSCRIPTS[0]), "--rule", "gate-not-known", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["steps"]
    ids = [([f["rule"] for f in s["fired"]], [f["rule"] for f in s["withdrawn"]]) for s in found]
    assert "gate-not-known" in ids[0][0] and "gate-not-known" in ids[1][1] and len(ids) == 2


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["nowhere.yaml"], "there is no such file"),
        ([str(TRANSCRIPTS[0]), "--rule", "gate-not-knwn"], "did you mean 'gate-not-known'?"),
        ([str(TRANSCRIPTS[0]), "--knowledge", "nowhere"], "nowhere"),
    ],
)
def test_faults_are_one_sentence(args: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What, where, what instead; no traceback."""
    assert run(["trace", *args]) == 2
    said = capsys.readouterr().err
    assert says in said and said.count("\n") == 1
