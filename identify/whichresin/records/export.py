"""Jobs as a table for spreadsheets: one line a job, the latest outcome on it."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from typing import TextIO

from .rows import Kept

COLUMNS = (
    "id", "at", "part", "owner", "decision", "process", "cell", "polymer", "probability", "products", "photos",
    "identification", "repair", "really", "pattern", "days", "outcome_at", "note", "by", "knowledge",
)  # fmt: skip
# A cell that starts so would be run as a formula by a spreadsheet.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def write_csv(jobs: Iterable[Kept], stream: TextIO) -> int:
    """Write the table to a stream opened with newline=""; returns the number of jobs."""
    table = csv.writer(stream)
    table.writerow(COLUMNS)
    count = 0
    for one in jobs:
        table.writerow([_cell(value) for value in _row(one)])
        count += 1
    return count


def _row(one: Kept) -> tuple[object, ...]:
    job, outcome = one.job, one.outcome
    products = "; ".join(" ".join(filter(None, (p.get("name"), p.get("lot")))) for p in job.sheet.get("products", []))
    ended: tuple[object, ...] = ("",) * 7
    if outcome is not None:
        days = "" if outcome.days is None else outcome.days
        said = (outcome.identification, outcome.repair, outcome.really, outcome.pattern)
        ended = (*said, days, outcome.at, outcome.note)
    photos = "; ".join(photo.path for photo in one.photos)
    what = (job.decision, job.process, job.cell, job.polymer, round(job.probability, 4))
    by = outcome.by if outcome is not None and outcome.by else job.by
    return (one.id, one.at, job.part, job.owner, *what, products, photos, *ended, by, job.knowledge)


def _cell(value: object) -> object:
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value
