"""`whichresin failure`: from what a broken repair looks like to the likely cause and the step to change."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from . import output

if TYPE_CHECKING:
    from whichresin.repair.failure import Failures, Pattern
    from whichresin.session.reopened import Reopened
    from whichresin.terminal.lines import Line

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin failure",
        description="What a broken repair tells: the failure pattern, its likely causes, and the step to change. "
        "Without PATTERN: the list of patterns.",
        epilog="PATTERN is an id of the list or free words, such as 'came off whole'; with shares of the area: "
        "bare_face=70 torn_repair=30. With --answers the pattern is held against the identification.",
    )
    parser.add_argument("pattern", metavar="PATTERN", nargs="*", help="what you see: an id or words, with =PERCENT")
    parser.add_argument("--answers", metavar="FILE", help="say how the belief in this answers file moves")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)

    from whichresin.repair.failure import BadFailures, load_failures
    from whichresin.repair.files import repair_file

    try:
        failures = load_failures(repair_file("failures.yaml", options.knowledge))
    except BadFailures as error:
        raise output.BadInput(str(error)) from None
    if not options.pattern:
        return _list(failures, options.json)
    seen = sorted((_seen(failures, text) for text in _joined(options.pattern)), key=lambda pair: -(pair[1] or 0.0))
    total = sum(share for _, share in seen if share is not None)
    if total > 100.5:
        raise output.BadInput(f"the shares come to {total:g} percent; they are parts of one area, 100 at most")
    moved = _moved(options, seen[0][0]) if options.answers else None
    if options.json:
        rows = [{**pattern.as_json(), "share_percent": share} for pattern, share in seen]
        output.say_json({"schema": 1, "patterns": rows, "identification": moved.as_json() if moved else None})
    else:
        _show([line for pattern, share in seen for line in _lines(pattern, share)] + _moved_lines(moved))
    return output.DONE


def _list(failures: Failures, as_json: bool) -> int:
    if as_json:
        rows = [pattern.as_json() for pattern in failures.patterns.values()]
        output.say_json({"schema": 1, "about": failures.about, "patterns": rows})
        return output.DONE
    from whichresin.terminal.lines import Line, wrap

    width = _width()
    lines = [*wrap(failures.about, width), Line("")]
    for one in failures.patterns.values():
        lines += wrap(f"{one.id}: {one.name}", width, "strong")
        lines += wrap(one.look, width, first="  ", rest="  ")
    lines += [
        Line(""),
        *wrap("Then: whichresin failure PATTERN, and --answers FILE to hold it against the part.", width),
    ]
    _show(lines)
    return output.DONE


def _joined(words: Sequence[str]) -> list[str]:
    """Several ids stay apart; plain words without a share belong together."""
    if any("=" in word for word in words) or all("_" in word for word in words):
        return list(words)
    return [" ".join(words)]


def _seen(failures: Failures, text: str) -> tuple[Pattern, float | None]:
    from whichresin.repair.failure import find_patterns
    from whichresin.vocabulary.text import shown
    from whichresin.vocabulary.words import listed

    words, equals, percent = text.partition("=")
    found = find_patterns(failures, words)
    if not found:
        raise output.BadInput(f"no failure pattern is like {shown(words)}; known are {listed(failures.patterns, 12)}")
    if len(found) > 1:
        raise output.BadInput(f"{shown(words)} could be {listed([one.id for one in found])}; name one of them")
    if not equals:
        return found[0], None
    from .weigh import number

    share = number(percent, f"the share of {found[0].id}", "percent")
    if not 0.0 < share <= 100.0:
        raise output.BadInput(f"the share of {found[0].id} is {share:g} percent; expected above 0 and at most 100")
    return found[0], share


def _moved(options: Any, pattern: Pattern) -> Reopened | None:
    from whichresin.session.answers import BadAnswers, read_answers
    from whichresin.session.load import NoModel, load_model
    from whichresin.session.reopened import reopen

    try:
        model = load_model(options.knowledge)
        state = read_answers(model, options.answers).state
    except (NoModel, BadAnswers) as error:
        raise output.BadInput(str(error)) from None
    if pattern.evidence is None:
        return None
    return reopen(model, state, *pattern.evidence)


def _lines(pattern: Pattern, share: float | None) -> list[Line]:
    from whichresin.terminal.lines import Line, wrap

    width = _width()
    head = f"{pattern.name}, {share:g} % of the area" if share is not None else pattern.name
    lines = wrap(f"{head[0].upper()}{head[1:]}", width, "strong")
    lines += wrap(f"Pattern: {pattern.term}.", width)
    lines += wrap(f"Make sure: {pattern.look}", width) + wrap(pattern.means, width) + [Line("")]
    for number, cause in enumerate(pattern.causes, 1):
        lines += wrap(f"{number}. {cause.why}", width, "strong", rest="   ")
        lines += wrap(f"Ask: {cause.ask}", width, first="   ", rest="   ")
        lines += wrap(f"Change ({cause.step}): {cause.change}", width, first="   ", rest="   ")
        lines += wrap(f"Source: {', '.join(cause.source)}", width, "faint", first="   ", rest="   ")
    if pattern.evidence is None:
        lines += wrap("This pattern says nothing of the plastic itself.", width)
    return [*lines, Line("")]


def _moved_lines(moved: Reopened | None) -> list[Line]:
    if moved is None:
        return []
    from whichresin.terminal.lines import percent, wrap

    width = _width()
    lines = wrap("What it does to the identification", width, "strong")
    lines += wrap(moved.sentence, width)
    for one in (*moved.cells[:3], *moved.polymers[:3]):
        lines += wrap(
            f"{one.name}: {percent(one.before)} before, {percent(one.after)} now", width, first="  ", rest="  "
        )
    if moved.next_question:
        lines += wrap(f"Ask next: {moved.next_question}", width)
    lines += wrap(f"Keep it in the answers file: {moved.cue}: {moved.value}", width)
    return lines


def _width() -> int:
    from .bench_text import columns

    return columns()


def _show(lines: list[Line]) -> None:
    from whichresin.terminal.lines import wants_attributes, write

    write(lines, sys.stdout, wants_attributes(sys.stdout))
