"""Failure patterns of a repair, read from knowledge/repair/failures.yaml: what is seen, why, which step to change."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from whichresin.knowledge import paths
from whichresin.knowledge.forms import SOURCE
from whichresin.knowledge.positions import Reading, read
from whichresin.knowledge.problems import Problem, Report
from whichresin.knowledge.schema import Context, Ident, Many, Record, Row, Text, optional, required

from .files import repair_file

_NEAR = 72.0  # rapidfuzz score (0..100) from which words are taken to mean a pattern; from memory
_LONG = Text(400, lines=True)
_CAUSE = Record(
    "a cause",
    required({"why": Text(160, lines=True), "ask": Text(160, lines=True), "step": Text(40), "change": _LONG})
    | required({"source": SOURCE}),
)
_EVIDENCE = Record("evidence", required({"cue": Text(40), "value": Text(40)}))
_PATTERN = Record(
    "a failure pattern",
    required(
        {
            "id": Ident(),
            "name": Text(80),
            "term": Text(100),
            "words": Many(Text(60), at_least=1),
            "look": _LONG,
            "means": _LONG,
            "causes": Many(_CAUSE, at_least=1),
            "source": SOURCE,
        }
    )
    | optional({"evidence": _EVIDENCE}),
)
FAILURES = Record(
    "failures.yaml", required({"patterns": Many(_PATTERN, at_least=1)}) | required({"about": Text(600, lines=True)})
)


@dataclass(frozen=True, slots=True)
class Cause:
    """A likely cause: the question that tells, the step it belongs to, and what to change there."""

    why: str
    ask: str
    step: str
    change: str
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """A failure pattern. `evidence` is (cue, value) where the pattern says something of the plastic, else None."""

    id: str
    name: str
    term: str
    words: tuple[str, ...]
    look: str
    means: str
    causes: tuple[Cause, ...]
    evidence: tuple[str, str] | None
    source: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The pattern as an object."""
        return {
            "id": self.id,
            "name": self.name,
            "term": self.term,
            "look": self.look,
            "means": self.means,
            "causes": [
                {"why": c.why, "ask": c.ask, "step": c.step, "change": c.change, "source": list(c.source)}
                for c in self.causes
            ],
            "evidence": {"cue": self.evidence[0], "value": self.evidence[1]} if self.evidence else None,
            "source": list(self.source),
        }


@dataclass(frozen=True, slots=True)
class Failures:
    """All patterns by id, in the order of the file, and how to look."""

    patterns: Mapping[str, Pattern]
    about: str


class BadFailures(Exception):
    """The file cannot be used; the message is the first problem, `problems` all of them."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(str(problems[0]))
        self.problems = problems


def load_failures(path: str | None = None, reading: Reading | None = None) -> Failures:
    """Read the patterns (default: the shipped file; `reading`: what it holds, where that was read before).

    Raises BadFailures.
    """
    place = path or repair_file("failures.yaml")
    report = Report()
    found = read(place, paths.shown_path(place)) if reading is None else reading
    report.extend(found.problems)
    row = FAILURES.read(found.root, Context(report)) if found.root is not None else None
    if row is None or report.has_errors:
        raise BadFailures(report.sorted())
    patterns = (_pattern(one) for one in row.rows("patterns"))
    return Failures({one.id: one for one in patterns}, _one_line(row.text("about")))


def find_patterns(failures: Failures, text: str) -> list[Pattern]:
    """The patterns that words may mean, the likeliest first: an id alone is that pattern and nothing else."""
    from rapidfuzz import fuzz

    wanted = " ".join(text.lower().replace("_", " ").split())
    exact = failures.patterns.get(wanted.replace(" ", "_"))
    if exact is not None:
        return [exact]
    if not wanted:
        return []

    def score(pattern: Pattern) -> float:
        known = (pattern.name.lower(), pattern.id.replace("_", " "), *pattern.words)
        return max(max(fuzz.ratio(wanted, word), 0.95 * fuzz.token_set_ratio(wanted, word)) for word in known)

    scored = sorted(((score(one), place, one) for place, one in enumerate(failures.patterns.values())), key=_rank)
    best = scored[0][0]
    return [one for value, _, one in scored if value >= _NEAR and value >= best - 5.0][:4]


def _rank(scored: tuple[float, int, Pattern]) -> tuple[float, int]:
    return -scored[0], scored[1]


def _pattern(row: Row) -> Pattern:
    evidence = row.row("evidence")
    return Pattern(
        row.text("id"),
        row.text("name"),
        row.text("term"),
        row.words("words"),
        _one_line(row.text("look")),
        _one_line(row.text("means")),
        tuple(_causes(row.rows("causes"))),
        (evidence.text("cue"), evidence.text("value")) if evidence is not None else None,
        row.words("source"),
    )


def _causes(rows: Iterable[Row]) -> Iterable[Cause]:
    for row in rows:
        why, ask, step, change = (_one_line(row.text(key)) for key in ("why", "ask", "step", "change"))
        yield Cause(why, ask, step, change, row.words("source"))


def _one_line(text: str) -> str:
    return " ".join(text.split())
