"""The checks beyond what the loader refuses: they agree with the engine, and are quick the second time."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.engine.chain import Chain
from whichresin.engine.conditions import All, Condition, Equals, Known, Never, NotKnown, OneOf, Some, Within, elementary
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.paths import shipped
from whichresin.training.check import Memory, check
from whichresin.training.checks import ALL
from whichresin.training.checks.sense import _verdict
from whichresin.training.truth import Names, worlds_of

# a: one answer out of three; b: any number out of three; n: one number.
NAMES: Names = (("a", frozenset("xyz"), True), ("b", frozenset("xyz"), False), ("n", frozenset(), True))
LEAVES = st.one_of(
    st.builds(Equals, st.sampled_from("ab"), st.sampled_from("xyz")),
    st.builds(lambda n, v: OneOf(n, tuple(v)), st.sampled_from("ab"), st.sets(st.sampled_from("xyz"), min_size=1)),
    st.builds(Known, st.sampled_from("abn")),
    st.builds(NotKnown, st.sampled_from("abn")),
    st.builds(lambda low, open_: Within("n", low=low, low_open=open_), st.sampled_from([1.0, 2.0]), st.booleans()),
    st.builds(lambda high, open_: Within("n", high=high, high_open=open_), st.sampled_from([1.0, 2.0]), st.booleans()),
)
CONDITIONS = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        [st.builds(kind, st.lists(inner, min_size=1, max_size=3).map(tuple)) for kind in (All, Some, Never)]
    ),
    max_leaves=6,
)
FACTS = st.builds(
    lambda a, b, n: [*(Fact("a", v) for v in a), *(Fact("b", v) for v in b), *(Fact("n", v) for v in n)],
    st.lists(st.sampled_from("xyz"), max_size=1),
    st.sets(st.sampled_from("xyz")),
    st.lists(st.sampled_from([0.5, 1.0, 1.5, 2.0, 2.5]), max_size=1),
)


def names_in(when: Condition) -> Names:
    used = {leaf.name for leaf, _ in elementary(when)}
    return tuple(one for one in NAMES if one[0] in used)


def fires(when: All, facts: list[Fact]) -> bool:
    """What the engine itself says."""
    chain = Chain(RuleSet.compile([Rule("r", when, (Conclusion("out", "yes"),))]))
    for fact in facts:
        chain.tell(fact)
    return chain.holds(Fact("out", "yes"))


@given(CONDITIONS, st.lists(FACTS, min_size=1, max_size=6))
def test_never_and_always_agree_with_the_engine(condition: Condition, cases: list[list[Fact]]) -> None:
    """A rule that is told to be dead must be dead for the engine too, whatever it is told; an idle one likewise."""
    when = All((condition,))
    verdict = _verdict(when, names_in(when))
    if verdict is None:
        return
    seen = {fires(when, facts) for facts in cases}
    if verdict.never:
        assert seen == {False}
    if verdict.always:
        assert seen == {True}


@given(CONDITIONS, FACTS)
def test_an_idle_condition_may_be_taken_for_granted_or_left_out(condition: Condition, facts: list[Fact]) -> None:
    """The engine fires on the same facts when the condition is replaced by one that always, or never, holds."""
    when = All((condition,))
    verdict = _verdict(when, names_in(when))
    if verdict is None or verdict.idle is None:
        return
    granted = _replaced(when, verdict.idle, All(()))
    left_out = _replaced(when, verdict.idle, Some(()))
    worlds = worlds_of(when, names_in(when))
    assert worlds is not None
    held = worlds.where(when)
    either = granted if worlds.where(when, {verdict.idle: worlds.every}) == held else left_out
    assert isinstance(either, All)
    assert fires(when, facts) == fires(either, facts)


def _replaced(condition: Condition, place: int, by: Condition) -> Condition:
    """The condition with its elementary part number `place` replaced."""
    counter = [0]

    def walk(here: Condition) -> Condition:
        if isinstance(here, All | Some | Never):
            return type(here)(tuple(walk(part) for part in here.parts))
        counter[0] += 1
        return by if counter[0] - 1 == place else here

    return walk(condition)


def test_nearly_every_shipped_rule_is_judged() -> None:
    """A limit on the number of cases that excused half the rules would make the check worthless."""
    compiled = check().compiled
    assert compiled is not None
    from whichresin.training.checks.sense import _verdicts

    assert len(list(_verdicts(compiled))) >= 0.97 * len(compiled.rules)


def test_words_that_claim_too_much(tmp_path: Path) -> None:
    """Three answers that are all usual cannot be: one answer is given."""
    cue = Path(shipped().knowledge, "cues", "knife.yaml").read_text(encoding="utf-8")
    head, _, _ = cue.partition("expect:")
    (tmp_path / "cues").mkdir()
    row = "{for: {}, seen: {curls: usually, crumbs: usually, rubbery_slice: usually}, source: from memory}"
    (tmp_path / "cues" / "knife.yaml").write_text(f"{head}expect:\n  - {row}\n", encoding="utf-8")
    found = [one for one in check([str(tmp_path)]).problems if one.code == "expectation-sum"]
    assert [one.sentence for one in found] == ["the words of this row add up to 2.4: too much for one answer"]


def test_keeping_back_what_is_never_proposed(tmp_path: Path) -> None:
    """A rule that withholds a cue which nobody is ever asked does nothing."""
    (tmp_path / "cue.yaml").write_text(
        "id: sticker\nkind: choice\ntopic: part\nquestion: Is a sticker on it?\nhow: Look.\naskable: no\n"
        "values: [{id: yes, text: a sticker}, {id: no, text: none}]\nminutes: 1\nhazard: none\nsource: from memory\n",
        encoding="utf-8",
    )
    (tmp_path / "rule.yaml").write_text(
        "rules:\n  - {id: no-sticker, when: {all: [{sticker: no}]}, conclude: [{withhold: sticker}], because: b.,\n"
        "     source: from memory, examples: [{given: {sticker: no}}],\n"
        "     near_misses: [{given: {sticker: yes}, because: b}]}\n",
        encoding="utf-8",
    )
    found = [one.sentence for one in check([str(tmp_path)]).problems if one.code == "unused-rule"]
    assert found == ["rule 'no-sticker' has no effect: cue 'sticker' is never proposed"]


@given(CONDITIONS, CONDITIONS, FACTS)
def test_covering_agrees_with_the_engine(narrow: Condition, wide: Condition, facts: list[Fact]) -> None:
    """A rule is called covered only if the engine fires the wider one wherever it fires the narrower one."""
    both = [All((narrow,)), All((wide,))]
    joint = All(tuple(both))
    worlds = worlds_of(joint, names_in(joint))
    if worlds is None or worlds.where(both[0]) & ~worlds.where(both[1]):
        return
    assert not fires(both[0], facts) or fires(both[1], facts)


def test_every_check_says_why_and_what_to_do() -> None:
    """The page of a check is made of its docstring and its advice."""
    for one in ALL.values():
        assert one.why.endswith(".") and len(one.why.split()) >= 10, one.code
        assert one.level in ("error", "warning", "note")


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the shipped knowledge that may be changed."""
    places = shipped()
    shutil.copytree(places.knowledge, tmp_path / "knowledge")
    shutil.copytree(places.shared, tmp_path / "shared")
    return tmp_path


CHANGES = [
    ("materials/polymers/pp.yaml", "share: ", "share: 1"),
    ("rules/density-water.yaml", "floats", "sinks"),
    ("cues/grind.yaml", "hazard: low", "hazard: lo"),
]


def test_a_check_that_remembers_says_what_a_fresh_one_says(copy: Path) -> None:
    """After any change, and after it is taken back, nothing is overlooked and nothing is left over."""
    folders = {"knowledge": str(copy / "knowledge"), "shared": str(copy / "shared")}
    memory = Memory()
    check(**folders, memory=memory)
    for name, old, new in CHANGES:
        path = copy / "knowledge" / name
        text = path.read_text(encoding="utf-8")
        assert old in text
        for now in (text.replace(old, new, 1), text):
            path.write_text(now, encoding="utf-8")
            assert check(**folders, memory=memory).problems == check(**folders).problems


def test_one_changed_file_is_read_and_no_other(copy: Path) -> None:
    """Re-checking on save feels immediate because what has not changed is not read again (time: benchmarks)."""
    folders = {"knowledge": str(copy / "knowledge"), "shared": str(copy / "shared")}
    memory = Memory()
    check(**folders, memory=memory)
    for name in ("cues/grind.yaml", "rules/dust.yaml"):
        before = {path: reading for path, (_, reading) in memory.readings.items()}
        change = copy / "knowledge" / name
        change.write_text(change.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        check(**folders, memory=memory)
        assert [path for path, (_, reading) in memory.readings.items() if reading is not before[path]] == [str(change)]


def test_examples_played_all_at_once_go_as_each_in_a_chain_of_its_own(
    copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Playing at once is only quicker: the same examples fail, and say the same."""
    change = copy / "knowledge/rules/density-water.yaml"
    change.write_text(change.read_text(encoding="utf-8").replace("floats}]", "sinks}]", 1), encoding="utf-8")
    folders = {"knowledge": str(copy / "knowledge"), "shared": str(copy / "shared")}
    at_once = check(**folders)
    monkeypatch.setattr("whichresin.training.examples.has_variable", lambda rule: True)
    one_by_one = check(**folders)
    assert at_once.problems == one_by_one.problems
    assert at_once.examples == one_by_one.examples > 500
    assert {"example-fails", "near-miss-fires"} <= {one.code for one in at_once.problems}
