"""The size of the damage and of the repair that covers it, in mm; words and figures turned into it, or one sentence."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed, nearest

from .bands import Band
from .figures import Figures

# What may be given, with the least and the most that can be meant (mm; sides: how many can be reached).
_LIMITS = {
    "length": (1.0, 3000.0),
    "width": (0.0, 2000.0),
    "thickness": (0.3, 60.0),
    "sides": (1.0, 2.0),
    "scarf": (1.0, 100.0),
    "plies": (1.0, 60.0),
}
_COUNTED = ("sides", "plies")
_BARE = ("sides", "scarf", "plies")  # without a unit
# What is set by the person: key of the mapping -> figure that holds its usual value and its limits.
_CHOICES = {
    "margin": "margin_mm",
    "groove_width": "groove_width_mm",
    "patch": "patch_mm",
    "overlap": "mesh_overlap_mm",
    "rod": "rod_mm",
    "cleaner_ml": "cleaner_ml",
}
KEYS = (*_LIMITS, *_CHOICES)


class BadSize(ValueError):
    """A size that cannot be; the message is one sentence without a place."""


class MissingSize(BadSize):
    """A length or thickness that nobody said."""


@dataclass(frozen=True, slots=True)
class Size:
    """The damage, and what is planned round it, all in mm. `width_mm` is 0 for a crack, else that of the hole."""

    length_mm: float
    width_mm: float
    thickness_mm: float
    sides: int  # sides that can be reached: 1 or 2
    margin_mm: float
    groove_width_mm: float
    patch_mm: float
    overlap_mm: float
    rod_mm: float
    cleaner_ml: float
    scarf_ratio: float | None = None  # length per thickness, as the maker or the load gives it
    plies: int | None = None

    def prepared_cm2(self) -> float:
        """Area prepared on one side: the damage with its margin all round."""
        return (self.length_mm + 2 * self.margin_mm) * (self.width_mm + 2 * self.margin_mm) / 100.0

    def mesh_mm(self) -> tuple[float, float]:
        """Length and width of one piece of mesh."""
        return self.length_mm + 2 * self.overlap_mm, self.width_mm + 2 * self.overlap_mm

    def as_json(self) -> dict[str, float | None]:
        """Every figure by name."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


def size_of(given: Mapping[str, float], figures: Figures) -> Size:
    """The size from figures in mm by key. Raises BadSize for a key, figure or pair of figures that cannot be."""
    for key, value in given.items():
        if key not in KEYS:
            near = nearest(key, KEYS)
            hint = f"did you mean {shown(near)}?" if near else f"known are {listed(KEYS, 20)}"
            raise BadSize(f"{shown(key)} is not a size; {hint}")
        _within(key, value, *_limits(key, figures))
    for key in ("length", "thickness"):
        if key not in given:
            raise MissingSize(
                f"the size has no {key}; give it in mm, such as {key}: {'120' if key == 'length' else '3'}"
            )
    for key in _COUNTED:
        if given.get(key, 1.0) != int(given.get(key, 1.0)):
            hint = "1 or 2, as many as a hand can reach" if key == "sides" else "how many there are"
            raise BadSize(f"{key} is {given[key]:g}; say {hint}")
    chosen = {key: given.get(key, figures.band(name).usual) for key, name in _CHOICES.items()}
    inside = figures.band("mesh_inside_mm")
    if "overlap" not in given:  # a narrow margin takes a narrower mesh with it
        chosen["overlap"] = min(chosen["overlap"], chosen["margin"] - inside.low)
    elif chosen["overlap"] > chosen["margin"] - inside.low:
        raise BadSize(
            f"mesh that overlaps by {chosen['overlap']:g} mm does not stay {inside.low:g} mm inside a margin of "
            f"{chosen['margin']:g} mm; widen the margin or cut the mesh smaller"
        )
    return Size(
        given["length"],
        given.get("width", 0.0),
        given["thickness"],
        int(given.get("sides", 2.0)),
        chosen["margin"],
        chosen["groove_width"],
        chosen["patch"],
        chosen["overlap"],
        chosen["rod"],
        chosen["cleaner_ml"],
        given.get("scarf"),
        int(given["plies"]) if "plies" in given else None,
    )


def _limits(key: str, figures: Figures) -> tuple[float, float, str]:
    if key in _LIMITS:
        return *_LIMITS[key], "" if key in _BARE else " mm"
    band: Band = figures.band(_CHOICES[key])
    return band.low, band.high, " mL" if key == "cleaner_ml" else " mm"


def _within(key: str, value: float, low: float, high: float, unit: str) -> None:
    if not math.isfinite(value) or not low <= value <= high:
        raise BadSize(f"{key} is {value:g}{unit}; expected {low:g} to {high:g}{unit}")
