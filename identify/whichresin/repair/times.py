"""Times of a product moved from the temperature of its sheet to that of the shop, each as a band.

A wait (flash-off, handling, sanding, cure) is never planned shorter than the sheet says; a limit (work time, window)
is planned at the short end of its band. The sheet wins over every figure here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Any

from whichresin.physics.vapour import Antoine, vapour_pressure_mmhg

from .bands import Band, exactly
from .figures import Figures


class OutsideRule(ValueError):
    """A temperature at which the rule must not be used; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Timed:
    """A time of a product in the shop. `kind` wait: not before; limit: not after. Minutes."""

    id: str  # flash_off, promoter_window, work, handling, sand, cure
    name: str
    kind: str
    sheet_minutes: float
    sheet_celsius: float | None
    shop_celsius: float | None
    band: Band
    timer_minutes: float  # what a timer is set to: waits at the long end, limits at the short end
    leaves_out: str
    source: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The time as an object, minutes."""
        return {
            "name": self.name,
            "kind": self.kind,
            "sheet_minutes": self.sheet_minutes,
            "sheet_celsius": self.sheet_celsius,
            "shop_celsius": self.shop_celsius,
            **{f"{end}_minutes": value for end, value in self.band.as_json().items()},
            "timer_minutes": round(self.timer_minutes, 1),
            "leaves_out": self.leaves_out,
            "source": list(self.source),
        }


# id -> (name, wait or limit, how it moves with temperature: as a cure, as vapour, as a window that only gets shorter,
# or not at all)
TIMES = {
    "flash_off": ("flash-off", "wait", "vapour"),
    "promoter_window": ("bonding window", "limit", "window"),
    "work": ("work time", "limit", "cure"),
    "handling": ("hold until handling strength", "wait", "cure"),
    "sand": ("until it can be sanded", "wait", "cure"),
    "cure": ("full cure", "wait", "cure"),
    "cool": ("cooling", "wait", "sheet"),
}


def at_temperature(minutes: float, sheet_celsius: float, shop_celsius: float, figures: Figures) -> Band:
    """Work or cure time in the shop: t x factor ** ((T_sheet - T_shop) / 10), factor 1.7 to 2.6 (CURE10).

    Raises OutsideRule when either temperature is outside 15 to 35 C, where the rule must not be used.
    """
    limits = figures.band("rule_celsius")
    for name, celsius in (("the sheet's temperature", sheet_celsius), ("the shop", shop_celsius)):
        if not limits.low <= celsius <= limits.high:
            remedy = "warm the room, the part and the product" if celsius < limits.low else "cool the work down"
            raise OutsideRule(
                f"{name} is at {celsius:g} C, outside {limits.low:g} to {limits.high:g} C: no time can be reckoned; "
                + (remedy if name == "the shop" else "ask the supplier for the times at shop temperature")
            )
    tens = (sheet_celsius - shop_celsius) / 10.0
    factor = figures.band("factor_per_10_k")
    moved = sorted(minutes * f**tens for f in (factor.low, factor.usual, factor.high))
    return Band(*moved)


def flash_off_at(minutes: float, sheet_celsius: float, shop_celsius: float, figures: Figures) -> Band:
    """Least flash-off in the shop: t x p(T_sheet) / p(T_shop), p the vapour pressure of isopropanol; no upper end.

    Other solvents, the film's thickness and the draught are not known, so it is a least figure.
    """
    antoine = Antoine(*(figures.band(f"antoine_{letter}").usual for letter in "abc"))
    ratio = vapour_pressure_mmhg(sheet_celsius, antoine) / vapour_pressure_mmhg(shop_celsius, antoine)
    return Band(minutes * ratio, max(minutes, minutes * ratio), inf)


def timed(what: str, minutes: float, sheet_celsius: float, shop_celsius: float, figures: Figures) -> Timed:
    """One time of a sheet, moved to the shop. Raises OutsideRule where no time can be reckoned, KeyError for `what`."""
    name, kind, moves = TIMES[what]
    if moves == "cure":
        band = at_temperature(minutes, sheet_celsius, shop_celsius, figures)
        leaves_out = (
            "a thick pool sets faster than a thin coat, the mass in the mixer counts"
            if kind == "limit"
            else "a thin film gains less from warmth than a mass: also in a warm shop wait as long as the sheet says"
        )
        source = figures.sources("factor_per_10_k")
    elif moves == "vapour":
        band = flash_off_at(minutes, sheet_celsius, shop_celsius, figures)
        leaves_out = "thickness of the coat, draught and other solvents: a wet look or smell means wait"
        source = figures.sources("antoine_a")
    elif moves == "sheet":
        return as_written(what, minutes, sheet_celsius, shop_celsius, "how thick the part is")
    else:
        shorter = min(1.0, flash_off_at(1.0, sheet_celsius, shop_celsius, figures).low)
        band = Band(minutes * shorter, minutes, minutes)
        leaves_out = "dust and fingers, which end it sooner; once lapsed, scuff and coat again as the sheet says"
        source = figures.sources("antoine_a")
    longest = band.usual if band.high == inf else band.high
    timer = max(minutes, longest) if kind == "wait" else band.low
    return Timed(what, name, kind, minutes, sheet_celsius, shop_celsius, band, timer, leaves_out, source)


def as_written(
    what: str, minutes: float, sheet_celsius: float | None, shop_celsius: float | None, leaves_out: str
) -> Timed:
    """A time of a sheet taken as it stands, where it cannot be moved to the shop."""
    name, kind, _ = TIMES[what]
    return Timed(what, name, kind, minutes, sheet_celsius, shop_celsius, exactly(minutes), minutes, leaves_out, ())
