"""One simulated interview, held by the tool's own rules, belief, question choice and stop.

The rules speak in full: doubts, answers that tell the same, evidence against, and questions kept back. Left
out: the gate cues (they say nothing of the material) and the free words of part and marking; a part that has
been named counts as understood.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from whichresin.belief.contradiction import find
from whichresin.belief.decision import DEFER, action_losses, part_masses, target_of
from whichresin.belief.hypotheses import Belief
from whichresin.belief.kin import Doubt
from whichresin.belief.likelihood import Answer, BeliefError
from whichresin.belief.posterior import BeliefState, Workspace, weigh
from whichresin.belief.questions import cost_of
from whichresin.belief.reported import reported
from whichresin.belief.sampling import Bench, draw_answer, draw_bench, draw_index
from whichresin.belief.stopping import choose
from whichresin.engine.chain import Chain
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Cue, Model, PartKind
from whichresin.session.asking import askable
from whichresin.session.believed import NONE_ID, filled_of, sums_by
from whichresin.session.events import Answered, Declined
from whichresin.session.facts import Evidence, evidence, replace_facts, told_facts
from whichresin.session.reasons import contradictions
from whichresin.session.state import State, step
from whichresin.session.understand import PartReading
from whichresin.session.weighed import Desk

from .misfit import World

NAMED = 0.5  # share of the parts whose kind is named
OFTEN_UNSURE = 0.10  # share of the people who often do not know
UNSURE, SELDOM_UNSURE = 0.30, 0.02  # how often these, and the others, do not know
BURST = 3  # wrong answers in a row
OTHER_PLASTIC = 0.25  # how often the second plastic of a regrind part gives the answer
LONGEST = 60  # questions; more than there are, so only a policy that never stops meets it


@dataclass(slots=True)
class Turn:
    """What lies before a policy: the belief, what may be asked, and who asks."""

    model: Model
    state: State
    belief: BeliefState
    cues: Sequence[str]
    work: Workspace
    rng: random.Random
    doubt: Callable[[], Doubt] | None = None


class Move(NamedTuple):
    """What to ask, or "" to stop; with the stop's reason and the status that the tool would show."""

    asked: str
    stop: str
    status: str
    strangeness: float | None = None


Policy = Callable[[Turn], Move]


@dataclass(frozen=True, slots=True)
class Setting:
    """How interviews are held."""

    world: World
    seed: int
    target: str = "decision"
    shop: tuple[str, ...] = ()
    allow: tuple[str, ...] = ()
    part: str = ""  # a part kind for every interview; "" draws one


@dataclass(frozen=True, slots=True)
class Played:
    """How one interview ended. Probabilities are what the tool said; `*_right` is what was true."""

    index: int
    material: str
    known: bool  # the material is in the tool's knowledge
    skill: str
    stop: str
    status: str
    alarm: bool
    strangeness: float | None  # None when no conclusion was near
    answers: int  # answered
    unsure: int  # asked, not answered
    minutes: float  # cost of the questions, with hazard and marks
    hazard: float  # the hazard's share of it
    guarded: int  # tests of medium or high hazard
    klass: str
    klass_p: float
    klass_right: bool
    klass_true_p: float
    klass_brier: float
    polymer: str
    polymer_p: float
    polymer_right: bool
    polymer_true_p: float
    polymer_brier: float
    cell: str
    cell_p: float
    cell_right: bool
    filler_right: bool
    filler_p: float
    filled_right: bool
    filled_p: float
    action: str
    loss: float  # of what was done, minutes
    wrong: bool  # it was treated as another cell


def own_policy(target: str, shop: tuple[str, ...]) -> Policy:
    """The tool's own choice."""

    def policy(at: Turn) -> Move:
        choice = choose(at.model, at.belief, at.cues, target, shop, workspace=at.work, sceptic=at.doubt)
        asked = choice.proposal.cue if choice.proposal else ""
        return Move(asked, choice.stop, choice.status, choice.strangeness)

    return policy


class Player:
    """Plays interviews of one setting; the desk stays warm from one to the next."""

    def __init__(self, setting: Setting, policy: Policy | None = None) -> None:
        self.setting = setting
        self._policy = policy or own_policy(setting.target, setting.shop)
        tool = setting.world.tool
        self._desk = Desk(tool, Chain(RuleSet.compile(tool.rules)), Workspace())
        self._target = target_of(tool, setting.target, setting.shop)
        kinds = [k for k in tool.parts.values() if k.gate in ("open", "ask") and any(t != 1.0 for t in k.tilt)]
        if setting.part and setting.part not in tool.parts:
            raise ValueError(f"{setting.part!r} is not a kind of part; they are {', '.join(sorted(tool.parts))}.")
        self._kinds = [tool.parts[setting.part]] if setting.part else kinds

    def play(self, index: int) -> Played:
        """Interview number `index`: its own random numbers, so that the order of playing changes nothing."""
        setting, world, tool = self.setting, self.setting.world, self.setting.world.tool
        rng = random.Random(f"{setting.seed}:{index}")
        kind = self._kind(rng)
        person = _Person(world, kind, rng)
        reading = PartReading(kind.name, kind, "clear", (), kind.gate, kind) if kind else None
        prior = [c.prior * t for c, t in zip(tool.compounds, kind.tilt, strict=True)] if kind else None
        state, unsure = State(allowed=setting.allow, shop=setting.shop, target=setting.target), 0
        minutes, hazard, guarded = 0.0, 0.0, 0
        own = random.Random(f"{setting.seed}:{index}:policy")
        while True:
            seen = self._evidence(state, reading)
            at = Turn(
                tool,
                state,
                weigh(tool, seen.observations, prior, seen.factors, self._desk.workspace),
                askable(tool, state, self._desk.chain).cues,
                self._desk.workspace,
                own,
                self._desk.doubt(seen, prior),
            )
            asked, stop, status, strangeness = self._policy(at)
            if not asked or len(state.answers) + unsure >= LONGEST:
                break
            cue = tool.cues[asked]
            minutes += cost_of(tool, cue)
            hazard += tool.losses.hazard_minutes[cue.hazard]
            guarded += cue.hazard in ("medium", "high")
            answer = person.answer(world.true.cues[asked])
            if answer is None:
                unsure += 1
                state = step(state, Declined(asked))
            else:
                state = state.with_answer(Answered(asked, answer))
        alarm = find(tool, seen.observations, at.belief.belief, prior, seen.factors, self._desk.workspace).alarm
        if alarm or contradictions(tool, self._desk.chain):
            status = "contradiction"
        counted = _Counted(len(state.answers), unsure, minutes, hazard, guarded)
        said = reported(tool, at.belief.belief, prior)
        return self._end(index, person, at.belief.belief, said, _Ended(stop, status, alarm, strangeness), counted)

    def _kind(self, rng: random.Random) -> PartKind | None:
        named, place = rng.random() < NAMED or bool(self.setting.part), int(rng.random() * len(self._kinds))
        return self._kinds[place] if named and self._kinds else None

    def _evidence(self, state: State, reading: PartReading | None) -> Evidence:
        desk = self._desk
        told = told_facts(desk.model, state, reading)
        replace_facts(desk.chain, desk.told, told)
        desk.told = told
        return evidence(desk.model, state, desk.chain)

    def _end(
        self,
        index: int,
        person: _Person,
        raw: Belief,
        belief: Belief,
        ended: _Ended,
        counted: _Counted,
    ) -> Played:
        tool, truth = self.setting.world.tool, person.truth
        known = truth.id != NONE_ID and truth.material not in self.setting.world.missing
        klass, polymer = sums_by(tool, belief, "klass"), sums_by(tool, belief, "material")
        klass[NONE_ID] = polymer[NONE_ID] = belief.compounds[-1]
        true_class = truth.klass if truth.id != NONE_ID else NONE_ID
        true_polymer = truth.material if known else NONE_ID
        cells = _cells(tool, belief)
        cell = max(cells, key=lambda name: cells[name])
        fillers, inside = sums_by(tool, belief, "filler"), _inside(tool, belief)
        filler = max(fillers, key=lambda name: fillers[name])
        losses = action_losses(self._target, part_masses(self._target, raw.compounds))
        act = losses.index(min(losses))
        # Who is told "unknown" takes the cautious way out.
        action = DEFER if ended.status == "unknown" else self._target.actions[act]
        true_target = truth.cell if self.setting.target == "decision" else true_polymer
        stated = max(klass, key=lambda name: klass[name])
        name = max(polymer, key=lambda name: polymer[name])
        return Played(
            index,
            truth.material,
            known,
            person.bench.skill.id,
            *ended,
            counted.answers,
            counted.unsure,
            counted.minutes,
            counted.hazard,
            counted.guarded,
            stated,
            klass[stated],
            stated == true_class,
            klass.get(true_class, 0.0),
            _brier(klass, true_class),
            name,
            polymer[name],
            name == true_polymer,
            polymer.get(true_polymer, 0.0),
            _brier(polymer, true_polymer),
            cell,
            cells[cell],
            cell == truth.cell,
            filler == truth.filler,
            fillers[filler] / sum(fillers.values()),
            (inside >= 0.5) == (filled_of(truth) == "yes"),
            max(inside, 1.0 - inside),
            action,
            self._loss(action, true_target, truth.cell),
            action not in ("defer", true_target),
        )

    def _loss(self, action: str, true_target: str, true_cell: str) -> float:
        """Minutes lost by the cell's table (or by the name), without the splits of the shop."""
        losses = self.setting.world.tool.losses
        if self.setting.target == "polymer":
            if action == "defer":
                return losses.polymer_defer
            return 0.0 if action == true_target else losses.polymer_wrong
        return losses.table[losses.cells.index(true_cell)][losses.actions.index(action)]


class _Ended(NamedTuple):
    stop: str
    status: str
    alarm: bool
    strangeness: float | None


class _Counted(NamedTuple):
    answers: int
    unsure: int
    minutes: float
    hazard: float
    guarded: int


class _Person:
    """The part and the observer of one interview, drawn from the world, with all that goes wrong."""

    def __init__(self, world: World, kind: PartKind | None, rng: random.Random) -> None:
        self.rng, true, misfit = rng, world.true, world.misfit
        # The tilts of the tool's model lack the missing materials; the world's own are complete.
        tilt = true.parts[kind.id].tilt if kind else None
        prior = [c.prior * (tilt[i] if tilt else 1.0) for i, c in enumerate(true.compounds)]
        drawn = prior
        if misfit.strangers and rng.random() < misfit.strangers:
            material = rng.choice(sorted(world.missing))
            drawn = [p if c.material == material else 0.0 for c, p in zip(true.compounds, prior, strict=True)]
        outside = rng.random() < misfit.outside
        self.bench: Bench = draw_bench(true, rng.random, drawn, len(true.compounds) - 1 if outside else None)
        self.truth = true.compounds[self.bench.compound]
        self.world = world
        self.unsure = UNSURE if rng.random() < OFTEN_UNSURE else SELDOM_UNSURE
        self.coated = rng.random() < misfit.painted
        regrind, other = rng.random() < misfit.regrind, draw_index(prior, rng.random)
        self.other = other if regrind else None
        burst, first = rng.random() < misfit.bursts, int(rng.random() * 5.0)
        self.wrong = range(first, first + BURST) if burst else range(0)
        self.asked = 0

    def answer(self, cue: Cue) -> Answer | None:
        """What is answered, or None for 'I do not know'."""
        rng, place = self.rng, self.asked
        self.asked += 1
        if rng.random() < self.unsure:
            return None
        if place in self.wrong:
            return self._wrong(cue)
        compound = self.bench.compound
        if self.coated and rng.random() < self.world.coated.get(cue.id, 0.0):
            compound = draw_index([c.prior for c in self.world.true.compounds], rng.random)
        elif self.other is not None and rng.random() < OTHER_PLASTIC:
            compound = self.other
        return draw_answer(self.bench, cue, rng.random, compound=compound)

    def _wrong(self, cue: Cue) -> Answer:
        """An answer that the part would not usually give; any such answer alike."""
        rng = self.rng
        if cue.physics == "density":
            return 0.8 + 1.6 * rng.random()
        if cue.physics:
            sinks = self.bench.density_g_cm3 > 1.0
            return ("floats" if sinks else "sinks") if rng.random() < 0.8 else "neutral"
        if cue.table is None:
            raise BeliefError(f"{cue.id!r} cannot be answered.")
        row = cue.table.rows[cue.table.row_of[self.bench.compound]]
        if cue.kind == "set":
            seldom = [v.id for v, p in zip(cue.values, row, strict=True) if p < 0.5]
            return (seldom[int(rng.random() * len(seldom))],) if seldom else ()
        usual = row.index(max(row))
        others = [v.id for place, v in enumerate(cue.values) if place != usual]
        return others[int(rng.random() * len(others))]


def _cells(model: Model, belief: Belief) -> dict[str, float]:
    found: dict[str, float] = {}
    for compound, p in zip(model.compounds, belief.compounds, strict=True):
        found[compound.cell] = found.get(compound.cell, 0.0) + p
    return found


def _inside(model: Model, belief: Belief) -> float:
    known = list(zip(model.compounds[:-1], belief.compounds[:-1], strict=True))
    return sum(p for c, p in known if filled_of(c) == "yes") / sum(p for _, p in known)


def _brier(chances: dict[str, float], true: str) -> float:
    """Sum of squares over all that could be said (Brier, Monthly Weather Review 78 (1950) 1-3): 0 to 2."""
    whole = sum(p * p for p in chances.values())
    hit = chances.get(true)
    return whole + 1.0 if hit is None else whole - hit * hit + (1.0 - hit) ** 2
