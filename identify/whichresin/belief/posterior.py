"""The exact posterior over compounds and observer skills, with every group's luck summed out.

Log weights throughout, so no answer can bring a compound to zero. Observations are put into one canonical
order before anything is added up: the same answers give the same bits, however they came.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log

from whichresin.belief.decision import Target
from whichresin.belief.density import Density, Reading
from whichresin.belief.hypotheses import Belief
from whichresin.belief.likelihood import (
    SMALLEST_CHANCE,
    GroupKey,
    Luck,
    Observation,
    Witness,
    density_luck,
    group_key,
    group_luck,
    witnesses,
)
from whichresin.knowledge.model import Model

SMALLEST_WEIGHT = 1e-300  # a prior or factor of zero is read as this: nothing is ever beyond recall
LOWEST_LOG = -700.0  # about 1e-304 of the leader: still a number above 0
_REMEMBERED = 512

Logs = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Group:
    """The answers of one cue group, weighed: `luck` for an ordinary group, else `density`."""

    key: GroupKey
    logs: Logs  # per skill, per compound
    luck: Luck | None
    density: tuple[tuple[Density, ...], ...]  # per compound, per skill


@dataclass(slots=True)
class Workspace:
    """Remembers what was worked out for one model, so that only the changed cue group is mixed again.

    Passing one never changes a result, only the time. It may be thrown away any time.
    """

    groups: dict[tuple[Observation, ...], tuple[Group, ...]] = field(default_factory=dict)
    targets: dict[tuple[str, ...], Target] = field(default_factory=dict)
    model_key: str = ""

    def belong_to(self, model: Model) -> None:
        """Forget everything when the model is another one than before."""
        if self.model_key != model.key:
            self.groups.clear()
            self.targets.clear()
            self.model_key = model.key


@dataclass(frozen=True, slots=True)
class BeliefState:
    """The joint weights behind a `Belief`, kept for choosing what to ask next."""

    model: Model
    joint: tuple[tuple[float, ...], ...]  # per skill, per compound; sums to 1
    belief: Belief
    groups: Mapping[GroupKey, Group]
    answered: frozenset[str]


def posterior(
    model: Model,
    observations: Sequence[Observation],
    prior: Sequence[float] | None = None,
    factors: Sequence[float] | None = None,
    workspace: Workspace | None = None,
) -> Belief:
    """The belief after these observations.

    `prior` (any positive scale) replaces the compounds' own; `factors` multiply the likelihood of each
    compound (a rule's evidence, a marking). Raises BeliefError for an unknown cue, value, sureness or doubt.
    """
    return weigh(model, observations, prior, factors, workspace).belief


def weigh(
    model: Model,
    observations: Sequence[Observation],
    prior: Sequence[float] | None = None,
    factors: Sequence[float] | None = None,
    workspace: Workspace | None = None,
) -> BeliefState:
    """As `posterior`, with the joint weights that choosing a question needs."""
    groups = weigh_groups(model, observations, workspace)
    start = _log_prior(model, prior, factors)
    rows = []
    for place, skill in enumerate(model.observer.skills):
        share = log(max(skill.share, SMALLEST_WEIGHT))
        row = [weight + share for weight in start]
        for group in groups:
            row = [a + b for a, b in zip(row, group.logs[place], strict=True)]
        rows.append(row)
    top = max(max(row) for row in rows)
    raw = [[exp(max(value - top, LOWEST_LOG)) for value in row] for row in rows]
    total = sum(sum(row) for row in raw)
    joint = tuple(tuple(value / total for value in row) for row in raw)
    shares = log(sum(max(skill.share, SMALLEST_WEIGHT) for skill in model.observer.skills))
    belief = Belief(
        tuple(sum(column) for column in zip(*joint, strict=True)),
        tuple(sum(row) for row in joint),
        top + log(total) - shares,
    )
    answered = frozenset(observation.cue for observation in observations)
    return BeliefState(model, joint, belief, {group.key: group for group in groups}, answered)


def _log_prior(model: Model, prior: Sequence[float] | None, factors: Sequence[float] | None) -> list[float]:
    weights = [compound.prior for compound in model.compounds] if prior is None else list(prior)
    for name, given in (("prior", weights), ("factors", factors)):
        if given is not None and len(given) != len(model.compounds):
            raise ValueError(f"{name} has {len(given)} entries for {len(model.compounds)} compounds.")
    total = sum(weights)
    logs = [log(max(weight / total, SMALLEST_WEIGHT)) for weight in weights]
    if factors is None:
        return logs
    return [a + log(max(factor, SMALLEST_WEIGHT)) for a, factor in zip(logs, factors, strict=True)]


def weigh_groups(model: Model, observations: Sequence[Observation], workspace: Workspace | None = None) -> list[Group]:
    """The observations gathered by cue group, each group weighed; in the model's own cue order."""
    if workspace is not None:
        workspace.belong_to(model)
    together: dict[str, list[Observation]] = {}
    for observation in canonical(model, observations):
        cue = model.cues.get(observation.cue)
        together.setdefault(cue.group if cue else "", []).append(observation)
    found: list[Group] = []
    for members in together.values():
        found.extend(_weigh_group(model, tuple(members), workspace))
    return found


def canonical(model: Model, observations: Sequence[Observation]) -> list[Observation]:
    """The observations in the model's cue order; equal sets of answers give equal lists."""
    order = {cue: place for place, cue in enumerate(model.cues)}
    return sorted(observations, key=lambda o: (order.get(o.cue, -1), repr(o)))


def _weigh_group(model: Model, members: tuple[Observation, ...], workspace: Workspace | None) -> tuple[Group, ...]:
    if workspace is not None and members in workspace.groups:
        return workspace.groups[members]
    plain: dict[GroupKey, list[Witness]] = {}
    dense: dict[GroupKey, list[Reading]] = {}
    for observation in members:
        tabled, readings = witnesses(model, observation)
        for witness in tabled:
            plain.setdefault(witness.key, []).append(witness)
        if readings:
            dense.setdefault(group_key(model.cues[observation.cue]), []).extend(readings)
    skills = model.observer.skills
    found = []
    for key, group in plain.items():
        luck = group_luck(group, skills)
        found.append(Group(key, tuple(_spread(row, luck.entry_of) for row in luck.logs), luck, ()))
    for key, readings in dense.items():
        density = density_luck(model, readings)
        logs = (tuple(log(max(d.likelihood, SMALLEST_CHANCE)) for d in row) for row in density)
        found.append(Group(key, tuple(zip(*logs, strict=True)), None, density))
    if workspace is not None:
        if len(workspace.groups) >= _REMEMBERED:
            workspace.groups.clear()
        workspace.groups[members] = tuple(found)
    return tuple(found)


def _spread(row: Sequence[float], entry_of: Sequence[int]) -> tuple[float, ...]:
    return tuple([row[entry] for entry in entry_of])
