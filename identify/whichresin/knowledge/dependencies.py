"""Checks on how rules rest on one another: belief may not feed evidence, the gate rests on the part alone,
evidence enters once, and no rule denies its own ground."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Mapping as Map

from whichresin.engine.strata import negation_cycles
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .names import GATE_FACTS, PART_FACTS, Names, is_belief
from .rulebook import ReadRule
from .schema import Context

_EVIDENCE_KINDS = ("against", "doubt", "mute")


def check_dependencies(rules: Iterable[ReadRule], names: Names, ctx: Context) -> None:
    """Report every rule that rests on what it must not rest on."""
    every = tuple(rules)
    grounds = _Grounds(every)
    for rule in every:
        for one in rule.concluded:
            is_gate = one.kind == "fact" and one.conclusion.name in GATE_FACTS
            if one.kind in _EVIDENCE_KINDS or is_gate:
                what = one.conclusion.name if is_gate else one.kind
                _no_belief(rule, what, grounds, ctx)
            if is_gate:
                _only_part(rule, one.conclusion.name, grounds, names, ctx)
            if one.against is not None:
                _once(rule, set(one.against.instead_of), grounds, names, ctx)
    _no_cycles(every, ctx)


class _Grounds:
    """For each rule the told names that it rests on in the end, each with the path of rules in between."""

    def __init__(self, rules: tuple[ReadRule, ...]) -> None:
        self._makers: dict[str, list[ReadRule]] = {}
        for rule in rules:
            for name in dict.fromkeys(rule.names_concluded()):
                self._makers.setdefault(name, []).append(rule)

    def of(self, rule: ReadRule, positive_only: bool = False) -> Map[str, tuple[str, ...]]:
        """Told names -> ids of the rules between `rule` and the name (breadth first: the shortest path)."""
        found: dict[str, tuple[str, ...]] = {}
        seen = {rule.id}
        queue: list[tuple[ReadRule, tuple[str, ...]]] = [(rule, ())]
        for here, path in queue:
            for use in here.uses:
                if positive_only and use.negative:
                    continue
                makers = self._makers.get(use.name, [])
                if not makers:
                    found.setdefault(use.name, path)
                for maker in makers:
                    if maker.id not in seen:
                        seen.add(maker.id)
                        queue.append((maker, (*path, maker.id)))
        return found


def _no_belief(rule: ReadRule, what: str, grounds: _Grounds, ctx: Context) -> None:
    for name, path in grounds.of(rule).items():
        if is_belief(name):
            sentence = f"rule {shown(rule.id)} concludes {what} and rests on {shown(name)}{_through(path)}"
            hint = "what the belief says may not feed evidence or the gate"
            ctx.error(rule.row.at("id"), "belief-feeds-evidence", sentence, hint)
            return


def _only_part(rule: ReadRule, what: str, grounds: _Grounds, names: Names, ctx: Context) -> None:
    for name, path in grounds.of(rule).items():
        topic = names.topics.get(name, "")
        if topic in ("gate", "part") or name in PART_FACTS or is_belief(name):
            continue  # belief is reported by its own check
        if name not in names.domains or name in names.derived or name in GATE_FACTS:
            continue  # unknown: reported elsewhere; derived, but concluded by no rule: never holds
        sentence = f"rule {shown(rule.id)} concludes {what} and rests on {shown(name)}{_through(path)}"
        ctx.error(
            rule.row.at("id"),
            "gate-rests-on-test",
            sentence,
            "the gate may rest on gate and part questions only",
        )
        return


def _once(rule: ReadRule, instead_of: set[str], grounds: _Grounds, names: Names, ctx: Context) -> None:
    for name, path in grounds.of(rule, positive_only=True).items():
        cue = "float_liquids" if name in ("floats_at", "sinks_at") else name
        if cue in names.evidence and cue not in instead_of:
            via = _through(path)
            sentence = f"rule {shown(rule.id)} brings evidence from cue {shown(cue)}{via}, which counts by itself"
            ctx.error(rule.row.at("id"), "counted-twice", sentence, f"name it in instead_of: [{cue}]")


def _through(path: tuple[str, ...]) -> str:
    return f" through {listed(path)}" if path else ""


def _no_cycles(rules: tuple[ReadRule, ...], ctx: Context) -> None:
    by_id = {rule.id: rule for rule in rules}
    cycles = negation_cycles([rule.rule for rule in rules if rule.rule is not None])
    for cycle in cycles:
        start = cycle.rules.index(min(cycle.rules))
        first, *others = [by_id[name] for name in (*cycle.rules[start:], *cycle.rules[:start])]
        where = ", ".join(f"{shown(rule.id)} ({rule.row.node.file}:{rule.row.node.line})" for rule in others)
        circle = f"with {where}" if others else "by itself"
        about = listed(sorted(cycle.names))
        sentence = f"rule {shown(first.id)} goes in a circle through a negation {circle}; facts: {about}"
        ctx.error(first.row.at("id"), "negation-cycle", sentence, "let one of them conclude or look at another fact")
