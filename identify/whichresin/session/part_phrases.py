"""The phrases that name part kinds, found among a person's words: spaced otherwise, in the plural, or misspelt.

Words are compared one by one. A word that is known is never taken for another; one that is not is compared with the
known ones, and only a slip of the keys or the ear counts: the shorter the word, the smaller the slip.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from whichresin.knowledge.model import Model, PartKind
from whichresin.knowledge.repair_codec import book_of

GUARDED = ("refer", "replace")
_TOKEN = re.compile(r"[^\W\d_]+(?:['’](?!s\b)[^\W\d_]+)*|\d+|[.,;:()/|=+&]", re.UNICODE)
_POSSESSIVE = re.compile(r"['’]s\b")
_BREAKS = frozenset(".,;:()/|=+&")
_LINKS = frozenset({
    "of", "for", "from", "off", "on", "in", "at", "near", "behind", "under", "above", "over", "with", "to", "inside",
    "beside", "between", "by", "beneath", "below",
})  # fmt: skip
_SAME_IN_PLURAL = {"lens": "lens", "lenses": "lens", "lense": "lens", "gas": "gas", "chassis": "chassis"}
_VOWELS = frozenset("aeiouy")
_LONGEST_WINDOW = 6  # words; the longest phrase of the shipped kinds has five
_MOST_SPELLINGS = 24  # ways to read one window, when several of its words are misspelt
_REMEMBERED = 64  # texts
_SHORTEST = 4  # letters; shorter words are not guessed at
Ways = Sequence[Sequence[tuple[str, int]]]  # for each word: how it may be spelt, and how bold that reading is
_LEAST_ALIKE = 0.8  # share of letters that two long words with two slips must have in the same order; from memory
_SURE_SLIP = 6  # letters from which a letter lost, doubled or swapped leaves little doubt of the word that was meant


@dataclass(frozen=True, slots=True)
class Hit:
    """A phrase found: its kind, the places of its words in the text, and how many of them were misspelt."""

    kind: PartKind
    places: frozenset[int]
    slips: int
    doubtful: bool  # a misspelt word is short, or far from what it was read as

    @property
    def guarded(self) -> bool:
        """Whether the kind is referred or replaced, whatever it is made of."""
        return self.kind.gate in GUARDED


@dataclass(frozen=True, slots=True)
class Heard:
    """What was found in a text: the phrases, the word that says what it is, and the words known to nobody."""

    words: tuple[str, ...]
    hits: tuple[Hit, ...]
    head: int | None  # place of the word that says what it is: 'bracket' in 'bracket for the left lamp'
    unknown: tuple[str, ...]
    scattered: tuple[PartKind, ...]  # guarded kinds all of whose words are there, though not side by side


class PartPhrases:
    """Every phrase of every part kind, by its letters."""

    def __init__(
        self, parts: Mapping[str, PartKind], fillers: Iterable[str], damage: Iterable[str], denials: Iterable[str]
    ) -> None:
        self._by_letters: dict[str, PartKind] = {}
        self._heard: dict[str, Heard] = {}
        self._guarded: list[tuple[frozenset[str], PartKind]] = []
        written: dict[str, str] = {}  # each word as it is written, in the plural too, and without its plural
        for kind in parts.values():
            for phrase in (kind.name, *kind.words):
                words = split(phrase)
                stems = [stem(word) for word in words]
                self._by_letters.setdefault("".join(stems), kind)
                written.update(zip((*words, *stems), (*stems, *stems), strict=True))
                if kind.gate in GUARDED and len(stems) > 1:
                    self._guarded.append((frozenset(stems), kind))
        self.known = frozenset(written.values())
        # 'cracked' says nothing of what a part is; 'tab' is a damage to one and a part to another.
        self._small = _BREAKS | _LINKS | frozenset(fillers) | (frozenset(damage) - self.known)
        self._denials = tuple(tuple(split(text)) for text in denials)
        written.update({letters: letters for letters in self._by_letters})
        self._spellings = sorted((one, bare) for one, bare in written.items() if len(one) >= _SHORTEST)

    def hear(self, text: str) -> Heard:
        """Find the phrases in a text. The last texts are remembered: each look ahead of an interview reads its part."""
        if text not in self._heard:
            if len(self._heard) >= _REMEMBERED:
                self._heard.clear()
            self._heard[text] = self._hear(text)
        return self._heard[text]

    def _hear(self, text: str) -> Heard:
        words = split(text)
        stems = [stem(word) for word in words]
        ways = [self._ways(word) for word in words]
        said = [place for place, word in enumerate(words) if word not in self._small]
        found = [hit for order in self._orders(words, said) for hit in self._windows(order, ways)]
        hits = _longest(found)
        denied = self._denied(words, hits)
        hits = [hit for hit in hits if not hit.places & denied]
        covered = frozenset().union(*(hit.places for hit in hits)) if hits else frozenset()
        left = [place for place in said if place not in denied and (words[place],) not in self._denials]
        head = _head(words, left)
        unknown = tuple(
            words[place] for place in left if place not in covered and stems[place] not in self.known
            and not words[place].isdigit()
        )
        return Heard(tuple(words), tuple(hits), head, unknown, self._scattered(ways, left, hits))

    def with_word(self, word: str, parts: Mapping[str, PartKind], most: int) -> list[str]:
        """A few known phrases that hold a word, shortest first."""
        one = stem(word)
        phrases = {phrase for kind in parts.values() for phrase in kind.words if one in map(stem, split(phrase))}
        return sorted(phrases, key=lambda phrase: (len(phrase), phrase))[:most]

    def _ways(self, word: str) -> tuple[tuple[str, int], ...]:
        """How a word may be read: (spelling, 0 as it stands, 1 a sure slip, 2 a doubtful one)."""
        bare = stem(word)
        if bare in self.known or bare in self._by_letters or word in self._small or len(word) < _SHORTEST:
            return ((bare, 0),)
        near: dict[str, int] = {}
        for spelt, known in self._spellings:
            if abs(len(spelt) - len(word)) <= 2 and (slip := _slip(word, spelt) or _slip(bare, spelt)):
                near[known] = min(slip, near.get(known, slip))
        return ((bare, 0), *near.items())

    def _orders(self, words: Sequence[str], said: Sequence[int]) -> list[list[int]]:
        """The words as they stand; without small ones; and turned round, as 'cap of the tank' is a tank cap."""
        groups: list[list[int]] = [[]]
        for place, word in enumerate(words):
            if word in _BREAKS or word in _LINKS:
                groups.append([])
            elif place in said:
                groups[-1].append(place)
        turned = [place for group in reversed(groups) for place in group]
        return [list(range(len(words))), list(said), turned]

    def _windows(self, order: Sequence[int], ways: Ways) -> Iterator[Hit]:
        for first in range(len(order)):
            for size in range(1, min(_LONGEST_WINDOW, len(order) - first) + 1):
                window = order[first : first + size]
                for count, spelt in enumerate(product(*(ways[place] for place in window))):
                    if count >= _MOST_SPELLINGS:
                        break
                    kind = self._by_letters.get("".join(one for one, _ in spelt))
                    if kind is not None:
                        slips = sum(1 for _, slip in spelt if slip)
                        yield Hit(kind, frozenset(window), slips, any(slip == 2 for _, slip in spelt))

    def _denied(self, words: Sequence[str], hits: Sequence[Hit]) -> frozenset[int]:
        """Places of phrases with a denial before them, and nothing but small words or other phrases between."""
        covered = frozenset().union(*(hit.places for hit in hits)) if hits else frozenset()
        found: set[int] = set()
        for hit in hits:
            here = min(hit.places)
            while here > 0:
                if any(tuple(words[max(0, here - len(one)) : here]) == one for one in self._denials):
                    found |= hit.places
                    break
                before = words[here - 1]
                passed = here - 1 in covered or before in self._small or before == "any"
                if before in _BREAKS or not passed:
                    break
                here -= 1
        return frozenset(found)

    def _scattered(self, ways: Ways, left: Sequence[int], hits: Sequence[Hit]) -> tuple[PartKind, ...]:
        """Guarded kinds with all words of a phrase in the text; not where a longer phrase was made of those words."""
        there = {spelt for place in left for spelt, _ in ways[place]}
        made = [{spelt for place in hit.places for spelt, _ in ways[place]} for hit in hits]
        found = {
            kind.id: kind
            for tokens, kind in self._guarded
            if tokens <= there and not any(tokens <= one for one in made)
        }
        return tuple(kind for name, kind in found.items() if all(hit.kind.id != name for hit in hits))


def part_phrases(model: Model) -> PartPhrases:
    """The phrases of a model's part kinds; worked out once a model."""
    return _phrases(model.key, _Ref(model))


class _Ref:
    """Hands a model to a cached function without being part of its key."""

    def __init__(self, model: Model) -> None:
        self.model = model

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Ref) and self.model.parts is other.model.parts

    def __hash__(self) -> int:
        return id(self.model.parts)


@lru_cache(maxsize=4)
def _phrases(_key: str, ref: _Ref) -> PartPhrases:
    words = book_of(ref.model).words
    if words is None:
        return PartPhrases(ref.model.parts, (), (), ())
    said = {text for group in words.groups if group.name == "damage" for value in group.values for text in value.words}
    return PartPhrases(ref.model.parts, words.fillers, said, words.denials)


def split(text: str) -> list[str]:
    """Words, figures and breaks of a text, in lower case."""
    return [token.replace("\u2019", "'") for token in _TOKEN.findall(_POSSESSIVE.sub("", text.lower()))]


def stem(word: str) -> str:
    """A word without its plural, the same for both.

    >>> stem("batteries"), stem("boxes"), stem("hoses"), stem("lenses")
    ('battery', 'box', 'hose', 'lens')
    """
    if word in _SAME_IN_PLURAL:
        return _SAME_IN_PLURAL[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("sses", "xes", "ches", "shes", "zes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")) else word


def _slip(word: str, known: str) -> int:
    """How likely a word nobody knows is a known one with a slip: 0 not, 1 surely, 2 perhaps."""
    from rapidfuzz.distance import OSA, Indel  # only for words that are not known

    letters, same_start = max(len(word), len(known)), word[0] == known[0]
    jumbled = sorted(word) == sorted(known)
    if not same_start and not (letters >= 8 or (jumbled and word[:2] == known[1::-1])):
        return 0
    far = OSA.distance(word, known, score_cutoff=2)
    if far == 1 and _light(word, known):
        return 1 if letters >= _SURE_SLIP else 2
    if far == 1:
        return 2 if letters >= _SURE_SLIP else 0
    close = letters >= 8 and Indel.normalized_similarity(word, known) >= _LEAST_ALIKE
    return 2 if far == 2 and (close or (jumbled and letters >= 5)) else 0


def _light(word: str, known: str) -> bool:
    """Whether one edit apart is more than another consonant in the same place, which makes another short word."""
    if len(word) != len(known):
        return True
    differing = [(a, b) for a, b in zip(word, known, strict=True) if a != b]
    return len(differing) == 2 or all(a in _VOWELS and b in _VOWELS for a, b in differing)


def _longest(found: Iterable[Hit]) -> list[Hit]:
    """Hits that no longer one says better. A doubtful one hides nothing, and a sure slip no guarded kind."""
    best: dict[tuple[str, frozenset[int]], Hit] = {}
    for hit in found:
        known = best.get((hit.kind.id, hit.places))
        if known is None or hit.slips < known.slips:
            best[(hit.kind.id, hit.places)] = hit

    def hidden(hit: Hit, longer: Hit) -> bool:
        if longer is hit or not hit.places <= longer.places:
            return False
        if hit.places == longer.places:
            return longer.slips < hit.slips
        return longer.slips <= hit.slips or (not longer.doubtful and (longer.guarded or not hit.guarded))

    hits = list(best.values())
    return [hit for hit in hits if not any(hidden(hit, longer) for longer in hits)]


def _head(words: Sequence[str], left: Sequence[int]) -> int | None:
    """The last word that counts, before the first link or break after one that does."""
    head = None
    for place, word in enumerate(words):
        if place in left and not word.isdigit():
            head = place
        elif head is not None and (word in _BREAKS or word in _LINKS):
            break
    return head
