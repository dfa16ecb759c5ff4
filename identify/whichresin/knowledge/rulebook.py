"""Rules read into the engine's form, with the places and uses that later checks need."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import prod

from whichresin.engine.conditions import All, Condition, Never, Some
from whichresin.engine.rules import Rule
from whichresin.engine.ways import ways
from whichresin.vocabulary.text import shown

from .conclusions import Concluded, ConclusionReader, variable_of
from .conditions import ConditionReader, Use
from .names import Names
from .positions import Sequence
from .schema import Context, Row
from .selectors import Selectors
from .steps import Steps
from .tree import Tree

# Each way is a case of its own to the engine; two dozen `any` side by side would be millions.
MAX_WAYS = 200


@dataclass(frozen=True, slots=True, eq=False)
class ReadRule:
    """One rule with what it looks at and what it concludes. `rule` is None when a part of it was wrong. Equal only to
    itself."""

    id: str
    row: Row
    rule: Rule | None
    uses: tuple[Use, ...]
    concluded: tuple[Concluded, ...]

    def names_concluded(self) -> Iterable[str]:
        """Names of the facts that the rule derives."""
        return (one.conclusion.name for one in self.concluded)


def read_rules(tree: Tree, names: Names, selectors: Selectors, steps: Steps) -> tuple[ReadRule, ...]:
    """All rules, in order of id."""
    ctx, rows = tree.ctx, {name: tree.rules[name].row for name in sorted(tree.rules)}
    return tuple(
        steps.run(("rule", name), _read, ctx.report, name, row, ctx, names, selectors) for name, row in rows.items()
    )


def _read(name: str, row: Row, ctx: Context, names: Names, selectors: Selectors) -> ReadRule:
    before = ctx.report.errors_so_far()
    conditions = ConditionReader(names, ctx)
    when_node, conclude_node = row.raw("when"), row.raw("conclude")
    when = conditions.when(when_node) if when_node is not None else None
    if when is not None and most_ways(when) > MAX_WAYS:
        sentence = f"the conditions of {shown(name)} can hold in more than {MAX_WAYS} ways; split the rule"
        ctx.error(row.at("when"), "too-many-ways", sentence)
        when = None
    reader = ConclusionReader(name, names, selectors, ctx)
    concluded: list[Concluded] = []
    for node in conclude_node.items if isinstance(conclude_node, Sequence) else ():
        one = reader.read(node)
        if one is None:
            continue
        if one.against is not None and any(other.against is not None for other in concluded):
            ctx.error(node, "second-against", f"rule {shown(name)} has a second against; make it a rule of its own")
            continue
        variable = variable_of(one.conclusion)
        if variable is not None and when is not None and not _bound(variable, when):
            sentence = f"variable {shown('?' + variable)} gets no value in some way the rule can fire"
            ctx.error(node, "unbound-variable", sentence)
        concluded.append(one)
    rule = None
    if when is not None and concluded and ctx.report.errors_so_far() == before:
        rule = Rule(name, when, tuple(one.conclusion for one in concluded), row.text("because"), row.words("source"))
    return ReadRule(name, row, rule, tuple(conditions.uses), tuple(concluded))


def count_ways(condition: Condition) -> int:
    """In how many ways a condition can hold: `any` adds up its parts, `all` multiplies them."""
    if isinstance(condition, Some):
        return sum(count_ways(part) for part in condition.parts)
    if isinstance(condition, All):
        return prod(count_ways(part) for part in condition.parts)
    return 1


def most_ways(condition: Condition) -> int:
    """The largest number of ways in the condition itself and in what it denies."""
    most = sum(count_ways(part) for part in condition.parts) if isinstance(condition, Never) else count_ways(condition)
    inner = condition.parts if isinstance(condition, All | Some | Never) else ()
    return max([most, *(most_ways(part) for part in inner)])


def _bound(variable: str, when: All) -> bool:
    """Whether every way in which the conditions can hold gives the variable a value."""
    return all(variable in way.variables() for way in ways(when))
