"""`whichresin drill`: hidden parts and cards for apprentices, and the summary of a class."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    import argparse

    from whichresin.knowledge.model import Model
    from whichresin.training.counts import Counts
    from whichresin.training.drills.dialogue import Dialogue
    from whichresin.training.drills.record import Sheet
    from whichresin.training.drills.tray import Tray

    from .options import Options

_LEVELS = ("gate", "one-test", "whole", "alike")
_MOST = 200


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin drill",
        description="Practise: gate cards, one-test cards, or hidden parts whose tests you choose, with a judgement "
        "of what you said, how sure you said you were, and the tests you took.",
        epilog="The same seed gives the same parts to a whole class.",
    )
    parser.add_argument(
        "--level", choices=_LEVELS, default="whole", help="gate cards, one-test cards, whole parts, or look-alikes"
    )
    parser.add_argument("--number", type=int, default=5, metavar="N", help="how many parts or cards (usual: 5)")
    parser.add_argument("--seed", type=int, default=1, metavar="S", help="the same seed, the same parts")
    parser.add_argument("--tray", metavar="FILE", help="plaques with known answers, instead of drawn parts")
    parser.add_argument("--plaque", metavar="ID", help="only this plaque of the tray")
    parser.add_argument("--hands-on", action="store_true", help="the plaque is before you: you type what a test shows")
    parser.add_argument("--counts", metavar="FILE", help="with --hands-on: keep the answers as counts, without names")
    parser.add_argument("--name", default="apprentice", help="how the result file calls you; a number will do")
    parser.add_argument("--out", metavar="FILE", help="keep the results here; an earlier file is added to")
    parser.add_argument("--summary", nargs="+", metavar="FILE", help="who mixes up what, from result files")
    parser.add_argument("--json", action="store_true", help="print the results (or the summary) as one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    options = parser().parse_args(args)
    from whichresin.training.drills.record import BadRecord

    try:
        return _summary(options) if options.summary else _drill(options)
    except BadRecord as error:
        raise output.BadInput(str(error)) from None
    except OSError as error:
        raise output.BadInput(f"{error.filename}: {error.strerror}; name another file") from None


def _summary(options: argparse.Namespace) -> int:
    from whichresin.training.drills.record import mixed_up, read_sheet, summary_lines, sums

    sheets = [read_sheet(Path(name)) for name in options.summary]
    if options.json:
        mixed = {
            what: [{"truth": a, "said": b, "times": n} for (a, b), n in mixed_up(sheets, what).most_common()]
            for what in ("class", "material", "route")
        }
        output.say_json({"schema": 1, "sheets": [{"drill": s.name, **sums(s)} for s in sheets], "mixed_up": mixed})
    else:
        sys.stdout.writelines(f"{line}\n" for line in summary_lines(sheets))
    return output.DONE


def _drill(options: argparse.Namespace) -> int:
    if not 1 <= options.number <= _MOST:
        raise output.BadInput(f"--number must be 1 to {_MOST}, not {options.number}")
    if options.hands_on and not options.tray:
        raise output.BadInput("--hands-on needs --tray FILE, or nobody knows what the plaque is")
    if options.counts and not options.hands_on:
        raise output.BadInput("--counts goes with --hands-on: only what was seen on real plaques is counted")
    if options.plaque and not options.tray:
        raise output.BadInput("--plaque needs --tray FILE")
    from whichresin.session.load import NoModel, load_model
    from whichresin.training.counts import BadCounts, Counts, add_to_file, read_counts
    from whichresin.training.drills.dialogue import Dialogue, Left
    from whichresin.training.drills.record import Sheet, read_sheet, write_sheet
    from whichresin.training.drills.tray import BadTray, read_tray

    counts = Counts()
    try:
        model = load_model(options.knowledge)
        tray = read_tray(model, options.tray) if options.tray else None
        if tray and options.plaque:
            tray = type(tray)(tray.name, (tray.plaque(options.plaque),))
        if options.out and Path(options.out).exists():
            read_sheet(Path(options.out))  # refuse before the work, not after it
        if options.counts and Path(options.counts).exists():
            read_counts(Path(options.counts))
    except (NoModel, BadTray, BadCounts) as error:
        raise output.BadInput(str(error)) from None
    sheet, say = Sheet(options.name, options.seed), sys.stderr if options.json else sys.stdout

    def ask(prompt: str) -> str:
        say.write(prompt)
        say.flush()
        line = sys.stdin.readline()
        if not line:
            raise Left
        if not sys.stdin.isatty():
            say.write(line if line.endswith("\n") else line + "\n")
        return line

    dialogue = Dialogue(model, ask, lambda line: print(line, file=say))
    try:
        _hold(options, model, tray, dialogue, sheet, counts)
    except (Left, KeyboardInterrupt):
        print("Left; what was finished is kept." if options.out else "Left.", file=say)
    finally:
        if options.out:
            write_sheet(Path(options.out), sheet)
        if options.counts:
            add_to_file(Path(options.counts), counts)
    _end(options, sheet)
    return output.DONE


def _hold(
    options: argparse.Namespace, model: Model, tray: Tray | None, dialogue: Dialogue, sheet: Sheet, counts: Counts
) -> None:
    from whichresin.training.drills.attempt import Attempt
    from whichresin.training.drills.cards import gate_cards, test_card
    from whichresin.training.drills.specimen import Specimen, draw_compound

    if tray is None and options.level == "gate":
        cards = gate_cards(model, str(options.seed), options.number)
        for place, gate in enumerate(cards, 1):
            sheet.gate.append(dialogue.gate(gate, f"Card {place} of {len(cards)}"))
        return
    if tray is None and options.level == "one-test":
        for place in range(1, options.number + 1):
            heading = f"Card {place} of {options.number}"
            sheet.cards.append(dialogue.card(test_card(model, f"{options.seed}:{place}"), heading))
        return
    of = len(tray.plaques) if tray else options.number
    for place in range(1, of + 1):
        seed = f"{options.seed}:{place}"
        if tray is None:
            heading, part = f"Part {place} of {of}", Specimen(model, draw_compound(model, options.level, seed), seed)
        else:
            plaque = tray.plaques[place - 1]
            heading = f"Plaque {plaque.id}, {place} of {of}"
            part = Specimen(model, plaque.compound, seed, plaque.shows, plaque.id)
        attempt = Attempt(model, part, place)
        try:
            sheet.add_part(dialogue.part(attempt, heading, options.hands_on))
        finally:
            for cue, answer in attempt.seen if options.hands_on else ():
                counts.add(model.cues[cue], part.truth.id, answer)


def _end(options: argparse.Namespace, sheet: Sheet) -> None:
    from whichresin.training.drills.record import summary_lines

    if options.json:
        output.say_json(sheet.as_json())
    elif sheet.gate or sheet.cards or sheet.parts:
        sys.stdout.write("\n")
        sys.stdout.writelines(f"{line}\n" for line in summary_lines([sheet]))
