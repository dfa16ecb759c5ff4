"""The values that a record holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

HELD, WRONG, FAILED, NOT_KNOWN = "held", "wrong", "failed", "not_known"
IDENTIFICATION = (HELD, WRONG, NOT_KNOWN)
REPAIR = (HELD, FAILED, NOT_KNOWN)
STAGES = ("found", "opened", "reinforced", "finished", "failed")


@dataclass(frozen=True, slots=True)
class Job:
    """A job as it is put in. `sheet` is the job sheet as its JSON document; the other fields are what lists show."""

    part: str
    decision: str
    process: str
    cell: str
    polymer: str
    probability: float  # of the cell that was acted on, as it was stated
    knowledge: str
    sheet: Mapping[str, Any]
    owner: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph by path; the digest tells whether the file is still the one that was recorded."""

    stage: str
    path: str
    sha256: str
    at: str = ""


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that happened at the bench: a clock time of a step, a reading, or free words."""

    what: str  # note, or the id of a step
    text: str
    at: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of it. `really` is the material, if it became known; `pattern` how the repair broke."""

    identification: str
    repair: str
    really: str = ""
    pattern: str = ""
    days: int | None = None
    note: str = ""
    by: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """A job as it is kept, with all that was added to it, oldest first."""

    id: int
    at: str  # UTC, ISO 8601
    job: Job
    photos: tuple[Photo, ...] = ()
    notes: tuple[Noted, ...] = ()
    outcomes: tuple[Outcome, ...] = field(default=())

    @property
    def outcome(self) -> Outcome | None:
        """The latest word on it."""
        return self.outcomes[-1] if self.outcomes else None

    def as_json(self) -> dict[str, Any]:
        """Everything, as an object."""
        job = asdict(self.job)
        return {
            "id": self.id,
            "at": self.at,
            **job,
            "sheet": dict(self.job.sheet),
            "photos": [asdict(photo) for photo in self.photos],
            "notes": [asdict(note) for note in self.notes],
            "outcomes": [asdict(outcome) for outcome in self.outcomes],
        }
