"""What a density picture shows: materials as ranges on one axis, liquids as lines, what was measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whichresin.knowledge.model import Compound, Model

from .bench import named_compounds
from .designed import results_tried
from .interview import Interview

_SPREAD = 2.0  # standard deviations that a range shows to each side: nearly all pieces
_MEASURED = 1.96  # standard uncertainties that hold 95 in 100
_SHOWN = 0.01
_MOST = 12
_DID = {"floats": "floated in it", "neutral": "hung in it", "sinks": "sank in it"}


@dataclass(frozen=True, slots=True)
class Span:
    """One material: between which densities nearly all its pieces lie, g/cm3; its chance where one is known."""

    label: str
    low: float
    high: float
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A liquid, at its density."""

    label: str
    density: float


@dataclass(frozen=True, slots=True)
class DensityPicture:
    """Spans light to heavy, liquids light to heavy, and the measured value between its 95 % limits, all g/cm3."""

    spans: tuple[Span, ...]
    liquids: tuple[Mark, ...] = ()
    measured: tuple[float, float, float] | None = None  # low, value, high

    @property
    def ends(self) -> tuple[float, float]:
        """The ends of an axis that holds everything, on whole steps of 0.05."""
        low = [span.low for span in self.spans] + [mark.density for mark in self.liquids]
        high = [span.high for span in self.spans] + [mark.density for mark in self.liquids]
        if self.measured is not None:
            low.append(self.measured[0])
            high.append(self.measured[2])
        first, last = int(min(low) * 20.0), -int(-max(high) * 20.0 // 1)
        return first / 20.0, max(last, first + 1) / 20.0


def of_ladder(model: Model, names: Sequence[str], liquids: Sequence[Mapping[str, Any]]) -> DensityPicture:
    """The plastics named and the liquids between them, each from its document."""
    marks = tuple(_mark(one["solute_name"], one["density_g_cm3"]) for one in liquids)
    return _picture(((compound, None) for compound in named_compounds(model, names)), marks)


def of_weighing(model: Model, document: Mapping[str, Any]) -> DensityPicture:
    """What a density leaves possible, and the density itself, from the document of a weighing or of float tests."""
    by_symbol = {c.symbol: c for c in reversed(model.compounds[:-1])}
    found = [
        (by_symbol[one["symbol"]], one["probability"])
        for material in document["polymers"]
        for one in material["compounds"]
        if one["symbol"] in by_symbol
    ]
    value, doubt = document["density_g_cm3"], document["uncertainty_g_cm3"]
    if value is None:
        ends = (("sank in it or hung", document["low_g_cm3"]), ("floated in it or hung", document["high_g_cm3"]))
        return _picture(found, tuple(_mark(label, end) for label, end in ends if end is not None))
    return _picture(found, (), (value - _MEASURED * doubt, value, value + _MEASURED * doubt))


def of_interview(interview: Interview, liquids: Sequence[Mapping[str, Any]] = ()) -> DensityPicture:
    """What an interview still holds possible, the liquids in which the piece was tried, those given, its weighing."""
    model, state = interview.model, interview.state
    tried = [_mark(_DID[result], density) for density, result in results_tried(model, state)]
    marks = (*tried, *(_mark(one["solute_name"], one["density_g_cm3"]) for one in liquids))
    measured = None
    for answer in state.answers.values():
        if model.cues[answer.cue].physics == "density" and isinstance(answer.value, float):
            doubt = model.observer.density_uncertainty_g_cm3 if answer.uncertainty is None else answer.uncertainty
            measured = (answer.value - _MEASURED * doubt, answer.value, answer.value + _MEASURED * doubt)
    found = zip(model.compounds[:-1], interview.compound_chances(), strict=False)
    return _picture(found, marks, measured)


def _mark(label: str, density: float) -> Mark:
    return Mark(label, density)


def _picture(
    found: Iterable[tuple[Compound, float | None]],
    marks: tuple[Mark, ...],
    measured: tuple[float, float, float] | None = None,
) -> DensityPicture:
    """The likeliest of the compounds; those of one symbol (flame-retarded or not) as one span."""
    spans: dict[str, Span] = {}
    for compound, chance in found:
        reach = _SPREAD * compound.density_sd_g_cm3
        low, high = compound.density_g_cm3 - reach, compound.density_g_cm3 + reach
        known = spans.get(compound.symbol)
        if known is None:
            spans[compound.symbol] = Span(compound.symbol, low, high, chance)
        elif chance is not None and chance >= _SHOWN:
            total = chance + (known.probability or 0.0)
            spans[compound.symbol] = Span(compound.symbol, min(low, known.low), max(high, known.high), total)
        elif chance is not None:
            total = chance + (known.probability or 0.0)
            spans[compound.symbol] = Span(compound.symbol, known.low, known.high, total)
    kept = [span for span in spans.values() if span.probability is None or span.probability >= _SHOWN]
    kept.sort(key=lambda span: -(span.probability or 0.0))
    rising = sorted(kept[:_MOST] if kept and kept[0].probability is not None else kept, key=lambda s: (s.low + s.high))
    return DensityPicture(tuple(rising), tuple(sorted(marks, key=lambda m: m.density)), measured)
