"""Do the answers fit any compound at all, or do they speak of two different parts?

For one compound the answers are taken in the model's cue order, and each is predicted from those before it (the
observer's skill, the luck of the test and the true density learned so far included). Its score is
s = log(p(answer) / q(answer)), q being how often parts at large give that answer: how much better the compound
explains it than no part in particular. The fit

    z = sum(s - E[s]) / sqrt(sum(Var[s]))

compares the scores with what the compound's own tables lead to expect: about standard normal, skewed to the
left, for answers that do belong to it (the prequential test of Seillier-Moiseiwitsch and Dawid, JASA 88 (1993)
355-359, with the score of a likelihood ratio). A rare polymer is measured by its own tables, and a vague one
expects vague answers, so neither is alarming. The answers contradict each other when z is low on average over
the compounds that are still believed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt
from operator import mul

from whichresin.belief.density import (
    RESULTS,
    SLIP_HIGH_G_CM3,
    SLIP_LOW_G_CM3,
    SLIP_PDF,
    Reading,
    float_chances,
    normal_pdf,
    normal_quantile,
    weigh_density,
)
from whichresin.belief.hypotheses import Belief
from whichresin.belief.likelihood import (
    SMALLEST_CHANCE,
    GroupKey,
    Observation,
    Witness,
    slip_answers,
    witnesses,
)
from whichresin.belief.posterior import Workspace, canonical, posterior
from whichresin.knowledge.model import Cue, Model

# Tuned by simulation (tests/belief/test_contradiction.py): answers drawn from one compound raise the alarm in
# fewer than 2 % of interviews, whatever the compound and whatever the base of compounds; one number serves all,
# because each compound is measured by its own tables.
ALARM_BELOW = -2.1
PLAUSIBLE = 0.02  # share of the likeliest compound's probability that makes another one plausible
MOST_PLAUSIBLE = 12
FEWEST_ANSWERS = 3
_STEPS = 15


@dataclass(frozen=True, slots=True)
class Finding:
    """How well the answers fit what is believed, and the plausible compound that they fit best.

    `worst` names the answer most worth repeating: without it the fit improves most. It is empty without an
    alarm.
    """

    alarm: bool
    z: float
    compound: str
    worst: str
    z_without_worst: float


def find(
    model: Model,
    observations: Sequence[Observation],
    belief: Belief,
    prior: Sequence[float] | None = None,
    factors: Sequence[float] | None = None,
    workspace: Workspace | None = None,
) -> Finding:
    """Whether the answers contradict each other, and which one to repeat.

    `prior` and `factors` are those that `belief` was worked out with.
    """
    told = [seen for seen in canonical(model, observations) if any(witnesses(model, seen))]
    z, compound = mean_fit(model, told, belief)
    if len(told) < FEWEST_ANSWERS or z >= ALARM_BELOW:
        return Finding(False, z, compound, "", z)
    best, worst = z, ""
    for place, seen in enumerate(told):
        rest = told[:place] + told[place + 1 :]
        without, _ = mean_fit(model, rest, posterior(model, rest, prior, factors, workspace))
        if without > best or not worst:
            best, worst = without, seen.cue
    return Finding(True, z, compound, worst, best)


@dataclass(frozen=True, slots=True)
class _Told:
    """One answer taken apart, with how often parts at large give each answer (`usual`, per value)."""

    cue: Cue
    words: tuple[Witness, ...]
    readings: tuple[Reading, ...]
    usual: tuple[float, ...]
    flats: tuple[float, ...]


def _taken_apart(model: Model, observations: Sequence[Observation]) -> list[_Told]:
    found = []
    for seen in canonical(model, observations):
        words, readings = witnesses(model, seen)
        cue = model.cues[seen.cue]
        usual = _usual_words(model, cue) if words else ()
        flats = slip_answers(cue, model.observer) if words else ()
        found.append(_Told(cue, tuple(words), tuple(readings), usual, flats))
    return found


def _usual_words(model: Model, cue: Cue) -> tuple[float, ...]:
    """How often each word is given for a part drawn from the prior."""
    if cue.table is None:
        return ()
    masses = [0.0] * len(cue.table.rows)
    for row, compound in zip(cue.table.row_of, model.compounds, strict=True):
        masses[row] += compound.prior
    return tuple([sum(map(mul, masses, column)) for column in zip(*cue.table.rows, strict=True)])


def _population(model: Model) -> tuple[float, float]:
    """Mean and sd of the density of parts at large, g/cm3."""
    total = sum(c.prior for c in model.compounds)
    mean = sum(c.prior * c.density_g_cm3 for c in model.compounds) / total
    square = sum(c.prior * (c.density_sd_g_cm3**2 + c.density_g_cm3**2) for c in model.compounds) / total
    return mean, sqrt(max(square - mean * mean, 1e-6))


def mean_fit(model: Model, observations: Sequence[Observation], belief: Belief) -> tuple[float, str]:
    """The z of the answers averaged over the plausible compounds by belief, and the best fitting one's id.

    'None of these' is not among them: it expects anything.
    """
    known = range(len(model.compounds) - 1)
    ranked = sorted(known, key=lambda i: (-belief.compounds[i], i))[:MOST_PLAUSIBLE]
    least = PLAUSIBLE * belief.compounds[ranked[0]]
    told = _taken_apart(model, observations)
    scores = [
        (_fit(model, told, i), belief.compounds[i], model.compounds[i].id)
        for i in ranked
        if belief.compounds[i] >= least
    ]
    total = sum(weight for _, weight, _ in scores)
    return sum(z * weight for z, weight, _ in scores) / total, max(scores)[2]


def fit(model: Model, observations: Sequence[Observation], compound: int) -> float:
    """The z of these answers under one compound: about standard normal when they belong to it."""
    return _fit(model, _taken_apart(model, observations), compound)


def _fit(model: Model, told: Sequence[_Told], compound: int) -> float:
    skills = model.observer.skills
    weights = [skill.share for skill in skills]
    clear: dict[GroupKey, list[float]] = {}
    readings: list[Reading] = []
    gap = spread = 0.0
    for answer in told:
        table = answer.cue.table
        for word in answer.words:
            if table is None:
                continue
            row, usual, place = table.rows[table.row_of[compound]], answer.usual, word.place
            flats: Sequence[float] = answer.flats
            if answer.cue.kind == "set":  # each word is a question of its own: reported or not
                said, often = row[place], usual[place]
                row, usual, place = (said, 1.0 - said), (often, 1.0 - often), 0 if word.said else 1
                flats = (answer.flats[word.place], 1.0 - answer.flats[word.place])
            luck = clear.setdefault(word.key, [1.0 - skill.muddled for skill in skills])
            off, variance = _word_step(weights, luck, row, word, place, usual, flats)
            gap, spread = gap + off, spread + variance
        for reading in answer.readings:
            step = _weighing_step if not reading.result else _float_step
            off, variance = step(model, compound, weights, readings, reading)
            gap, spread = gap + off, spread + variance
            readings.append(reading)
    return gap / sqrt(spread) if spread > 0.0 else 0.0


def _word_step(
    weights: list[float],
    clear: list[float],
    row: Sequence[float],
    word: Witness,
    told: int,
    usual: Sequence[float],
    flats: Sequence[float],
) -> tuple[float, float]:
    """Off and variance of one word's log chance; skills and luck learn from it, in place.

    `told` is the place in `row` of what was said; `flats` is what a slip says.
    """
    chances = [0.0] * len(row)
    terms = []
    for place, weight in enumerate(weights):
        slip, sure = word.slips[place], clear[place]
        clean = sure * (1.0 - slip)
        for v, flat in enumerate(flats):
            chances[v] += weight * (clean * row[v] + (1.0 - clean) * flat)
        terms.append(clean * row[told] + (1.0 - clean) * word.flat)
        clear[place] = sure * ((1.0 - slip) * row[told] + slip * word.flat) / terms[place]
    _learn(weights, terms)
    return _off(chances, usual, told)


def _float_step(
    model: Model, compound: int, weights: list[float], before: Sequence[Reading], reading: Reading
) -> tuple[float, float]:
    chances = []
    told = [1.0] * len(weights)
    for result in RESULTS:
        terms = _density_terms(model, compound, before, reading._replace(result=result))
        chances.append(sum(map(mul, weights, terms)))
        if result == reading.result:
            told = terms
    _learn(weights, told)
    mean, sd = _population(model)
    spread = sqrt(sd * sd + reading.uncertainty_g_cm3**2)
    usual = float_chances(reading.g_cm3 - mean, spread, model.observer.neutral_within_g_cm3)
    return _off(chances, [0.9 * u + 0.1 / len(RESULTS) for u in usual], RESULTS.index(reading.result))


def _weighing_step(
    model: Model, compound: int, weights: list[float], before: Sequence[Reading], reading: Reading
) -> tuple[float, float]:
    """As for a word, over a grid of densities that a weighing could have given."""
    one, count = model.compounds[compound], len(weights)
    within = model.observer.neutral_within_g_cm3
    found = weigh_density(one.density_g_cm3, one.density_sd_g_cm3, tuple(before), count, within)
    slip = sum(map(mul, weights, reading.slips))
    mean = sum(w * d.mean_g_cm3 for w, d in zip(weights, found, strict=True))
    sd = sqrt(sum(w * d.sd_g_cm3**2 for w, d in zip(weights, found, strict=True)) + reading.uncertainty_g_cm3**2)
    steps = [(k + 0.5) / _STEPS for k in range(_STEPS)]
    places = [(mean + sd * normal_quantile(step), (1.0 - slip) / _STEPS) for step in steps]
    places += [(SLIP_LOW_G_CM3 + step * (SLIP_HIGH_G_CM3 - SLIP_LOW_G_CM3), slip / _STEPS) for step in steps]

    whole, width = _population(model)

    def log_chance(x_g_cm3: float) -> float:
        clean = (1.0 - slip) * normal_pdf((x_g_cm3 - mean) / sd) / sd + slip * SLIP_PDF
        return log(clean / (0.9 * normal_pdf((x_g_cm3 - whole) / width) / width + 0.1 * SLIP_PDF))

    expected = sum(weight * log_chance(x) for x, weight in places)
    variance = sum(weight * (log_chance(x) - expected) ** 2 for x, weight in places)
    off = log_chance(reading.g_cm3) - expected
    _learn(weights, _density_terms(model, compound, before, reading))
    return off, variance


def _density_terms(model: Model, compound: int, before: Sequence[Reading], reading: Reading) -> list[float]:
    """Per skill: the chance (or density) of one more reading after those before it."""
    one, count = model.compounds[compound], len(reading.slips)
    within = model.observer.neutral_within_g_cm3
    old = weigh_density(one.density_g_cm3, one.density_sd_g_cm3, tuple(before), count, within)
    new = weigh_density(one.density_g_cm3, one.density_sd_g_cm3, (*before, reading), count, within)
    return [
        max(b.likelihood, SMALLEST_CHANCE) / max(a.likelihood, SMALLEST_CHANCE) for a, b in zip(old, new, strict=True)
    ]


def _learn(weights: list[float], terms: Sequence[float]) -> None:
    total = sum(map(mul, weights, terms))
    for place, term in enumerate(terms):
        weights[place] *= term / total


def _off(chances: Sequence[float], usual: Sequence[float], told: int) -> tuple[float, float]:
    """How far the log ratio of what was told lies from what is expected of it, and its variance."""
    total = sum(chances)
    logs = [log(max(chance / total, SMALLEST_CHANCE) / u) for chance, u in zip(chances, usual, strict=True)]
    expected = sum(chance / total * value for chance, value in zip(chances, logs, strict=True))
    variance = sum(chance / total * (value - expected) ** 2 for chance, value in zip(chances, logs, strict=True))
    return logs[told] - expected, variance
