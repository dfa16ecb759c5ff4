"""What `whichresin coverage` found, in lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from whichresin.training.apart import Pair
from whichresin.training.asked import Asked
from whichresin.training.confusion import Confusion, Wanted
from whichresin.training.coverage import Coverage, best_cues

_SHOWN = 10  # of each list, unless all is wanted
_FEWEST = 0.005  # a mistake rarer than this is not told
_GROUPS = 5


def coverage_lines(found: Coverage, everything: bool) -> Iterator[str]:
    """Everything found, lists cut after the first ten unless `everything`."""
    shown = None if everything else _SHOWN
    yield f"{len(found.untried)} of {found.parts} parts of conditions could go and no example would notice:"
    yield from _some([f"  {u.file}:{u.line}: {u.rule}: {u.part}" for u in found.untried], shown)
    if found.unfired is not None:
        yield f"{len(found.unfired)} rules fire in none of the transcripts:"
        yield from _some([f"  {rule}" for rule in found.unfired], shown)
    if found.confusion is not None:
        yield from _confusion(found.confusion, shown)
    yield f"{len(found.alike)} pairs of materials can hardly be told apart, even with every answer (1.00: no help):"
    alike = [[_pair(pair), f"    {found.why[pair.one, pair.other]}"] for pair in found.alike]
    yield from _some(["\n".join(lines) for lines in alike], shown)
    yield "Pairs that are repaired differently, by the wrong calls that they cost:"
    yield from (_pair(pair) for pair in found.wanted)
    if found.confusion is not None:
        yield from _wanted(found.confusion.wanted)
    yield f"Never proposed, or only when a rule unlocks it: {', '.join(found.never_proposed) or 'none'}"
    if found.asked:
        yield from _asked(found.asked, found.interviews)


def _pair(pair: Pair) -> str:
    cues = ", ".join(f"{cue} {value:.2f}" for cue, value in best_cues(pair)) or "none"
    return f"  {pair.one} and {pair.other}: wrong up to {pair.wrong_at_most:.0%}; best cues: {cues}"


def _confusion(found: Confusion, shown: int | None) -> Iterator[str]:
    yield (
        f"Where the belief ends when all is answered ({found.draws} parts of each material drawn with seed "
        f"{found.seed}), worst first:"
    )
    order = sorted(range(len(found.names)), key=lambda place: (found.right(found.names[place]), found.names[place]))
    lines = []
    for place in order:
        name = found.names[place]
        for_others = [f"{other} {p:.0%}" for other, p in found.mistaken(name) if p >= _FEWEST]
        right = f"itself {found.right(name):.0%}, repair cell {found.cell_right(name):.0%}"
        exact = f"filler and all {found.compound_right[place]:.0%}"
        taken = f"; taken for {', '.join(for_others)}" if for_others else ""
        lines.append(f"  {name}: {right}, {exact}{taken}")
    yield from _some(lines, shown)


def _wanted(found: tuple[Wanted, ...]) -> Iterator[str]:
    yield "One more cue would be worth most if it told surely whether the part is"
    for one in found[:_GROUPS]:
        yield f"  {one.group}: {one.minutes:.1f} minutes of wrong work saved a part, the name right {one.names:+.1%}"
    names = max(found, key=lambda one: (one.names, one.group))
    yield f"  For the name alone: {names.group} ({names.names:+.1%})"


def _asked(found: tuple[Asked, ...], interviews: int) -> Iterator[str]:
    often = [f"{one.cue} {one.interviews}" for one in found if one.interviews]
    yield f"Asked in {interviews} simulated interviews: {', '.join(often) or 'nothing'}"
    never = [one for one in found if not one.interviews]
    yield f"Never asked in them: {len(never) or 'none'}"
    yield from (f"  {one.cue}: {one.why}" for one in never)


def _some(lines: list[str], shown: int | None) -> list[str]:
    rest = len(lines) - (shown or len(lines))
    return [*lines[:shown], *([f"  and {rest} more (--all)"] if rest > 0 else [])]
