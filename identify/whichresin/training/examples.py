"""Run each rule's examples and near misses through the engine, together with all other rules.

An example gives facts; the rule must fire on them and its `expect:` must follow. On a near miss the rule must
not fire. `each: {name: [values]}` makes one case of every value, beside what is given. `known_miss: yes` marks
one that the rule is known to get wrong: it is silent until it comes right.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from whichresin.engine.chain import Chain
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
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

_FIRED = "\0fired"  # a name that no file can hold


@dataclass(slots=True)
class Played:
    """How examples went, each with all that its outcome can depend on; rules are numbered so that keys stay short."""

    numbers: dict[Rule, int] = field(default_factory=dict)
    runnable: frozenset[int] = frozenset()  # the rules that were last seen to run together
    faults: dict[object, list[str]] = field(default_factory=dict)
    resting: frozenset[int] = frozenset()  # the rules that `grounds` was worked out for
    grounds: dict[str, frozenset[int]] = field(default_factory=dict)

    def number(self, rule: Rule) -> int:
        return self.numbers.setdefault(rule, len(self.numbers))


def run_examples(compiled: Compiled, played: Played | None = None) -> int:
    """Report every example that fails; the number of examples and near misses that were run.

    `played` remembers how they went: an example is played again only when a rule that it can depend on changed.
    """
    stage = _Stage(compiled, played if played is not None else Played())
    if not stage.ready():
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
                ran += _run(stage, rule, item, key == "examples", compiled)
    return ran


class _Stage:
    """Plays one example with all rules, or remembers how it went with the rules that bear on it."""

    def __init__(self, compiled: Compiled, played: Played) -> None:
        sound = [(one, one.rule) for one in compiled.rules if one.rule is not None]
        self._played = played
        self._rules = [rule for _, rule in sound]
        self._number = {one.id: played.number(rule) for one, rule in sound}
        self._looks = {one.id: frozenset(use.name for use in one.uses) for one, _ in sound}
        self._makers: dict[str, list[str]] = {}
        for one, _ in sound:
            for name in dict.fromkeys(one.names_concluded()):
                self._makers.setdefault(name, []).append(one.id)
        every = frozenset(self._number.values())
        if every != played.resting:
            played.resting, played.grounds = every, {}
        self._grounds = played.grounds
        self._start: Chain | None = None
        self._here: dict[Fact, None] = {}  # what the chain was told last

    def ready(self) -> bool:
        """Whether the rules can run together at all."""
        every = frozenset(self._number.values())
        if every != self._played.runnable:
            try:
                self._chain()
            except RuleError:
                return False
            self._played.runnable = every
        return True

    def faults(self, rule: ReadRule, told: list[Fact], wanted: list[Fact], must_fire: bool) -> list[str]:
        """What is wrong with one example, in sentences."""
        names = self._looks[rule.id].union(fact.name for fact in wanted)
        key = (self._number[rule.id], tuple(told), tuple(wanted), must_fire, self._resting_on(names))
        found = self._played.faults.get(key)
        if found is None:
            chain = self._told(told)
            found = self._played.faults[key] = _faults(chain, rule, wanted, must_fire)
        return found

    def _told(self, told: list[Fact]) -> Chain:
        """The chain with these facts and no others. Cases next to each other differ in a fact or two, and what a
        chain answers does not depend on how it came to its facts: so only the difference is told or taken back."""
        chain, wanted = self._chain(), dict.fromkeys(told)
        for fact in [fact for fact in self._here if fact not in wanted]:
            chain.take_back(fact)
        for fact in [fact for fact in wanted if fact not in self._here]:
            chain.tell(fact)
        self._here = wanted
        return chain

    def _chain(self) -> Chain:
        """All rules with nothing told. Each also concludes that it fired, which is quicker to ask than all firings."""
        if self._start is None:
            marked = [replace(one, conclude=(*one.conclude, Conclusion(_FIRED, one.id))) for one in self._rules]
            self._start = Chain(RuleSet.compile(marked))
        return self._start

    def _resting_on(self, names: frozenset[str]) -> frozenset[int]:
        """Every rule that can have a say in whether facts of these names hold."""
        made = [name for name in names if name in self._makers]
        return frozenset().union(*map(self._behind, made)) if made else frozenset()

    def _behind(self, name: str) -> frozenset[int]:
        """As `_resting_on`, for one name."""
        if name not in self._grounds:
            seen: dict[str, None] = {}
            queue = [name]
            for here in queue:  # grows while it is read
                for maker in self._makers.get(here, ()):
                    if maker not in seen:
                        seen[maker] = None
                        queue.extend(self._looks[maker])
            self._grounds[name] = frozenset(self._number[one] for one in seen)
        return self._grounds[name]


def _missing(rule: ReadRule, key: str, ctx: Context) -> None:
    what = "examples" if key == "examples" else "near_misses, cases in which it must not fire"
    ctx.warning(rule.row.at("id"), "no-example", f"rule {shown(rule.id)} has no {what}")


def _run(stage: _Stage, rule: ReadRule, node: Node, must_fire: bool, compiled: Compiled) -> int:
    """All cases of one example; how many were run, 0 when it could not be read (reported)."""
    ctx = compiled.tree.ctx
    row = forms.EXAMPLE.read(node, ctx)
    cases = _cases(row, compiled) if row is not None else None
    wanted = _wanted(row, rule, compiled) if row is not None and cases is not None else None
    if row is None or cases is None or wanted is None:
        return 0
    found = [(case, stage.faults(rule, case.facts, wanted, must_fire)) for case in cases]
    if row.flag("known_miss"):
        if not any(faults for _, faults in found):
            ctx.warning(row.at("known_miss"), "miss-mended", "this known miss comes right now; take known_miss out")
        return len(found)
    code = "example-fails" if must_fire else "near-miss-fires"
    for case, faults in found:
        for fault in faults:
            ctx.error(case.node, code, fault)
    return len(found)


def _faults(chain: Chain, rule: ReadRule, wanted: Iterable[Fact], must_fire: bool) -> list[str]:
    fires = chain.holds(Fact(_FIRED, rule.id))
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


class Case(NamedTuple):
    """What one example or near miss tells, and the place to point at when it fails."""

    node: Node
    facts: list[Fact]


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
