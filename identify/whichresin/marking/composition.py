"""What a marking says, as a value: polymers, fillers, plasticizer, recycled share, flame retardants, layers."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class FillerPart:
    """One filler. `percent` is mass per cent of the whole compound, None when the marking leaves it out."""

    code: str
    material: str
    form: str
    percent: int | None = None


@dataclass(frozen=True, slots=True)
class Composition:
    """One material. `total_percent` is given for a mixture whose shares are not, as in -(GF+MD)40."""

    polymers: tuple[str, ...]
    fillers: tuple[FillerPart, ...] = ()
    total_percent: int | None = None
    plasticizer: str | None = None
    recyclate: int | None = None
    retarded: bool = False
    retardants: tuple[int, ...] = ()
    resin_code: int | None = None

    @property
    def filler_percent(self) -> int | None:
        """The mass per cent of all fillers together, as far as the marking says."""
        if self.total_percent is not None:
            return self.total_percent
        known = [part.percent for part in self.fillers]
        return sum(p for p in known if p is not None) if known and None not in known else None


@dataclass(frozen=True, slots=True)
class Marking:
    """One marking: one composition, or the layers of a product, visible one first. `main` is the underlined layer."""

    layers: tuple[Composition, ...]
    main: int | None = None

    @property
    def leading(self) -> Composition:
        """The layer that counts for repair: the main one, else the first."""
        return self.layers[self.main or 0]

    @property
    def polymers(self) -> tuple[str, ...]:
        """All polymers in the order marked."""
        return tuple(symbol for layer in self.layers for symbol in layer.polymers)

    @property
    def fillers(self) -> tuple[FillerPart, ...]:
        """All fillers in the order marked."""
        return tuple(part for layer in self.layers for part in layer.fillers)


def spell(marking: Marking) -> str:
    """The marking in the spelling of ISO 11469, with its brackets."""
    layers = [spell_composition(layer) for layer in marking.layers]
    if len(layers) == 1 and not marking.layers[0].polymers:
        return layers[0]
    if marking.main is not None:
        layers[marking.main] = f"_{layers[marking.main]}_"
    return f">{','.join(layers)}<"


def spell_composition(composition: Composition) -> str:
    """One composition without brackets: `PA66-(GF25+MD15)-FR(40)`."""
    if not composition.polymers:
        return f"{composition.resin_code} OTHER"
    text = "+".join(composition.polymers)
    if composition.plasticizer and composition.polymers[-1].endswith("-P"):
        text += f"({composition.plasticizer})"
    fillers = composition.fillers
    if len(fillers) == 1:
        text += f"-{_spell_filler(fillers[0])}"
    elif fillers:
        total = "" if composition.total_percent is None else str(composition.total_percent)
        text += f"-({'+'.join(_spell_filler(part) for part in fillers)}){total}"
    if composition.plasticizer and not composition.polymers[-1].endswith("-P"):
        text += f"-P({composition.plasticizer})"
    if composition.recyclate is not None:
        text += f"-(REC{composition.recyclate})"
    if composition.retarded:
        codes = "+".join(str(code) for code in composition.retardants)
        text += f"-FR({codes})" if codes else "-FR"
    return text


def plain(composition: Composition) -> Composition:
    """The same material without what does not change its marking (the resin code beside it)."""
    return replace(composition, resin_code=None) if composition.polymers else composition


def _spell_filler(part: FillerPart) -> str:
    return part.code if part.percent is None else f"{part.code}{part.percent:02d}"
