"""The trade's fixed chart, read from `knowledge/repair/chart.yaml`: the same questions in the same order."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

import yaml

from whichresin.knowledge.paths import shipped

from .play import Policy, Turn
from .policies import stopping

NAME = "repair/chart.yaml"


class BadChart(ValueError):
    """A chart that cannot be followed; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Chart:
    """Cues in the order in which they are asked, and the expected loss in minutes below which it stops."""

    order: tuple[str, ...]
    stop_below: float


def read_chart(path: Path | None = None) -> Chart:
    """The shipped chart, or one of your own. Raises BadChart."""
    place = path or Path(shipped().knowledge) / NAME
    try:
        raw = yaml.safe_load(place.read_text(encoding="utf-8"))
        order = tuple(str(step["cue"]) for step in raw["order"])
        return Chart(order, float(raw["stop_below_minutes"]))
    except (OSError, yaml.YAMLError, KeyError, TypeError, ValueError) as error:
        raise BadChart(f"{place}: no chart can be read from this file ({error}).") from None


def chart_policy(chart: Chart, target: str, shop: Collection[str], stop_below: float | None = None) -> Policy:
    """The first question of the chart that is not answered and may be asked, until the stop."""

    def choose(at: Turn) -> str:
        return next((cue for cue in chart.order if cue in at.cues), "")

    return stopping(choose, target, shop, chart.stop_below if stop_below is None else stop_below)
