"""`whichresin new KIND ID`: a commented starting file, and the list of places to fill in."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from whichresin.training import blank

    from .options import Options

    parser = Options(
        prog="whichresin new",
        description="Write a commented starting file into a pack of your own and list what it asks. Never writes over "
        "a file.",
    )
    parser.add_argument("kind", choices=list(blank.KINDS))
    parser.add_argument("id", metavar="ID", help="what to call it, such as PMP, cut_shine, dull-cut, plug_and_patch")
    parser.add_argument("--into", metavar="FOLDER", default="my-shop", help="the folder of the pack (default: my-shop)")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)
    from whichresin.training import blank

    try:
        path = blank.write_blank(options.kind, options.id, options.into)
    except blank.BadBlank as error:
        raise output.BadInput(str(error)) from None
    places = blank.questions(path.read_text(encoding="utf-8"))
    if options.json:
        asked = [{"line": one.line, "key": one.key, "asks": one.asks} for one in places]
        output.say_json({"schema": 1, "file": str(path), "places": asked})
        return output.DONE
    sys.stdout.write(f"{path} is written. It asks:\n")
    sys.stdout.writelines(f"  line {one.line:>2}  {one.key}: {one.asks}\n" for one in places)
    sys.stdout.write(f"Then: whichresin check {options.into}\n")
    return output.DONE
