"""Read knowledge/markings/ into `Tables`. Problems carry file, line and column; nothing stops at the first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from whichresin.knowledge import paths
from whichresin.knowledge.problems import Problem, Report

from .forms import FORMS, read_form
from .rows import (
    channel_of,
    fit_of,
    junk_of,
    legacy_of,
    names_of,
    polymers_of,
    prior_of,
    verdicts_of,
)
from .tables import FillerCode, ResinCode, Tables, Term

Read = Mapping[str, Any]


class BadTables(Exception):
    """The marking tables cannot be used; `problems` says where and why."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


def load(folder: str | None = None) -> Tables:
    """The tables of `folder` (default: the shipped ones). Raises BadTables with every problem found."""
    tables, problems = read(folder)
    if tables is None:
        raise BadTables(problems)
    return tables


def read(folder: str | None = None) -> tuple[Tables | None, tuple[Problem, ...]]:
    """The tables and what is wrong with them; None when there are errors."""
    folder = folder or f"{paths.shipped().knowledge}/markings"
    report = Report()
    files = {name: read_form(name, f"{folder}/{name}.yaml", report) for name in FORMS}
    if report.has_errors:
        return None, report.sorted()
    tables = _compile(files, report)
    return (None if report.has_errors else tables), report.sorted()


def _compile(files: Mapping[str, Any], report: Report) -> Tables:
    polymers = polymers_of(
        (files[n] for n in ("polymers", "polyamides", "thermoplastic_elastomers", "rubbers")), report
    )
    fillers = _by(
        files["fillers"],
        "code",
        lambda r: FillerCode(r.text("code"), r.text("material"), r.text("form"), r.text("name"), r.words("source")),
    )
    letters = files["filler_letters"]
    return Tables(
        polymers=polymers,
        fillers=fillers,
        material_letters={r.text("letter"): r.text("material") for r in letters.rows("materials")},
        form_letters={r.text("letter"): r.text("form") for r in letters.rows("forms")},
        characteristics={r.text("symbol"): r.words("meanings") for r in files["characteristics"].rows("rows")},
        plasticizers=_by(
            files["plasticizers"], "symbol", lambda r: Term(r.text("symbol"), r.text("name"), "", r.words("source"))
        ),
        retardants={
            int(r.number("code")): Term(str(int(r.number("code"))), r.text("name"), r.text("group"), r.words("source"))
            for r in files["retardants"].rows("rows")
        },
        resin_codes={
            int(r.number("number")): ResinCode(
                int(r.number("number")), r.words("letters"), r.text("polymer"), r.text("name"), r.words("source")
            )
            for r in files["resin_codes"].rows("rows")
        },
        legacy=legacy_of(files["legacy"], polymers, fillers, report),
        traps=tuple((r.text("trap"), r.text("advice")) for r in files["traps"].rows("rows")),
        prior=prior_of(files["prior"], polymers, fillers, report),
        channel=channel_of(files["channel"], files["look_alikes"]),
        junk=junk_of(files["junk"]),
        verdicts=verdicts_of(files["verdict"]),
        fit=fit_of(files["fit"]),
        names=names_of(files["names"], polymers, fillers, report),
        sources=files["sources"].texts("sources"),
    )


def _by(file: Any, key: str, make: Callable[[Any], Any]) -> dict[str, Any]:
    return {row.text(key): make(row) for row in file.rows("rows")}
