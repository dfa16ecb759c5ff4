"""How likely an answer is: one answer, and all answers of a cue group together.

Given the compound, the observer's skill and the luck of the test (a latent that all cues of a group share),
the answers are independent. One answer is a slip with chance `slip`, and then says nothing:

    P(answer) = (1 - slip) T[compound][answer] + slip * flat

For an ordinary group the luck is clear or muddled; a muddled test makes every answer of the group a slip.
For float tests and weighings the latent is the true density of the piece instead (see `density`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from whichresin.belief.density import (
    RESULTS,
    SMALLEST_UNCERTAINTY_G_CM3,
    WATER_G_CM3,
    Density,
    Reading,
    weigh_density,
)
from whichresin.knowledge.model import Cue, Model, Observer, Skill, Table

Answer = str | float | tuple[str, ...] | tuple[tuple[float, str], ...]
# A group's luck is shared by its cues; physics cues of a group share a density, the others a clear test.
GroupKey = tuple[str, bool]

LARGEST_SLIP = 0.95
SMALLEST_CHANCE = 1e-300  # what an underflow is read as, so that every logarithm exists


class BeliefError(ValueError):
    """An answer that the belief cannot weigh; the message is one sentence for a person."""


@dataclass(frozen=True, slots=True)
class Observation:
    """One answer as evidence.

    `value`: a word for a choice cue, words for a set cue, g/cm3 for a weighing, (g/cm3, word) pairs for
    liquids; an empty value is neutral, but for a set cue, where it means that nothing on the list was seen.
    `left_out`: words of a set cue that say neither yes nor no, because another answer tells the same.
    `uncertainty` (g/cm3) replaces the observer's usual one for a weighing or a liquid.
    """

    cue: str
    value: Answer
    sure: str = "medium"
    doubt: str = ""
    uncertainty: float | None = None
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Witness:
    """One answer to a tabled cue: its chance on each distinct row of the table, when flat, and the slips."""

    key: GroupKey
    chances: tuple[float, ...]  # per distinct row
    row_of: tuple[int, ...]  # per compound
    flat: float  # chance that a slip says the same
    slips: tuple[float, ...]  # per skill
    place: int  # of the word among the cue's values
    said: bool = True  # False: a word of a set that was not reported; `chances` and `flat` are those of silence


@dataclass(frozen=True, slots=True)
class Luck:
    """What the answers of one ordinary group say: compounds with equal rows share one entry (`entry_of`)."""

    entry_of: tuple[int, ...]
    logs: tuple[tuple[float, ...], ...]  # per skill, per entry: log likelihood of the group's answers
    clear: tuple[tuple[float, ...], ...]  # per skill, per entry: P(the test went clear | the answers)


def slip_chance(skill: Skill, observation: Observation, observer: Observer) -> float:
    """The chance that this answer is a slip: the skill's, scaled by sureness, at least the doubt's."""
    if observation.sure not in observer.sure:
        raise BeliefError(_expected("sureness", observation.sure, observation.cue, observer.sure))
    slip = min(LARGEST_SLIP, skill.slip * observer.sure[observation.sure])
    if not observation.doubt:
        return slip
    if observation.doubt not in observer.doubt:
        raise BeliefError(_expected("doubt", observation.doubt, observation.cue, observer.doubt))
    return max(slip, observer.doubt[observation.doubt])


def group_key(cue: Cue) -> GroupKey:
    """The latent that the answer to this cue hangs on."""
    return cue.group, bool(cue.physics)


def slip_answers(cue: Cue, observer: Observer) -> tuple[float, ...]:
    """What a slip answers, per value: partly what is usually answered to this cue, partly anything.

    A person who mixes something up rarely reports the rare sight: a green flame where there was none is less
    likely than a green flame overlooked. For a set cue: the chance that the word is reported by mistake.
    """
    even = 1.0 / len(cue.values)
    if cue.table is None or not cue.table.usual:
        return (even,) * len(cue.values)
    share = observer.slip_follows_usual
    return tuple([share * usual + (1.0 - share) * even for usual in cue.table.usual])


def witnesses(model: Model, observation: Observation) -> tuple[list[Witness], list[Reading]]:
    """The observation taken apart: each word of a set, reported or not, and each liquid is one witness.

    The tables tell how often a word is *reported*, so that silence on it has a chance too, and says little
    where the word is seldom reported at all. A cue that carries no expectations, and an empty value, give
    none. Raises BeliefError for a cue or value
    that the model does not know.
    """
    cue = model.cues.get(observation.cue)
    if cue is None:
        raise BeliefError(f"There is no cue called {observation.cue!r}.")
    slips = tuple(slip_chance(skill, observation, model.observer) for skill in model.observer.skills)
    if cue.physics:
        return [], _readings(model, cue, observation, slips)
    if cue.table is None:
        return [], []
    places = {value.id: place for place, value in enumerate(cue.values)}
    words, flats = _words(cue, observation), slip_answers(cue, model.observer)
    for word in words:
        if word not in places:
            raise BeliefError(_expected("value", word, cue.id, places))
    if cue.kind != "set":
        return [_witness(cue, cue.table, places[word], flats, slips, True) for word in words], []
    told = [word for word in places if word not in observation.left_out]
    return [_witness(cue, cue.table, places[word], flats, slips, word in words) for word in told], []


def _witness(
    cue: Cue, table: Table, place: int, flats: tuple[float, ...], slips: tuple[float, ...], said: bool
) -> Witness:
    chances, flat = tuple(row[place] for row in table.rows), flats[place]
    if not said:
        chances, flat = tuple(1.0 - chance for chance in chances), 1.0 - flat
    return Witness(group_key(cue), chances, table.row_of, flat, slips, place, said)


def _words(cue: Cue, observation: Observation) -> list[str]:
    """The words reported, in the cue's own order for a set: the order of telling must not matter."""
    value = observation.value
    if isinstance(value, str):
        return [value] if value else []
    if cue.kind == "set" and isinstance(value, tuple):
        return sorted({str(word) for word in value})
    raise BeliefError(f"The answer to {cue.id!r} must be a word from its list, not {value!r}.")


def _readings(model: Model, cue: Cue, observation: Observation, slips: tuple[float, ...]) -> list[Reading]:
    """The single readings in a physics cue's answer, in an order of their own."""
    observer, value = model.observer, observation.value
    usual = {
        "float_water": observer.water_uncertainty_g_cm3,
        "float_liquids": observer.liquid_uncertainty_g_cm3,
        "density": observer.density_uncertainty_g_cm3,
    }[cue.physics]
    given = usual if observation.uncertainty is None else observation.uncertainty
    spread = max(given, SMALLEST_UNCERTAINTY_G_CM3)
    if value in ("", ()):
        return []
    if cue.physics == "density":
        if isinstance(value, str | tuple):
            raise BeliefError(f"The answer to {cue.id!r} must be a density in g/cm3, not {value!r}.")
        return [Reading("", float(value), spread, slips)]
    pairs = ((WATER_G_CM3, value),) if cue.physics == "float_water" else value
    found = []
    for pair in pairs if isinstance(pairs, tuple) else (pairs,):
        if not isinstance(pair, tuple) or len(pair) != 2:
            raise BeliefError(f"The answer to {cue.id!r} must be pairs of density and result, not {value!r}.")
        liquid, result = pair
        if result not in RESULTS:
            raise BeliefError(_expected("result", str(result), cue.id, RESULTS))
        found.append(Reading(str(result), float(liquid), spread, slips))
    return sorted(found)


def group_luck(found: Sequence[Witness], skills: Sequence[Skill]) -> Luck:
    """All answers of one ordinary group, its clear or muddled latent summed out exactly."""
    entries: dict[tuple[int, ...], int] = {}
    entry_of = tuple(entries.setdefault(rows, len(entries)) for rows in zip(*(w.row_of for w in found), strict=True))
    flat = 1.0
    for witness in found:
        flat *= witness.flat
    logs, clears = [], []
    for place, skill in enumerate(skills):
        muddled = skill.muddled * flat
        log_row, clear_row = [], []
        for rows in entries:
            clear = 1.0 - skill.muddled
            for witness, row in zip(found, rows, strict=True):
                slip = witness.slips[place]
                clear *= (1.0 - slip) * witness.chances[row] + slip * witness.flat
            both = max(clear + muddled, SMALLEST_CHANCE)
            log_row.append(log(both))
            clear_row.append(clear / both)
        logs.append(tuple(log_row))
        clears.append(tuple(clear_row))
    return Luck(entry_of, tuple(logs), tuple(clears))


def density_luck(model: Model, readings: Sequence[Reading]) -> tuple[tuple[Density, ...], ...]:
    """Per compound and skill: what all float results and weighings together say."""
    within, skills = model.observer.neutral_within_g_cm3, len(model.observer.skills)
    told = tuple(readings)
    return tuple(weigh_density(c.density_g_cm3, c.density_sd_g_cm3, told, skills, within) for c in model.compounds)


def _expected(what: str, found: str, cue: str, known: Iterable[str]) -> str:
    return f"{found!r} is not a {what} of {cue!r}; expected one of {', '.join(known)}."
