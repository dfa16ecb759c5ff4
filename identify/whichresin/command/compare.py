"""`whichresin compare OLD NEW`: what differs between two folders of knowledge, and what it does."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from whichresin.vocabulary.text import escaped

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.model import Model
    from whichresin.training.compare import Compared


def run(args: Sequence[str]) -> int:
    """Run the command; 0 when nothing differs, 1 when something does."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin compare",
        description="Show what was added, changed and removed between two folders of knowledge, whole ones or packs, "
        "and what that does to answers files. The word shipped stands for the shipped knowledge.",
    )
    parser.add_argument("old", metavar="OLD")
    parser.add_argument("new", metavar="NEW")
    parser.add_argument(
        "--transcripts", metavar="DIR", action="append", default=[], help="answers files to run on both"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    options = parser.parse_args(args)

    from whichresin.session.replay import interviews_in
    from whichresin.training.compare import compare

    old, new = _model(options.old), _model(options.new)
    answers = [path for start in options.transcripts for path in interviews_in(Path(start))]
    found = compare(old, new, answers)
    if options.json:
        output.say_json({"schema": 1, **asdict(found)})
    else:
        sys.stdout.writelines(f"{escaped(line)}\n" for line in _lines(found, len(answers)))
    return output.NEGATIVE if found.changes or found.effects else output.DONE


def _model(folder: str) -> Model:
    from whichresin.training.check import check
    from whichresin.training.compare import checked

    if folder != "shipped" and not Path(folder).exists():
        raise output.BadInput(f"{folder}: there is no such folder; name a folder of knowledge, or shipped")
    found = check() if folder == "shipped" else checked(folder)
    if found.compiled is None or found.compiled.model is None:
        first = next(problem for problem in found.problems if problem.level == "error")
        raise output.BadInput(f"{first}; `whichresin check {folder}` shows all")
    return found.compiled.model


def _lines(found: Compared, answers: int) -> Iterator[str]:
    for change in found.changes:
        parts = f": {', '.join(change.parts)}" if change.parts else ""
        yield f"{change.what:<8} {change.kind:<9} {change.id}{parts}"
    if not found.changes:
        yield "no row differs"
    for one in found.effects:
        if one.error:
            yield f"{one.name}: cannot be run on both: {one.error}"
            continue
        yield f"{one.name}: {one.before} {one.before_chance:.3f} -> {one.after} {one.after_chance:.3f}"
        yield from (f"    {text}" for text in one.other)
    if answers:
        yield f"{found.same} of {answers} answers files come out the same"
