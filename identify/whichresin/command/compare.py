"""`whichresin compare OLD NEW`: what differs between two folders of knowledge, and what it does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.compile import Compiled
    from whichresin.training.compare import Compared
    from whichresin.training.compare_played import PlayedBoth

    from .options import Options

_INTERVIEWS, _MOST, _SHOWN = 20, 100_000, 10
_TELLING = 500  # interviews; with fewer, the error of a share is more than two in a hundred


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin compare",
        description="Show what was added, changed and removed between two folders of knowledge, whole ones or packs, "
        "and what that does to answers files, to the examples of rules and to simulated interviews. The word shipped "
        "stands for the shipped knowledge.",
    )
    parser.add_argument("old", metavar="OLD")
    parser.add_argument("new", metavar="NEW")
    parser.add_argument(
        "--transcripts", metavar="DIR", action="append", default=[], help="answers files to run on both"
    )
    parser.add_argument(
        "--interviews",
        type=int,
        default=_INTERVIEWS,
        metavar="N",
        help=f"simulated interviews to hold with both (default {_INTERVIEWS}; 0 leaves them out)",
    )
    parser.add_argument("--seed", type=int, default=1, metavar="S", help="seed of the interviews (default 1)")
    parser.add_argument("--all", action="store_true", help="list every example that comes out otherwise")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 0 when nothing differs, 1 when something does."""
    options = parser().parse_args(args)

    from whichresin.session.replay import interviews_in
    from whichresin.training.compare import compare

    if not 0 <= options.interviews <= _MOST:
        raise output.BadInput(f"--interviews takes a whole number from 0 to {_MOST}")
    old, new = _sound(options.old), _sound(options.new)
    answers = [path for start in options.transcripts for path in interviews_in(Path(start))]
    found = compare(old, new, answers, options.interviews, options.seed)
    if options.json:
        output.say_json({"schema": 1, **asdict(found)})
    else:
        output.say_lines(_lines(found, len(answers), None if options.all else _SHOWN))
    return output.NEGATIVE if found.changes or found.effects or found.cases.effects else output.DONE


def _sound(folder: str) -> Compiled:
    from whichresin.training.check import check
    from whichresin.training.compare import checked

    if folder != "shipped" and not Path(folder).exists():
        raise output.BadInput(f"{folder}: there is no such folder; name a folder of knowledge, or shipped")
    found = check() if folder == "shipped" else checked(folder)
    if found.compiled is None or found.compiled.model is None:
        first = next(problem for problem in found.problems if problem.level == "error")
        raise output.BadInput(f"{first}; `whichresin check {folder}` shows all")
    return found.compiled


def _lines(found: Compared, answers: int, shown: int | None) -> Iterator[str]:
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
    cases = found.cases
    if found.changes or cases.effects:
        yield f"{len(cases.effects)} of {cases.run} examples and near misses come out otherwise"
    for case in cases.effects[:shown]:
        yield f"{case.place}: {case.what} of {case.rule} ({', '.join(case.given) or 'nothing given'})"
        yield from (f"    no longer: {fact}" for fact in case.no_longer)
        yield from (f"    now: {fact}" for fact in case.now)
    if shown is not None and len(cases.effects) > shown:
        yield f"and {len(cases.effects) - shown} more (--all)"
    if found.played is not None:
        yield from _played(found.played)


def _played(found: PlayedBoth) -> Iterator[str]:
    def moved(name: str, form: str) -> str:
        return f"{found.before[name]:{form}} -> {found.after[name]:{form}}"

    yield (
        f"{found.interviews} simulated interviews with seed {found.seed}, parts drawn as NEW has them: "
        f"{found.otherwise} end otherwise"
    )
    yield f"    right repair cell {moved('cell', '.0%')}, right polymer {moved('polymer', '.0%')}"
    yield f"    treated as another cell {moved('wrong_actions', '.0%')}"
    yield f"    questions {moved('questions', '.1f')}, cost {moved('cost_minutes', '.1f')} minutes"
    for one in found.listed:
        yield f"  part {one.index}, {one.material}: {one.before}"
        yield f"    -> {one.after}"
    if found.interviews < _TELLING:
        yield f"Fewer than {_TELLING} interviews show at most where a change leads, not how far."
