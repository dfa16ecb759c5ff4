"""`whichresin replay PATH...`: run recorded interviews again and show what differs."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from whichresin.vocabulary.text import escaped

from . import output


def run(args: Sequence[str]) -> int:
    """Run the command; 0 when every result is the recorded one, 1 when one differs."""
    import argparse

    parser = argparse.ArgumentParser(
        prog="whichresin replay", description="Run recorded interviews again and show what differs from their records."
    )
    parser.add_argument("paths", nargs="+", metavar="PATH", help="an answers file, or a folder of them")
    parser.add_argument("--rewrite", action="store_true", help="write the new results as the records")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument(
        "--knowledge", metavar="DIR", action="append", default=[], help="a folder laid over the shipped rules"
    )
    options = parser.parse_args(args)

    from whichresin.session.answers import BadAnswers
    from whichresin.session.load import NoModel, load_model
    from whichresin.session.replay import interviews_in, record_of, replay

    try:
        model = load_model(options.knowledge)
        found = [
            (path, replay(model, path)) for start in options.paths for path in interviews_in(Path(start))
        ]
    except (BadAnswers, NoModel) as error:
        raise output.BadInput(str(error)) from None
    if not found:
        raise output.BadInput(f"{options.paths[0]}: no answers files (*.yaml) in this folder")
    if options.rewrite:
        for path, replayed in found:
            record_of(path).write_text(replayed.text, encoding="utf-8")
    differing = [replayed for _, replayed in found if replayed.differences]
    if options.json:
        output.say_json(
            {
                "schema": 1,
                "replayed": [{"name": r.name, "differences": list(r.differences)} for _, r in found],
            }
        )
    else:
        for _, replayed in found:
            sys.stdout.write(f"{escaped(replayed.name)}: {'differs' if replayed.differences else 'the same'}\n")
            sys.stdout.writelines(f"    {escaped(line)}\n" for line in replayed.differences)
    return output.DONE if options.rewrite or not differing else output.NEGATIVE
