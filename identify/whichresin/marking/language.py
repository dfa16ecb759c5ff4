"""The compositions that the search knows: heads (polymers) times fillers times tails, each with its prior.

A marking is head + filler + tail, as strings. P(marking) = P(head) P(filler | profile) P(tail | profile), where the
profile is the group of polymers that take the same additions. The numbers are those of prior.yaml.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from .composition import Composition, FillerPart
from .tables import FillerCode, Prior, Profile, Tables

RARE_PAIR = 3e-6  # a filler and a tail that meet less often, under any profile, are not kept as one


@dataclass(frozen=True, slots=True)
class Head:
    """A polymer part as it may be written. `says` names what is unusual about the spelling; empty when standard."""

    text: str
    weight: float
    composition: Composition
    profile: int
    says: str = ""


@dataclass(frozen=True, slots=True)
class FillerWord:
    """A filler part as it may be written, with P(part | profile) for every profile."""

    text: str
    weights: tuple[float, ...]
    parts: tuple[FillerPart, ...]
    total: int | None = None
    says: str = ""


@dataclass(frozen=True, slots=True)
class Tail:
    """Plasticizer, recycled share or retardants as written, with P(tail | profile)."""

    text: str
    weights: tuple[float, ...]
    plasticizer: str | None = None
    recyclate: int | None = None
    retarded: bool = False
    retardants: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Ending:
    """A filler and a tail together, with P(both | profile). `what` is tail << 16 | filler."""

    text: str
    weights: tuple[float, ...]
    what: int


@dataclass(frozen=True)
class Language:
    """The whole grammar of the search, as three lists."""

    heads: tuple[Head, ...]
    fillers: tuple[FillerWord, ...]
    tails: tuple[Tail, ...]
    profiles: int

    @property
    def size(self) -> int:
        """How many different written compositions are searched whatever their damage: heads times endings."""
        per_profile = [sum(1 for e in self.endings if e.weights[p]) for p in range(self.profiles)]
        return sum(per_profile[head.profile] for head in self.heads)

    @property
    def whole_size(self) -> int:
        """How many there are when every filler meets every tail; the rarest are read only where nothing is damaged."""
        per_profile = [
            sum(1 for f in self.fillers if f.weights[p]) * sum(1 for t in self.tails if t.weights[p])
            for p in range(self.profiles)
        ]
        return sum(per_profile[head.profile] for head in self.heads)

    @cached_property
    def endings(self) -> tuple[Ending, ...]:
        """Fillers with tails, but for pairs rarer than RARE_PAIR under every profile."""
        found = []
        fillers = sorted(((max(w.weights), i) for i, w in enumerate(self.fillers)), reverse=True)
        for t, tail in enumerate(self.tails):
            least = RARE_PAIR / max(max(tail.weights), 1e-300) if tail.text else 0.0
            for top, f in fillers:
                word = self.fillers[f]
                if top < least:
                    break
                weights = tuple(a * b for a, b in zip(word.weights, tail.weights, strict=True))
                if not (word.text and tail.text) or max(weights) >= RARE_PAIR:
                    found.append(Ending(word.text + tail.text, weights, t << 16 | f))
        return tuple(found)

    @cached_property
    def single(self) -> dict[str, float]:
        """P(head) of every polymer that stands alone, by its symbol."""
        alone = ((head.composition, head.weight, head.text) for head in self.heads)
        return {text: weight for made_of, weight, text in alone if made_of == Composition((text,))}

    @cached_property
    def plasticized(self) -> dict[str, str]:
        """Symbol -> that of its plasticized form, where it has one; the P of the additive is its P."""
        single = (head.composition.polymers for head in self.heads if len(head.composition.polymers) == 1)
        return {symbol.removesuffix("-P"): symbol for (symbol,) in single if symbol.endswith("-P")}

    def composition(self, head: int, filler: int, tail: int) -> Composition:
        """What head, filler and tail say together."""
        base, word, end = self.heads[head].composition, self.fillers[filler], self.tails[tail]
        polymers = base.polymers
        if end.plasticizer and len(polymers) == 1:
            polymers = (self.plasticized.get(polymers[0], polymers[0]),)
        parts = word.parts or base.fillers
        return replace(
            base,
            polymers=polymers,
            fillers=parts,
            total_percent=word.total,
            plasticizer=end.plasticizer,
            recyclate=end.recyclate,
            retarded=end.retarded,
            retardants=end.retardants,
        )

    def prior(self, head: int, filler: int, tail: int) -> float:
        """P(this written composition)."""
        profile = self.heads[head].profile
        return self.heads[head].weight * self.fillers[filler].weights[profile] * self.tails[tail].weights[profile]


def build(tables: Tables) -> Language:
    """The language of the tables."""
    prior = tables.prior
    profiles = prior.profiles
    heads = _normalised(list(_heads(tables)))
    fillers = tuple(_fillers(prior, tables.fillers))
    tails = tuple(_tails(tables))
    return Language(
        heads,
        fillers,
        tails,
        len(profiles),
    )


def profile_of(symbol: str, profiles: tuple[Profile, ...]) -> int:
    """The first profile that names the symbol; the last one when none does."""
    return next((i for i, p in enumerate(profiles) if symbol in p.symbols), len(profiles) - 1)


def _heads(tables: Tables) -> Iterator[Head]:
    prior, profiles = tables.prior, tables.prior.profiles
    own = {symbol: prior.polymers.get(symbol, prior.floor_share) for symbol in tables.polymers}
    group = {symbol: profile_of(symbol, profiles) for symbol in tables.polymers}
    for symbol, share in own.items():
        yield Head(symbol, share, Composition((symbol,)), group[symbol])
    for text, row in tables.legacy.items():
        plain = text.replace(".", "")
        if plain in own and plain != text:
            continue  # the search reads extra blanks and dots anyway
        share = prior.polymers.get(row.symbol, max(own[row.polymers[0]] * prior.legacy_times, prior.floor_share))
        parts = (_part(tables.fillers[row.filler], None),) if row.filler else ()
        says = f"{row.symbol} is an earlier or trade spelling of {row.in_words}"
        yield Head(text, share, Composition(row.polymers, parts), group[row.polymers[0]], says)
    for blend, share in prior.blends.items():
        polymers = tuple(blend.split("+"))
        yield Head(blend, share, Composition(polymers), group[polymers[0]])
    yield from _other_blends(prior, own, group)
    for code in tables.resin_codes.values():
        polymers = (code.polymer,) if code.polymer else ()
        made_of = Composition(polymers, resin_code=code.number)
        profile = group.get(code.polymer, len(profiles) - 1)
        says = f"resin code {code.number}: {code.name}"
        share = prior.resin_share / len(tables.resin_codes)
        spellings = [f"{code.number}{x}" for x in code.letters] + [f"0{code.number}{x}" for x in code.letters]
        spellings += [f"{x}{code.number}" for x in code.letters if f"{x}{code.number}" not in own]
        for text in spellings:
            yield Head(text, share / len(spellings), made_of, profile, says)
        yield Head(str(code.number), share * prior.resin_alone, made_of, profile, says)


def _other_blends(prior: Prior, own: Mapping[str, float], group: Mapping[str, int]) -> Iterator[Head]:
    shares = {symbol: (own[symbol] + prior.other_smoothing) ** 0.5 for symbol in prior.other_symbols}
    total = sum(shares.values()) ** 2
    for first, a in shares.items():
        for second, b in shares.items():
            text = f"{first}+{second}"
            if first != second and text not in prior.blends:
                yield Head(text, prior.other_share * a * b / total, Composition((first, second)), group[first])


def _normalised(heads: list[Head]) -> tuple[Head, ...]:
    total = sum(head.weight for head in heads)
    return tuple(replace(head, weight=head.weight / total) for head in heads)


def _part(row: FillerCode, percent: int | None) -> FillerPart:
    return FillerPart(row.code, row.material, row.form, percent)


def _fillers(prior: Prior, codes: Mapping[str, FillerCode]) -> Iterator[FillerWord]:
    """Every filler word; P(code | profile) P(percentage | code, profile) P(spelling | code)."""
    profiles = prior.profiles
    shares: list[dict[str, float]] = []
    for profile in profiles:
        weights = {"none": profile.fillers.get("none", 1.0)} | {
            c: profile.fillers.get(c, prior.other_fillers) for c in codes
        }
        mixed = next((w for c, w in profile.fillers.items() if c != "none"), 0.0) * sum(
            times for _, times, _ in prior.mixtures
        )
        total = sum(weights.values()) + mixed
        shares.append({c: w / total for c, w in weights.items()} | {"(": mixed / total})
    yield FillerWord("", tuple(share["none"] for share in shares), ())
    for code, row in codes.items():
        levels = [_levels(prior, profile, code) for profile in profiles]
        others = [s for s in prior.spellings if s.code == code]
        spellings = [(code, 1.0, ""), *((s.letters, s.times, s.note) for s in others)]
        times_total = sum(times for _, times, _ in spellings)
        for letters, times, says in spellings:
            for percent in levels[0]:
                if percent is None and letters != code and len(letters) < 2:
                    continue  # one letter without a number would be a special characteristic
                each = tuple(
                    share[code] * level[percent] * times / times_total
                    for share, level in zip(shares, levels, strict=True)
                )
                digits = "" if percent is None else f"{percent:02d}"
                note = f"{letters} is written for {code}: {says}" if says else ""
                yield FillerWord(f"-{letters}{digits}".upper(), each, (_part(row, percent),), None, note)
    yield from _mixtures(prior, codes, [share["("] for share in shares])


def _levels(prior: Prior, profile: Profile, code: str) -> dict[int | None, float]:
    """P(percentage | filler, profile), None for left out; half on the named levels, half on the general rule."""
    rule = prior.percent
    general: dict[int | None, float] = {}
    for low, high, share in (rule.fives, rule.others):
        for percent in range(low, high + 1):
            if share is rule.others[2] or percent % 5 == 0:
                general[percent] = max(general.get(percent, 0.0), share)
    total = sum(general.values())
    levels = {percent: weight / total for percent, weight in general.items()}
    named = profile.percents.get(code)
    if named:
        total = sum(named.values())
        levels = {percent: 0.1 * weight for percent, weight in levels.items()}
        for percent, weight in named.items():
            levels[percent] = levels.get(percent, 0.0) + 0.9 * weight / total
    levels = {percent: weight * (1 - rule.left_out) for percent, weight in levels.items()}
    levels[None] = rule.left_out
    return levels


def _mixtures(prior: Prior, codes: Mapping[str, FillerCode], shares: list[float]) -> Iterator[FillerWord]:
    low, high, step = prior.mixture_percents
    levels = range(low, high + 1, step)
    for pairs, _, total_only in prior.mixtures:
        whole = sum(pairs.values())
        for pair, weight in pairs.items():
            first, second = (codes[code] for code in pair.split("+"))
            each = (1 - total_only) * weight / whole / len(levels) ** 2
            for a in levels:
                for b in levels:
                    text = f"-({first.code}{a:02d}+{second.code}{b:02d})"
                    yield FillerWord(text, tuple(s * each for s in shares), (_part(first, a), _part(second, b)))
            each = total_only * weight / whole / len(levels)
            for total in range(low + 5, high + 6, step):
                text = f"-({first.code}+{second.code}){total:02d}"
                yield FillerWord(
                    text, tuple(s * each for s in shares), (_part(first, None), _part(second, None)), total
                )


def _tails(tables: Tables) -> Iterator[Tail]:
    prior = tables.prior
    profiles = prior.profiles
    share, low, high, step = prior.recyclate
    recycled = range(low, high + 1, step)
    rest = tuple(1.0 - p.retardant - p.plasticizer - share for p in profiles)
    yield Tail("", rest)
    for percent in recycled:
        yield Tail(f"-(REC{percent})", tuple(share / len(recycled) for _ in profiles), recyclate=percent)
    singles = {str(code): prior.retardants.get(str(code), prior.retardants_other) for code in tables.retardants}
    weights = {"": prior.retardants_none, **singles, **prior.retardant_pairs}
    total = sum(weights.values())
    for codes, weight in weights.items():
        numbers = tuple(int(code) for code in codes.split("+") if code)
        text = f"-FR({codes})" if codes else "-FR"
        yield Tail(text, tuple(p.retardant * weight / total for p in profiles), retarded=True, retardants=numbers)
    for symbol in tables.plasticizers:
        shares = tuple(p.plasticizer / len(tables.plasticizers) for p in profiles)
        yield Tail(f"-P({symbol})", shares, plasticizer=symbol)
