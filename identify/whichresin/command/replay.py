"""`whichresin replay PATH...`: run recorded interviews again and show what differs."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from whichresin.vocabulary.text import escaped

from . import output

if TYPE_CHECKING:
    from whichresin.session.replay import Replayed
    from whichresin.session.weighed import Desk

    from .options import Options


_FOR_ONE = 6  # interviews that are not worth another process
_desk: Desk | None = None


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin replay",
        description="Run recorded interviews again and show, step by step, what is concluded otherwise than recorded.",
    )
    parser.add_argument("paths", nargs="+", metavar="PATH", help="a transcript, or a folder of them")
    parser.add_argument("--rewrite", action="store_true", help="write what is concluded now as the record")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument(
        "--knowledge", metavar="DIR", action="append", default=[], help="a folder laid over the shipped rules"
    )
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 0 when every interview concludes what its record says, 1 when one does not."""
    options = parser().parse_args(args)

    from whichresin.session.answers import BadAnswers
    from whichresin.session.load import NoModel, load_model
    from whichresin.session.replay import interviews_in

    try:
        key = load_model(options.knowledge).key
        paths = [path for start in options.paths for path in interviews_in(Path(start))]
        found = []
        for path, replayed in zip(paths, _replayed(paths, options.knowledge), strict=True):
            found.append((path, replayed))
            if not options.json:
                _say(replayed, key)
    except (BadAnswers, NoModel) as error:
        raise output.BadInput(str(error)) from None
    if not found:
        raise output.BadInput(f"{options.paths[0]}: no transcripts (*.yaml) in this folder")
    if options.rewrite:
        _rewrite(found)
    if options.json:
        rows = [
            {"name": one.name, "recorded_with": one.recorded_with, "differences": list(one.differences)}
            for _, one in found
        ]
        output.say_json({"schema": 1, "knowledge": key, "replayed": rows})
    return output.NEGATIVE if any(r.differences for _, r in found) and not options.rewrite else output.DONE


def _replayed(paths: Sequence[Path], knowledge: Sequence[str]) -> Iterator[Replayed]:
    """The paths replayed in their order; a few by this process, many by one process for each core."""
    jobs = min(os.cpu_count() or 1, len(paths) // _FOR_ONE)
    if jobs < 2:
        _open_desk(knowledge)
        yield from map(_one, paths)
        return
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(jobs, initializer=_open_desk, initargs=(list(knowledge),)) as pool:
        yield from pool.map(_one, paths)


def _open_desk(knowledge: Sequence[str]) -> None:
    """The knowledge of this process."""
    global _desk
    from whichresin.session.course import new_desk
    from whichresin.session.load import load_model

    _desk = new_desk(load_model(knowledge))


def _one(path: Path) -> Replayed:
    from whichresin.session.replay import replay

    assert _desk is not None
    return replay(_desk, path)


def _say(replayed: Replayed, key: str) -> None:
    sys.stdout.write(f"{escaped(replayed.name)}: {'differs' if replayed.differences else 'the same'}\n")
    if replayed.differences and replayed.recorded_with not in ("", key):
        sys.stdout.write(f"    recorded with knowledge {escaped(replayed.recorded_with)}, now {key}\n")
    sys.stdout.writelines(f"    {escaped(line)}\n" for line in replayed.differences)
    sys.stdout.flush()


def _rewrite(found: Sequence[tuple[Path, Replayed]]) -> None:
    for path, replayed in found:
        try:
            path.write_text(replayed.text, encoding="utf-8")
        except OSError as error:
            raise output.BadInput(f"{path} cannot be written: {error.strerror or error}") from None
