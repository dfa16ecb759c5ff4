"""Run each rule's examples and near misses through the engine, together with all other rules.

An example gives facts; the rule must fire on them and its `expect:` must follow. On a near miss the rule must
not fire. `known_miss: yes` marks one that the rule is known to get wrong: it is silent until it comes right.
"""

from __future__ import annotations

from collections.abc import Iterable

from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.engine.rules import RuleError
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge import forms
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.conclusions import ConclusionReader
from whichresin.knowledge.conditions import ConditionReader
from whichresin.knowledge.positions import Mapping, Node, Scalar, Sequence
from whichresin.knowledge.rulebook import ReadRule
from whichresin.knowledge.schema import Context, Row, shape
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed


def run_examples(compiled: Compiled) -> int:
    """Report every example that fails; the number of examples and near misses that were run."""
    rules = [one.rule for one in compiled.rules if one.rule is not None]
    try:
        start = Chain(RuleSet.compile(rules))
    except RuleError:
        return 0  # reported as a cycle or an unbound variable: nothing can run
    ran = 0
    for rule in compiled.rules:
        if rule.rule is None:
            continue
        for key in ("examples", "near_misses"):
            node = rule.row.raw(key)
            if node is None:
                _missing(rule, key, compiled.tree.ctx)
            for item in node.items if isinstance(node, Sequence) else ():
                ran += _run(start, rule, item, key == "examples", compiled)
    return ran


def _missing(rule: ReadRule, key: str, ctx: Context) -> None:
    what = "examples" if key == "examples" else "near_misses, cases in which it must not fire"
    ctx.warning(rule.row.at("id"), "no-example", f"rule {shown(rule.id)} has no {what}")


def _run(start: Chain, rule: ReadRule, node: Node, must_fire: bool, compiled: Compiled) -> bool:
    """One example; False when it could not be read (reported)."""
    ctx = compiled.tree.ctx
    row = forms.EXAMPLE.read(node, ctx)
    given = row.raw("given") if row is not None else None
    if row is None or given is None:
        return False
    facts = _given(given, compiled)
    wanted = _wanted(row, rule, compiled)
    if facts is None or wanted is None:
        return False
    chain = start.copy()
    for fact in facts:
        chain.tell(fact)
    faults = _faults(chain, rule, wanted, must_fire)
    if row.flag("known_miss"):
        if not faults:
            ctx.warning(row.at("known_miss"), "miss-mended", "this known miss comes right now; take known_miss out")
        return True
    code = "example-fails" if must_fire else "near-miss-fires"
    for fault in faults:
        ctx.error(row.node, code, fault)
    return True


def _faults(chain: Chain, rule: ReadRule, wanted: Iterable[Fact], must_fire: bool) -> list[str]:
    fires = any(firing.rule == rule.id for firing in chain.firings())
    if not must_fire:
        return [f"rule {shown(rule.id)} fires on this near miss"] if fires else []
    if not fires:
        return [f"rule {shown(rule.id)} does not fire on this example"]
    faults = []
    for fact in wanted:
        if not chain.holds(fact):
            there = [f"{fact.name} = {value}" for value in chain.values(fact.name)]
            found = f"there is {listed(there)}" if there else f"there is no {fact.name}"
            faults.append(f"rule {shown(rule.id)} fires, but {shown(str(fact))} does not follow; {found}")
    return faults


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
