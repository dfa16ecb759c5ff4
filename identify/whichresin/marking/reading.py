"""What a decoding says: frozen values that every front end reads."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from .composition import FillerPart, Marking


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing that the text can be. `prior` is how often such a marking is met before anything is read."""

    marking: Marking
    text: str
    probability: float
    prior: float
    klass: str
    meaning: str
    damages: int
    says: str = ""

    @property
    def polymers(self) -> tuple[str, ...]:
        """ISO symbols in the order marked."""
        return self.marking.polymers

    @property
    def fillers(self) -> tuple[FillerPart, ...]:
        """Fillers in the order marked."""
        return self.marking.fillers

    @property
    def percent(self) -> int | None:
        """Mass per cent of fillers together, as far as marked."""
        return self.marking.leading.filler_percent

    @property
    def retarded(self) -> bool:
        """Whether a flame retardant is marked."""
        return self.marking.leading.retarded

    def as_dict(self) -> dict[str, Any]:
        """The reading as one JSON object."""
        lead = self.marking.leading
        return {
            "marking": self.text,
            "probability": round(self.probability, 6),
            "class": self.klass,
            "polymers": list(self.polymers),
            "fillers": [
                {"code": f.code, "material": f.material, "form": f.form, "percent": f.percent} for f in self.fillers
            ],
            "filler_total_percent": lead.filler_percent,
            "flame_retarded": lead.retarded,
            "flame_retardants": list(lead.retardants),
            "plasticizer": lead.plasticizer,
            "recycled_percent": lead.recyclate,
            "resin_code": lead.resin_code,
            "layers": [list(layer.polymers) for layer in self.marking.layers] if len(self.marking.layers) > 1 else None,
            "damages": self.damages,
            "meaning": self.meaning,
            "note": self.says,
        }


@dataclass(frozen=True, slots=True)
class Decoding:
    """A text and what it can be. `klass` is empty unless every plausible reading agrees on the class.

    `readings` holds all that matter, best first; `by_*` are sums of their odds. The odds of the readings, of no marking
    and of what was not looked for (`unseen`) add up to 1. `cut_short` when a text is so
    unclear that the work on it was limited.
    """

    text: str
    verdict: str  # clear | likely | ambiguous | unreadable
    readings: tuple[Reading, ...]
    not_a_marking: float
    says: str
    klass: str = ""
    by_class: dict[str, float] = field(default_factory=dict)
    by_polymer: dict[str, float] = field(default_factory=dict)
    by_filler: dict[str, float] = field(default_factory=dict)
    departures: tuple[str, ...] = ()
    parts: tuple[tuple[str, str], ...] = ()
    unseen: float = 0.0
    cut_short: bool = False

    def as_dict(self, most: int = 8) -> dict[str, Any]:
        """The decoding as one JSON object with at most so many readings."""
        return {
            "text": self.text,
            "verdict": self.verdict,
            "says": self.says,
            "class": self.klass or None,
            "readings": [reading.as_dict() for reading in self.readings[:most]],
            "more_readings": max(0, len(self.readings) - most),
            "not_a_marking": round(self.not_a_marking, 6),
            "unseen": round(self.unseen, 6),
            "cut_short": self.cut_short,
            "by_class": _rounded(self.by_class),
            "by_polymer": _rounded(self.by_polymer),
            "by_filler": _rounded(self.by_filler),
            "departures": list(self.departures),
            "parts": [{"part": part, "means": means} for part, means in self.parts],
        }


def _rounded(sums: dict[str, float]) -> dict[str, float]:
    ordered = sorted(sums.items(), key=lambda item: (-item[1], item[0]))
    return {name: round(share, 6) for name, share in ordered[:20] if share >= 5e-7}
