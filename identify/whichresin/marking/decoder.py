"""Decode a text: every reading that can matter, with odds against one another and against no marking at all.

    odds(reading) = prior(reading) P(text | reading) / (sum over readings + P(other) P(text | other))

The search does one composition. Round it stand plates seen from the wrong side, products of several layers, spoken
names, and well-formed markings outside the search's grammar; their weights are added on the same scale.
"""

from __future__ import annotations

from heapq import nlargest
from typing import NamedTuple

from . import junk
from .composition import Composition, Marking, plain, spell
from .damage import CODE_MASK, LENGTH, damages
from .explain import class_of, meaning, parts, row_of
from .grammar import NotParsed, Parsed, parse
from .reading import Decoding, Reading
from .search import Found
from .tables import Tables, Turn
from .tidy import Tidied, tidy

LAWFUL = 1e-10  # prior of a well-formed marking outside the search: a hundredth, spread over some 1e8 of them
# Of the markings of a polymer, those with special characteristics that the tables do not list with it: judgement, from
# memory; ten times as many or as few do not change which reading leads where nothing is damaged.
UNLISTED = 2e-3
MOST_LAYERS = 5
MOST_READINGS = 200  # that are explained
MOST_COMMAS = 2  # with more unreadable characters none of them is taken for the comma between layers
MOST_WORK = 4_000  # words weighed in all searches of one text
_UNREADABLE = 31  # the part of a damage code that counts unreadable characters
OF_OTHER = 0.01  # readings below this share of another explanation are not looked for


class Weighed(NamedTuple):
    """A marking with its weight, prior, count of damages and what is unusual about its spelling."""

    marking: Marking
    weight: float
    prior: float
    damages: int
    says: str
    fits: bool = False  # whether nothing is damaged but what cannot be read


class Budget:
    """The work that one text may cost, over all its searches; counted, not timed, so that every run says the same."""

    def __init__(self, work: int) -> None:
        self._left = work
        self.used_up = False

    def search(self, body: str, opened: bool, closed: bool, tables: Tables, least: float) -> Found:
        """One search with what is left; an empty one when that is nothing."""
        if self._left <= 0:
            self.used_up = True
            return Found()
        found = tables.searcher.search(body, opened, closed, least, self._left)
        self._left -= found.work
        self.used_up = self.used_up or found.cut_short
        return found


def decode(text: str, tables: Tables) -> Decoding:
    """What the text can be. Never raises for any text."""
    rules = tables.verdicts
    if len(text) > rules.longest_text * 4:
        return _unreadable(text, f"{len(text)} characters are no marking; type only what stands between the brackets")
    tidied = tidy(text)
    if not tidied.body:
        return _unreadable(text, "there is nothing to read")
    if len(tidied.body) > rules.longest_text:
        return _unreadable(
            text,
            f"{len(tidied.body)} characters are too many for a marking; type only what stands between the brackets",
        )
    unsure = sum(character in "?.* " for character in tidied.body)
    if tidied.readable < rules.readable_at_least or unsure > rules.unreadable_share * len(tidied.body):
        return _unreadable(text, "too few characters can be read")
    marking_share, other_share = tables.channel.brackets[tidied.brackets]
    other, kind = junk.likelihood(tidied.body, tables.junk)
    other *= tables.junk.share * other_share
    scale = (1.0 - tables.junk.share) * marking_share
    budget = Budget(MOST_WORK)
    found = _readings(text, tidied, tables, OF_OTHER * other / scale, budget)
    return _decided(text, found, scale, other, kind, budget.used_up, tables)


def _readings(text: str, tidied: Tidied, tables: Tables, least: float, budget: Budget) -> list[Weighed]:
    found: list[Weighed] = []
    if tables.name_table.worth_a_look(text):
        found += tables.name_table.readings(text)
        least = max(least, OF_OTHER * max((w.weight for w in found), default=0.0))
    if "," in tidied.body:
        found += _layers(tidied, tables, budget)
    else:
        found += _one(tidied.body, tidied.opened, tidied.closed, tables, budget, 1.0, least)
        if 0 < tidied.body.count("?") <= MOST_COMMAS:
            found += _unsure_layers(tidied, tables, budget)
    parsed = _parsed(text, tidied, tables)
    if parsed is not None:
        known = {plain_key(w.marking) for w in found}
        if plain_key(parsed.marking) not in known:
            prior = _lawful(parsed.marking, tables)
            price = tables.searcher.channel.price(len(tidied.body) * LENGTH)
            found.append(Weighed(parsed.marking, prior * price, prior, 0, ""))
    best = max((w.weight for w in found), default=0.0)
    for turn in tables.channel.turned:
        found += _turned(tidied, turn, best, least, tables, budget)
    return found


def _lawful(marking: Marking, tables: Tables) -> float:
    """How often a well-formed marking that the search does not know is met: a listed polymer with characteristics of
    its own far more often than anything else."""
    prior = tables.prior.layers ** (len(marking.layers) - 1)
    for layer in marking.layers:
        bare = [row.symbol if (row := row_of(symbol, tables)) else "" for symbol in layer.polymers]
        alone = len(bare) == 1 and layer == Composition(layer.polymers)
        listed = tables.language.single.get(bare[0]) if alone else None
        prior *= LAWFUL if listed is None else max(LAWFUL, UNLISTED * listed)
    return prior


def _one(
    body: str, opened: bool, closed: bool, tables: Tables, budget: Budget, share: float = 1.0, least: float = 0.0
) -> list[Weighed]:
    """Readings of one composition."""
    language = tables.language
    found = []
    hits = budget.search(body, opened, closed, tables, least)
    for key, hit in hits.items():
        head, end = key >> 32, key & 0xFFFFFFFF
        filler, tail = end & 0xFFFF, end >> 16
        composition = language.composition(head, filler, tail)
        says = "; ".join(note for note in (language.heads[head].says, language.fillers[filler].says) if note)
        prior = language.prior(head, filler, tail)
        found.append(
            Weighed(
                Marking((composition,)),
                hit.weight * share,
                prior * share,
                damages(hit.code & CODE_MASK),
                says,
                not hit.code & CODE_MASK & ~_UNREADABLE,
            )
        )
    return found


def _layers(tidied: Tidied, tables: Tables, budget: Budget) -> list[Weighed]:
    """Readings of a product of several layers; each layer is read by itself."""
    raw = [part.strip() for part in tidied.turned_body.split(",")]
    marked = [place for place, part in enumerate(raw) if len(part) > 2 and part[0] == part[-1] == "_"]
    main = marked[0] if len(marked) == 1 else None
    bodies = [(p.strip("_") if i == main else p).upper().replace("_", "?") for i, p in enumerate(raw)]
    return _joined_layers(bodies, main, tables, budget)


def _unsure_layers(tidied: Tidied, tables: Tables, budget: Budget) -> list[Weighed]:
    """Readings in which one unreadable character was the comma between two layers."""
    found = []
    price = tables.searcher.channel.highest(1)
    for place, character in enumerate(tidied.body):
        if character == "?" and 0 < place < len(tidied.body) - 1:
            bodies = [tidied.body[:place], tidied.body[place + 1 :]]
            found += [
                w._replace(weight=w.weight * price, damages=w.damages + 1)
                for w in _joined_layers(bodies, None, tables, budget)
            ]
    return found


def _joined_layers(bodies: list[str], main: int | None, tables: Tables, budget: Budget) -> list[Weighed]:
    if len(bodies) > MOST_LAYERS or not all(bodies):
        return []
    joined = [Weighed(Marking((), main), tables.prior.layers, tables.prior.layers, 0, "")]
    for body in bodies:
        layer = sorted(_one(body, True, True, tables, budget), key=lambda w: -w.weight)[:6]
        joined = [
            Weighed(
                Marking(a.marking.layers + b.marking.layers, main),
                a.weight * b.weight,
                a.prior * b.prior,
                a.damages + b.damages,
                a.says or b.says,
            )
            for a in joined
            for b in layer
        ]
        joined = sorted(joined, key=lambda w: -w.weight)[:12]
    return joined


def _parsed(text: str, tidied: Tidied, tables: Tables) -> Parsed | None:
    if "?" in tidied.body:
        return None
    try:
        return parse(text if len(text) <= tables.verdicts.longest_text else tidied.body, tables)
    except NotParsed:
        return None


def _turned(
    tidied: Tidied, turn: Turn, best: float, least: float, tables: Tables, budget: Budget
) -> list[Weighed]:
    """Readings of a plate that was seen from the wrong side: the text backwards, character by character."""
    looks: dict[str, list[str]] = {}
    for true, seen in turn.looks.items():
        looks.setdefault(seen, []).append(true)
    body, strange, small = "", 0, False
    for character in reversed(tidied.turned_body):
        options = looks.get(character)
        small = small or (character.islower() and character.upper() not in looks)
        if not options:
            strange += 1
        body += options[0].upper() if options else "?"
    if strange * 3 > len(body) or turn.share * tables.searcher.top_head < best:
        return []
    least = max(best, least) * 1e-3 / turn.share
    return [
        w._replace(says=f"the plate is seen {turn.id}")
        for w in _one(body, tidied.opened, tidied.closed, tables, budget, turn.share, least)
        if w.weight > best * 1e-4
    ]


def _decided(
    text: str, found: list[Weighed], scale: float, other: float, kind: str, cut_short: bool, tables: Tables
) -> Decoding:
    rules = tables.verdicts
    whole = scale * sum(one.weight for one in found) + other
    if len(found) > MOST_READINGS:  # the weight of the others stays in the sum, as unseen
        found = nlargest(MOST_READINGS, found, key=lambda one: (one.fits, one.weight))
    groups: dict[str, list[Weighed]] = {}
    for one in found:
        groups.setdefault(plain_key(one.marking), []).append(one)
    if whole <= 0.0:
        return _unreadable(text, "this is like no marking and like nothing else that stands on parts")
    lead_by_name = {name: max(group, key=lambda one: one.weight) for name, group in groups.items()}
    unseen = 0.0
    if groups:
        best = max(groups, key=lambda name: sum(one.weight for one in groups[name]))
        unseen = rules.unseen[min(lead_by_name[best].damages, len(rules.unseen) - 1)]
        if cut_short:
            unseen = max(unseen, rules.unseen[-1])
        whole /= 1.0 - unseen
    readings = []
    for name, group in groups.items():
        lead = lead_by_name[name]
        odds = scale * sum(one.weight for one in group) / whole
        prior = sum(one.prior for one in group)
        klass = class_of(lead.marking, tables)
        readings.append(
            Reading(lead.marking, name, odds, prior, klass, meaning(lead.marking, tables), lead.damages, lead.says)
        )
    readings.sort(key=lambda reading: (-reading.probability, reading.text))
    not_a_marking = other / whole
    unseen = max(0.0, 1.0 - not_a_marking - sum(reading.probability for reading in readings)) if groups else 0.0
    top = readings[0].probability if readings else 0.0
    if not readings or not_a_marking > rules.not_a_marking:
        verdict = "unreadable"
        says = f"more likely {_article(kind)} than a material marking" if kind else "no marking can be read from this"
    else:
        verdict = "clear" if top >= rules.clear else "likely" if top >= rules.likely else "ambiguous"
        says = {"clear": "one reading stands out", "likely": "one reading leads, others are possible"}.get(
            verdict, "several readings are possible"
        )
    by_class: dict[str, float] = {}
    by_polymer: dict[str, float] = {}
    by_filler: dict[str, float] = {}
    for reading in readings:
        p = reading.probability
        by_class[reading.klass] = by_class.get(reading.klass, 0.0) + p
        polymer = "+".join(reading.marking.leading.polymers) or "not named"
        by_polymer[polymer] = by_polymer.get(polymer, 0.0) + p
        fillers = "+".join(sorted({part.code for part in reading.marking.leading.fillers})) or "none"
        by_filler[fillers] = by_filler.get(fillers, 0.0) + p
    klass = "" if verdict == "unreadable" else _agreed(readings, by_class, rules.plausible, rules.rest)
    departures: tuple[str, ...] = ()
    means: tuple[tuple[str, str], ...] = ()
    if readings and verdict != "unreadable":
        means = parts(readings[0].marking, tables)
        if not readings[0].damages:
            parsed = _parsed(text, tidy(text), tables)
            if parsed is not None and plain_key(parsed.marking) == readings[0].text:
                departures = parsed.departures
    return Decoding(
        text,
        verdict,
        tuple(readings),
        not_a_marking,
        says,
        klass,
        by_class,
        by_polymer,
        by_filler,
        departures,
        means,
        unseen,
        cut_short,
    )


def plain_key(marking: Marking) -> str:
    """The standard spelling, by which readings are put together."""
    return spell(Marking(tuple(plain(layer) for layer in marking.layers), marking.main))


def _agreed(readings: list[Reading], by_class: dict[str, float], plausible: float, rest: float) -> str:
    """The class, where all plausible readings have the same one and little stands against it."""
    whole = sum(by_class.values())
    classes = {reading.klass for reading in readings if reading.probability >= plausible}
    if len(classes) != 1 or whole <= 0.0:
        return ""
    klass = classes.pop()
    return klass if klass != "unknown" and by_class[klass] >= (1.0 - rest) * whole else ""


def _unreadable(text: str, says: str) -> Decoding:
    return Decoding(text, "unreadable", (), 1.0, says)


def _article(kind: str) -> str:
    return kind if kind.startswith("a ") else f"a {kind}" if not kind.startswith(("words", "date")) else kind
