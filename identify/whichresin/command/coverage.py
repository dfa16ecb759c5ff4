"""`whichresin coverage [PATH...]`: what no example exercises, what no transcript shows, what cannot be told apart."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from whichresin.vocabulary.text import escaped

from . import output

if TYPE_CHECKING:
    from whichresin.training.coverage import Coverage

_SHOWN = 10


def run(args: Sequence[str]) -> int:
    """Run the command."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin coverage",
        description="Show which parts of rules no example exercises, which rules fire in no transcript, and which "
        "materials cannot be told apart. A PATH is laid over the shipped knowledge.",
    )
    parser.add_argument("paths", nargs="*", metavar="PATH")
    parser.add_argument("--transcripts", metavar="DIR", action="append", default=[], help="answers files to look at")
    parser.add_argument(
        "--without",
        choices=["burn", "solvent"],
        action="append",
        default=[],
        help="leave out tests that need this leave",
    )
    parser.add_argument("--all", action="store_true", help="list everything instead of the first ten of each")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    options = parser.parse_args(args)

    from whichresin.session.answers import BadAnswers
    from whichresin.session.replay import interviews_in
    from whichresin.training.check import check
    from whichresin.training.coverage import coverage

    checked = check(options.paths)
    compiled = checked.compiled
    if compiled is None or compiled.model is None:
        first = next(problem for problem in checked.problems if problem.level == "error")
        raise output.BadInput(f"{first}; `whichresin check` shows all")
    transcripts = [path for start in options.transcripts for path in interviews_in(Path(start))]
    try:
        found = coverage(compiled, compiled.model, transcripts, options.without)
    except BadAnswers as error:
        raise output.BadInput(str(error)) from None
    if options.json:
        output.say_json({"schema": 1, **found.as_json()})
    else:
        sys.stdout.writelines(f"{escaped(line)}\n" for line in _lines(found, None if options.all else _SHOWN))
    return output.DONE


def _lines(found: Coverage, shown: int | None) -> Iterator[str]:
    from whichresin.training.apart import Pair
    from whichresin.training.coverage import best_cues

    def pair_line(pair: Pair) -> str:
        cues = ", ".join(f"{cue} {value:.2f}" for cue, value in best_cues(pair)) or "none"
        return f"  {pair.one} and {pair.other}: wrong up to {pair.wrong_at_most:.0%}; best cues: {cues}"

    yield f"{len(found.untried)} of {found.parts} parts of conditions could go and no example would notice:"
    yield from _some([f"  {u.file}:{u.line}: {u.rule}: {u.part}" for u in found.untried], shown)
    yield f"{len(found.alike)} pairs of materials can hardly be told apart, even with every answer (1.00: no help):"
    yield from _some([pair_line(pair) for pair in found.alike], shown)
    yield "One more cue would help most if it told apart, of those that are repaired differently:"
    yield from (pair_line(pair) for pair in found.wanted)
    yield f"Never proposed, or only when a rule unlocks it: {', '.join(found.never_proposed) or 'none'}"
    if found.unfired is not None:
        yield f"{len(found.unfired)} rules fire in none of the transcripts:"
        yield from _some([f"  {rule}" for rule in found.unfired], shown)


def _some(lines: list[str], shown: int | None) -> list[str]:
    rest = len(lines) - (shown or len(lines))
    return [*lines[:shown], *([f"  and {rest} more (--all)"] if rest > 0 else [])]
