"""Which answers, had they been otherwise, would turn a conclusion: the fewest of them.

Every answer that could have been given otherwise is put through rules and belief. If none turns the conclusion
alone, all pairs are weighed against the belief, and then threes of those that come nearest; each find is put
through the rules as well, and counts only if the conclusion still turns. The answers of one cue group are weighed
together; groups add up in logarithms.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from math import exp, log
from typing import NamedTuple

from whichresin.belief.decision import part_masses, verdict
from whichresin.belief.hypotheses import Belief
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import weigh, weigh_groups
from whichresin.belief.questions import remembered_target
from whichresin.knowledge.model import Cue, Model

from .believed import NONE_ID, sums_by
from .events import Answered, AnswerValue
from .facts import evidence, replace_facts, told_facts
from .state import State
from .weighed import Desk, Weighed, unread

MOST_IN_THREES = 12  # the changes that come nearest, tried three together
CHECKED = 6  # finds put through the rules before a size is given up
STEPS_G_CM3 = (0.03, 0.06, 0.12, 0.25)  # how far off a weighing is supposed to have been
SMALLEST = 1e-300

Place = tuple[int, ...]  # changed answers by their number among all changes
Logs = list[list[float]]  # per skill, per compound


class Reading(NamedTuple):
    """Something read off the belief, and how much of the belief stands behind what was read."""

    read: Callable[[Belief], str]
    support: Callable[[Belief, str], float]


def alternatives(cue: Cue, value: AnswerValue) -> list[AnswerValue]:
    """What else could have been answered: another word, one word of a set more or less, another weight."""
    if isinstance(value, float):
        return [round(value + sign * step, 4) for step in STEPS_G_CM3 for sign in (1.0, -1.0) if value > step]
    if isinstance(value, str):
        return [v.id for v in cue.values if v.id != value]
    words = [v for v in value if isinstance(v, str)]
    if cue.kind == "set":
        less: list[AnswerValue] = [tuple(w for w in words if w != word) for word in words]
        return less + [(*words, v.id) for v in cue.values if v.id not in words]
    pairs = [v for v in value if not isinstance(v, str)]
    turned = {"floats": ("sinks",), "sinks": ("floats",), "neutral": ("floats", "sinks")}
    return [
        tuple((d, other) if k == place else (d, result) for k, (d, result) in enumerate(pairs))
        for place in range(len(pairs))
        for other in turned.get(pairs[place][1], ())
    ]


class Search:
    """All answers that could have been otherwise, and what the belief would then be."""

    def __init__(self, desk: Desk, state: State, at: Weighed) -> None:
        self.desk, self.state, self.at, self.disturbed = desk, state, at, False
        model = self.model = desk.model
        self.klass = Reading(
            lambda belief: _leading(_classes(model, belief)),
            lambda belief, name: _classes(model, belief).get(name, 0.0),
        )
        target = remembered_target(model, state.target, state.shop, desk.workspace)
        self.decision = Reading(
            lambda belief: verdict(target, belief.compounds).action,
            lambda belief, name: sum(
                p for p, part in zip(part_masses(target, belief.compounds), target.parts, strict=True) if part == name
            ),
        )
        seen = self.seen = at.evidence.observations
        self.members: dict[str, list[int]] = {}
        for place, one in enumerate(seen):
            self.members.setdefault(model.cues[one.cue].group, []).append(place)
        base = {group: self._logs([seen[i] for i in places]) for group, places in self.members.items()}
        self.base = base
        self.start = _sum([self._prior(), *base.values()])
        self.changes = [
            (place, value)
            for place, one in enumerate(seen)
            for value in alternatives(model.cues[one.cue], state.answers[one.cue].value)
        ]
        self.deltas = [self._delta((k,)) for k in range(len(self.changes))]
        self._pairs: dict[Place, Logs] = {}
        self._beliefs: dict[Place, Belief] = {}
        self._run: dict[Place, Belief] = {}

    def _prior(self) -> Logs:
        weights = self.at.prior or [c.prior for c in self.model.compounds]
        factors = self.at.factors or [1.0] * len(weights)
        logs = [log(max(w, SMALLEST)) + log(max(f, SMALLEST)) for w, f in zip(weights, factors, strict=True)]
        return [[x + log(max(s.share, SMALLEST)) for x in logs] for s in self.model.observer.skills]

    def _logs(self, observations: Sequence[Observation]) -> Logs:
        groups = weigh_groups(self.model, observations, self.desk.workspace)
        flat = [0.0] * len(self.model.compounds)
        return _sum([[flat for _ in self.model.observer.skills], *[[list(r) for r in g.logs] for g in groups]])

    def _delta(self, chosen: Place) -> Logs:
        """What changing these answers, all of one cue group, adds to the logarithms."""
        values = {self.changes[k][0]: self.changes[k][1] for k in chosen}
        group = self.model.cues[self.seen[next(iter(values))].cue].group
        told = [self._said(i, values[i]) if i in values else self.seen[i] for i in self.members[group]]
        told = [one for one in told if one.value != ()]  # a look without a word is no evidence
        changed, base = self._logs(told), self.base[group]
        return [[a - b for a, b in zip(x, y, strict=True)] for x, y in zip(changed, base, strict=True)]

    def _said(self, place: int, value: AnswerValue) -> Observation:
        one = self.seen[place]
        if isinstance(value, tuple) and one.left_out:
            value = tuple(v for v in value if isinstance(v, str) and v not in one.left_out)
        return replace(one, value=value)

    def belief(self, chosen: Place) -> Belief:
        """The belief had these answers been otherwise, the rules' evidence held as it is."""
        if chosen not in self._beliefs:
            self._beliefs[chosen] = _belief(_sum([self.start, *self._added(chosen)]))
        return self._beliefs[chosen]

    def _added(self, chosen: Place) -> Iterator[Logs]:
        groups: dict[str, list[int]] = {}
        for k in chosen:
            groups.setdefault(self.model.cues[self.seen[self.changes[k][0]].cue].group, []).append(k)
        for together in groups.values():
            key = tuple(together)
            if len(key) == 1:
                yield self.deltas[key[0]]
                continue
            if key not in self._pairs:
                self._pairs[key] = self._delta(key)
            yield self._pairs[key]

    def fewest(self, reading: Reading) -> tuple[str, str, Place]:
        """(what is read now, what is read then, the fewest answers that turn it); the likeliest of equally few.

        No answers, and an empty text, when none of up to three turn it.
        """
        now = reading.read(self.at.belief.belief)
        for size in (1, 2, 3):
            weighed = self._with_rules if size == 1 else self.belief
            found = [c for c in self._sets(size, reading, now) if reading.read(weighed(c)) != now]
            found.sort(key=lambda c: (-self.belief(c).log_evidence, c))
            for chosen in found[:CHECKED]:
                then = reading.read(self._with_rules(chosen))
                if then != now:
                    return now, then, chosen
        return now, "", ()

    def _sets(self, size: int, reading: Reading, now: str) -> Iterator[Place]:
        chosen: Sequence[int] = range(len(self.changes))
        if size > 2:
            nearest = sorted(chosen, key=lambda k: reading.support(self.belief((k,)), now))
            chosen = sorted(nearest[:MOST_IN_THREES])
        for places in combinations(chosen, size):
            if len({self.changes[k][0] for k in places}) == size:
                yield places

    def _with_rules(self, chosen: Place) -> Belief:
        """The belief when rules and belief are run again with these answers."""
        if chosen in self._run:
            return self._run[chosen]
        self.disturbed, state, desk, at = True, self.state, self.desk, self.at
        for k in chosen:
            place, value = self.changes[k]
            old = state.answers[self.seen[place].cue]
            state = state.with_answer(Answered(old.cue, value, old.sure, old.uncertainty))
        told = told_facts(self.model, state, at.part, unread(at.marked))
        replace_facts(desk.chain, desk.told, told)
        desk.told = told
        seen = evidence(self.model, state, desk.chain)
        factors = seen.factors
        if at.marked is not None and at.marked.readable:
            ones = (1.0,) * len(self.model.compounds)
            factors = tuple(a * b for a, b in zip(factors or ones, at.marked.weights, strict=True))
        found = weigh(self.model, seen.observations, at.prior, factors, desk.workspace).belief
        self._run[chosen] = found
        return found


def _sum(all_of: Sequence[Logs]) -> Logs:
    return [[sum(column) for column in zip(*rows, strict=True)] for rows in zip(*all_of, strict=True)]


def _belief(logs: Logs) -> Belief:
    top = max(map(max, logs))
    raw = [[exp(max(x - top, -700.0)) for x in row] for row in logs]
    total = sum(map(sum, raw))
    columns = tuple(sum(column) / total for column in zip(*raw, strict=True))
    return Belief(columns, tuple(sum(row) / total for row in raw), top + log(total))


def _classes(model: Model, belief: Belief) -> Mapping[str, float]:
    return {NONE_ID: belief.compounds[-1], **sums_by(model, belief, "klass")}


def _leading(sums: Mapping[str, float]) -> str:
    return max(sums, key=lambda name: (sums[name], name))
