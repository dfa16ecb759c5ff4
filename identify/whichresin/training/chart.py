"""The trade's fixed chart, read from `knowledge/repair/chart.yaml`: the same questions in the same order."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from whichresin.knowledge import paths
from whichresin.knowledge.forms import SOURCE
from whichresin.knowledge.positions import Reading, read
from whichresin.knowledge.problems import Problem, Report
from whichresin.knowledge.schema import Context, Ident, Many, Number, Record, Text, optional, required
from whichresin.repair.files import repair_file

NAME = "chart.yaml"
STEP = Record("a step of the chart", required({"cue": Ident(), "source": SOURCE}))
CHART = Record(
    "chart.yaml",
    required({"order": Many(STEP, at_least=1), "stop_below_minutes": Number(0, 1e5), "source": SOURCE})
    | optional({"about": Text(900, lines=True)}),
)


class BadChart(ValueError):
    """A chart that cannot be followed; the message is the first problem, `problems` all of them."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(str(problems[0]))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Chart:
    """Cues in the order in which they are asked, and the expected loss in minutes below which it stops."""

    order: tuple[str, ...]
    stop_below: float


def read_chart(path: str | Path | None = None, reading: Reading | None = None) -> Chart:
    """The shipped chart, or one of your own (`reading`: what it holds, where that was read before). Raises BadChart."""
    place = str(path or repair_file(NAME))
    report = Report()
    found = read(place, paths.shown_path(place)) if reading is None else reading
    report.extend(found.problems)
    row = CHART.read(found.root, Context(report)) if found.root is not None else None
    if row is None or report.has_errors:
        raise BadChart(report.sorted())
    return Chart(tuple(step.text("cue") for step in row.rows("order")), row.number("stop_below_minutes"))
