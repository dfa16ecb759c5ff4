"""Run each rule's examples and near misses through the engine, together with all other rules.

An example gives facts; the rule must fire on them and its `expect:` must follow. On a near miss the rule must
not fire. `each: {name: [values]}` makes one case of every value, beside what is given. `known_miss: yes` marks
one that the rule is known to get wrong: it is silent until it comes right.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from whichresin.engine.cases import Cases, has_variable
from whichresin.engine.chain import Chain
from whichresin.engine.conditions import All
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule, RuleError
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge import forms
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.conclusions import ConclusionReader
from whichresin.knowledge.conditions import ConditionReader
from whichresin.knowledge.positions import Mapping, Node, Scalar, Sequence
from whichresin.knowledge.rulebook import ReadRule
from whichresin.knowledge.schema import Context, Row, shape
from whichresin.knowledge.steps import Steps
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed


def run_examples(compiled: Compiled, steps: Steps) -> int:
    """Report every example that fails; the number of examples and near misses that were run."""
    ctx = compiled.tree.ctx
    every: list[_Example] = []
    for one in compiled.rules:
        if one.rule is not None:
            every += steps.run(("examples of rule", one.id), _examples_of, ctx.report, one, compiled)
    logic = tuple((rule.id, rule.when, rule.conclude) for one in compiled.rules if (rule := one.rule) is not None)
    trials = tuple(trial for example in every for trial in example.trials)
    outcomes = steps.run("outcomes of examples", _outcomes, ctx.report, logic, trials)
    if outcomes is None:
        return 0
    left = iter(outcomes)
    return sum(_report(example, left, ctx) for example in every)


class Case(NamedTuple):
    """What one example or near miss tells, and the place to point at when it fails."""

    node: Node
    facts: list[Fact]


class _Trial(NamedTuple):
    """One case of an example: when `told` holds the rule must fire and `wanted` must follow, or it must not fire."""

    rule: str
    told: tuple[Fact, ...]
    wanted: tuple[Fact, ...]
    must_fire: bool


class _Example(NamedTuple):
    """An example or near miss that was read: one case, or one for each value under `each`."""

    row: Row
    cases: list[Case]
    trials: list[_Trial]
    must_fire: bool


_Logic = tuple[tuple[str, All, tuple[Conclusion, ...]], ...]  # of each rule what its examples depend on


def _outcomes(logic: _Logic, trials: tuple[_Trial, ...]) -> list[list[str]] | None:
    """What is wrong with each trial, in sentences: for most, nothing. None when the rules cannot run together, which
    is reported as a cycle or an unbound variable."""
    try:
        ruleset = RuleSet.compile([Rule(*one) for one in logic])
    except RuleError:
        return None
    passed = _passed(trials, ruleset)
    start = Chain(ruleset) if passed != (1 << len(trials)) - 1 else None
    return [
        [] if start is None or passed >> place & 1 else _faults(trial, start.copy())
        for place, trial in enumerate(trials)
    ]


def _passed(trials: tuple[_Trial, ...], ruleset: RuleSet) -> int:
    """The trials that go as they must, as bits: all are played at once. None where a rule has a variable, which only
    a chain can follow."""
    if any(map(has_variable, ruleset.rules)):
        return 0
    telling: dict[Fact, int] = {}
    for place, trial in enumerate(trials):
        for fact in trial.told:
            telling[fact] = telling.get(fact, 0) | 1 << place
    cases = Cases(len(trials))
    for fact, mask in telling.items():
        cases.tell(fact, mask)
    cases.settle(ruleset)
    fires = {rule.id: cases.where(rule.when) for rule in ruleset.rules}
    passed = 0
    for place, trial in enumerate(trials):
        fired = bool(fires[trial.rule] >> place & 1)
        if fired == trial.must_fire and all(cases.holds(fact) >> place & 1 for fact in trial.wanted):
            passed |= 1 << place
    return passed


def _faults(trial: _Trial, chain: Chain) -> list[str]:
    """One trial in a chain of its own: what is wrong with it, in sentences."""
    for fact in trial.told:
        chain.tell(fact)
    name = shown(trial.rule)
    fires = any(firing.rule == trial.rule for firing in chain.firings())
    if not trial.must_fire:
        return [f"rule {name} fires on this near miss"] if fires else []
    if not fires:
        return [f"rule {name} does not fire on this example"]
    faults = []
    for fact in trial.wanted:
        if not chain.holds(fact):
            there = [f"{fact.name} = {value}" for value in chain.values(fact.name)]
            found = f"there is {listed(there)}" if there else f"there is no {fact.name}"
            faults.append(f"rule {name} fires, but {shown(str(fact))} does not follow; {found}")
    return faults


def _examples_of(rule: ReadRule, compiled: Compiled) -> list[_Example]:
    """The examples and near misses of one rule that can be read; the others are reported."""
    found: list[_Example] = []
    for key in ("examples", "near_misses"):
        node = rule.row.raw(key)
        if node is None:
            _missing(rule, key, compiled.tree.ctx)
        for item in node.items if isinstance(node, Sequence) else ():
            example = _read(rule, item, key == "examples", compiled)
            if example is not None:
                found.append(example)
    return found


def _missing(rule: ReadRule, key: str, ctx: Context) -> None:
    what = "examples" if key == "examples" else "near_misses, cases in which it must not fire"
    ctx.warning(rule.row.at("id"), "no-example", f"rule {shown(rule.id)} has no {what}")


def _read(rule: ReadRule, node: Node, must_fire: bool, compiled: Compiled) -> _Example | None:
    """One example or near miss; None when it could not be read (reported)."""
    row = forms.EXAMPLE.read(node, compiled.tree.ctx)
    cases = _cases(row, compiled) if row is not None else None
    wanted = _wanted(row, rule, compiled) if row is not None and cases is not None else None
    if row is None or cases is None or wanted is None:
        return None
    trials = [_Trial(rule.id, tuple(case.facts), tuple(wanted), must_fire) for case in cases]
    return _Example(row, cases, trials, must_fire)


def _report(example: _Example, outcomes: Iterator[list[str]], ctx: Context) -> int:
    """Report how the cases of an example went; how many there were."""
    found = [(case, next(outcomes)) for case in example.cases]
    if example.row.flag("known_miss"):
        if not any(faults for _, faults in found):
            at = example.row.at("known_miss")
            ctx.warning(at, "miss-mended", "this known miss comes right now; take known_miss out")
        return len(found)
    code = "example-fails" if example.must_fire else "near-miss-fires"
    for case, faults in found:
        for fault in faults:
            ctx.error(case.node, code, fault)
    return len(found)


def given_cases(node: Node, compiled: Compiled) -> list[Case]:
    """Every case of an example or near miss; none when it cannot be read (reported)."""
    row = forms.EXAMPLE.read(node, compiled.tree.ctx)
    return (_cases(row, compiled) if row is not None else None) or []


def _cases(row: Row, compiled: Compiled) -> list[Case] | None:
    """One case, or one for each value under `each`; None when something is wrong (reported)."""
    given, each = row.raw("given"), row.raw("each")
    facts = _given(given, compiled) if given is not None else None
    if facts is None or each is None:
        return None if facts is None else [Case(row.node, facts)]
    value = each.pairs[0][1] if isinstance(each, Mapping) and len(each.pairs) == 1 else None
    if not isinstance(each, Mapping) or not isinstance(value, Sequence):
        sentence = (
            f"each is {shape(each)}; expected one name with a list of values, such as {{grind: [powder, clumps]}}"
        )
        compiled.tree.ctx.error(each, "wrong-shape", sentence)
        return None
    if len(value.items) < 2:
        compiled.tree.ctx.error(value, "too-few", "each has fewer than two values; put a single one under given")
        return None
    more = _given(each, compiled)
    return None if more is None else [Case(item, [*facts, fact]) for item, fact in zip(value.items, more, strict=True)]


def _given(node: Node, compiled: Compiled) -> list[Fact] | None:
    """The facts that an example tells, or None when one of them is wrong (reported)."""
    ctx = compiled.tree.ctx
    if not isinstance(node, Mapping):
        ctx.error(node, "wrong-shape", f"given is {shape(node)}; expected a mapping of names and values")
        return None
    facts: list[Fact] = []
    sound = True
    for key, value in node.pairs:
        reader = ConditionReader(compiled.names, ctx)
        domain = reader.domain(key)
        for item in value.items if isinstance(value, Sequence) else (value,):
            read = reader.value(key.text, item, domain) if domain is not None else None
            if isinstance(read, str | float):
                facts.append(Fact(key.text, read))
            else:
                sound = False
                if read is not None and isinstance(item, Scalar):
                    ctx.error(item, "not-here", "an example gives plain values, not variables")
    return facts if sound else None


def _wanted(row: Row, rule: ReadRule, compiled: Compiled) -> list[Fact] | None:
    """The facts that must follow: what `expect:` lists."""
    node = row.raw("expect")
    if node is None:
        return []
    ctx = compiled.tree.ctx
    if not isinstance(node, Sequence):
        ctx.error(node, "wrong-shape", f"expect is {shape(node)}; expected a list of conclusions")
        return None
    reader = ConclusionReader(rule.id, compiled.names, compiled.selectors, ctx)
    found = [reader.read(item) for item in node.items]
    facts = [
        Fact(one.conclusion.name, one.conclusion.value)
        for one in found
        if one is not None and isinstance(one.conclusion.value, str | float)
    ]
    return facts if len(facts) == len(node.items) else None
