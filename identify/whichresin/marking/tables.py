"""The marking tables as frozen values. `load.py` reads them from knowledge/markings/."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .composition import Composition
    from .language import Language
    from .names import NameTable
    from .search import Searcher

Source = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Polymer:
    """A symbol of ISO 1043-1, ISO 18064 or ISO 1629. `klass` is thermoplastic, thermoset, elastomer or unknown."""

    symbol: str
    name: str
    klass: str
    tpe: bool
    note: str
    source: Source


@dataclass(frozen=True, slots=True)
class FillerCode:
    """A filler of ISO 1043-2: letters for material and form."""

    code: str
    material: str
    form: str
    name: str
    source: Source


@dataclass(frozen=True, slots=True)
class Legacy:
    """An earlier or workshop abbreviation; `polymers` and `filler` are what it is called today."""

    symbol: str
    polymers: tuple[str, ...]
    filler: str
    meaning: str
    sure: str
    in_words: str
    note: str
    source: Source


@dataclass(frozen=True, slots=True)
class Term:
    """A symbol with its meaning: plasticizer, retardant number, special characteristic."""

    symbol: str
    name: str
    group: str
    source: Source


@dataclass(frozen=True, slots=True)
class ResinCode:
    """A number of ASTM D7611; `polymer` is empty for 7."""

    number: int
    letters: tuple[str, ...]
    polymer: str
    name: str
    source: Source


@dataclass(frozen=True, slots=True)
class FillerSpelling:
    """Other letters for a filler, such as T for TD; `times` is how often, against the standard spelling."""

    letters: str
    code: str
    times: float
    note: str


@dataclass(frozen=True, slots=True)
class Profile:
    """Which additions go into a group of polymers; weights are relative."""

    id: str
    symbols: tuple[str, ...]
    fillers: Mapping[str, float]
    percents: Mapping[str, Mapping[int, float]]
    retardant: float
    plasticizer: float


@dataclass(frozen=True, slots=True)
class PercentRule:
    """How percentages are spread: multiples of five, the rest, and left out."""

    fives: tuple[int, int, float]
    others: tuple[int, int, float]
    left_out: float


@dataclass(frozen=True, slots=True)
class Prior:
    """The prior over compositions, knowledge/markings/prior.yaml."""

    floor_share: float
    legacy_times: float
    polymers: Mapping[str, float]
    blends: Mapping[str, float]
    other_share: float
    other_smoothing: float
    other_symbols: tuple[str, ...]
    resin_share: float
    resin_alone: float
    layers: float
    percent: PercentRule
    spellings: tuple[FillerSpelling, ...]
    profiles: tuple[Profile, ...]
    other_fillers: float
    mixtures: tuple[tuple[Mapping[str, float], float, float], ...]
    mixture_percents: tuple[int, int, int]
    retardants: Mapping[str, float]
    retardants_other: float
    retardants_none: float
    retardant_pairs: Mapping[str, float]
    recyclate: tuple[float, int, int, int]


@dataclass(frozen=True, slots=True)
class Wear:
    """One kind of wear: chances per true character, and of an extra one before it."""

    id: str
    share: float
    unreadable: float
    look_alike: float
    random: float
    lost: float
    extra: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A plate seen from the wrong side: what each true character looks like."""

    id: str
    share: float
    looks: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ChannelTable:
    """The damage channel, channel.yaml and look_alikes.yaml."""

    wear: tuple[Wear, ...]
    look_alikes: Mapping[str, Mapping[str, float]]
    signs: Mapping[str, float]
    habits: Mapping[str, Mapping[str, float]]
    breaks: Mapping[str, float]
    brackets: Mapping[str, tuple[float, float]]
    bracket_open: Mapping[str, float]
    bracket_close: Mapping[str, float]
    turned: tuple[Turn, ...]
    several: tuple[tuple[str, str, float], ...]


@dataclass(frozen=True, slots=True)
class JunkKind:
    """A kind of text that is no marking, as a chain over digits, letters and signs."""

    id: str
    share: float
    mean: float
    spread: float
    start: Mapping[str, float]
    following: Mapping[str, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class JunkTable:
    """What other text on a part looks like, junk.yaml. `forms` are (what it is, share, patterns)."""

    share: float
    kinds: tuple[JunkKind, ...]
    forms: tuple[tuple[str, float, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Numbers of verdict.yaml."""

    clear: float
    likely: float
    readable_at_least: int
    not_a_marking: float
    unreadable_share: float
    plausible: float
    rest: float
    unseen: tuple[float, ...]
    list_at_most: int
    longest_text: int


@dataclass(frozen=True, slots=True)
class FitTable:
    """Numbers of fit.yaml. `fits` maps a fit to (chance, among)."""

    wrong_insert: float
    fits: Mapping[str, tuple[float, float]]
    polymers: Mapping[str, float]
    retardant: Mapping[str, float]
    wider: Mapping[str, tuple[str, ...]]
    relatives: tuple[tuple[frozenset[str], float], ...]


@dataclass(frozen=True, slots=True)
class NameRows:
    """Spoken names, names.yaml."""

    words: Mapping[str, tuple[str, ...]]
    polymers: tuple[tuple[tuple[str, ...], str, float], ...]
    fillers: tuple[tuple[tuple[str, ...], str, float], ...]
    numbers: Mapping[str, int]
    enough: float
    typo: float
    base: float


@dataclass(frozen=True)
class Tables:
    """Everything the marking room knows. Compiled parts are made when first used and kept."""

    polymers: Mapping[str, Polymer]
    fillers: Mapping[str, FillerCode]
    material_letters: Mapping[str, str]
    form_letters: Mapping[str, str]
    characteristics: Mapping[str, tuple[str, ...]]
    plasticizers: Mapping[str, Term]
    retardants: Mapping[int, Term]
    resin_codes: Mapping[int, ResinCode]
    legacy: Mapping[str, Legacy]
    traps: tuple[tuple[str, str], ...]
    prior: Prior
    channel: ChannelTable
    junk: JunkTable
    verdicts: Verdicts
    fit: FitTable
    names: NameRows
    sources: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def language(self) -> Language:
        """All compositions that the search knows, with their prior."""
        from .language import build

        return build(self)

    @cached_property
    def searcher(self) -> Searcher:
        """The search over the language, with its memory of what it has already met."""
        from .search import Searcher

        return Searcher(self.language, self.channel)

    @cached_property
    def compositions(self) -> dict[str, Composition | None]:
        """What compound symbols say, as far as they were asked for."""
        return {}

    @cached_property
    def name_table(self) -> NameTable:
        """Spoken names, ready for fuzzy search."""
        from .names import NameTable

        return NameTable(self)
