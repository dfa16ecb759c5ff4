"""A float liquid made for this part as one more question: which density tells most, in minutes like every other.

A made liquid takes time to mix, so it is looked for late: once the other questions left save little, and some
liquid would save more. Until then it costs next to nothing to leave it out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt
from typing import NamedTuple

from whichresin.belief.decision import Loss
from whichresin.belief.density import RESULTS, float_chances
from whichresin.belief.views import View, Viewer
from whichresin.knowledge.model import Cue

# A made liquid is looked for once the best other question saves less than this share of what is at stake.
LITTLE = 0.2
# Densities, g/cm3, tried to see whether any liquid could pay.
LADDER = tuple(round(0.90 + 0.02 * k, 2) for k in range(18))
SURELY = 4.0  # spreads away from a liquid at which a piece surely floats or sinks
COARSE = 3  # of the liquids that can be made every third is tried first
# Densities that save at least this share of what the best one saves are as good: the middle of their run is
# taken, so that an error of recipe or temperature costs least.
AS_GOOD = 0.97


class LiquidTest(NamedTuple):
    """A float test in a liquid that can be made: its density, and what it adds to the test itself."""

    density_g_cm3: float
    uncertainty_g_cm3: float  # standard
    minutes: float  # to make it
    hazard: str
    liquid: str  # id of the liquid


class BestLiquid(NamedTuple):
    """The liquid that tells most, and the run of densities that are as good."""

    test: LiquidTest
    low_g_cm3: float
    high_g_cm3: float


class Floating:
    """What float tests are worth in one scene; one step deep, like every question before the look ahead."""

    def __init__(self, viewer: Viewer, cue: Cue, loss: Loss) -> None:
        self._viewer, self._cue, self._loss = viewer, cue, loss
        self._hazard_minutes = viewer.state.model.losses.hazard_minutes
        scene = viewer.scene
        clean = viewer.clean(cue)
        found = zip(viewer.densities(), scene.place_of, clean.told, strict=True)
        self._pieces = [(mean, sd, place, mass) for (mean, sd), place, mass in found]
        self._noise = [rest / len(RESULTS) for rest in clean.noise]

    def cost(self, test: LiquidTest) -> float:
        """Minutes: the test itself, making the liquid, and the hazard of both."""
        return self._cue.minutes + test.minutes + self._hazard_minutes[test.hazard]

    def after(self, density_g_cm3: float, uncertainty_g_cm3: float) -> float:
        """The expected loss once it is known what the piece does in this liquid."""
        within = self._viewer.state.model.observer.neutral_within_g_cm3
        columns = [list(self._noise) for _ in RESULTS]
        floats, hangs, sinks = columns
        square = uncertainty_g_cm3 * uncertainty_g_cm3
        for mean, sd, place, mass in self._pieces:
            gap, spread = density_g_cm3 - mean, sqrt(square + sd * sd)
            if abs(gap) > within + SURELY * spread:  # most pieces: saves the error functions
                (floats if gap > 0.0 else sinks)[place] += mass
                continue
            up, still, down = float_chances(gap, spread, within)
            floats[place] += mass * up
            hangs[place] += mass * still
            sinks[place] += mass * down
        return sum(map(self._loss, columns))

    def could_beat(self, worth: float, now: float) -> bool:
        """Whether some liquid, made in no time, would be worth more than this; tried on a coarse ladder."""
        usual, steps = self._viewer.state.model.observer.liquid_uncertainty_g_cm3, LADDER
        enough = now - self._cue.minutes - worth
        return any(self.after(density, usual) < enough for density in steps)

    def best(self, tests: Sequence[LiquidTest], now: float) -> BestLiquid | None:
        """The one that saves most for its cost, tried coarsely and then closely; None when none saves anything.

        Ends in the middle of the run of neighbours that are as good. `tests` rise in density.
        """
        if not tests:
            return None
        left: dict[int, float] = {}

        def total(place: int) -> float:
            if place not in left:
                test = tests[place]
                left[place] = self.after(test.density_g_cm3, test.uncertainty_g_cm3) + self.cost(test)
            return left[place]

        places = range(len(tests))
        best = min(places[::COARSE], key=total)
        best = min(places[max(0, best - COARSE) : best + COARSE + 1], key=total)
        saved = now - (total(best) - self.cost(tests[best]))
        if saved <= 1e-9:
            return None
        enough = total(best) + (1.0 - AS_GOOD) * saved
        low = high = best
        while low > 0 and total(low - 1) <= enough:
            low -= 1
        while high + 1 < len(tests) and total(high + 1) <= enough:
            high += 1
        centre = 0.5 * (tests[low].density_g_cm3 + tests[high].density_g_cm3)
        place = min(range(low, high + 1), key=lambda k: (abs(tests[k].density_g_cm3 - centre), total(k)))
        return BestLiquid(tests[place], tests[low].density_g_cm3, tests[high].density_g_cm3)

    def view(self, test: LiquidTest) -> View:
        """The test as a question like any other."""
        cue = replace(self._cue, minutes=self._cue.minutes + test.minutes, hazard=test.hazard)
        return self._viewer.float_view(cue, test.density_g_cm3, test.uncertainty_g_cm3)
