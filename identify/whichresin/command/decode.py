"""`whichresin decode TEXT...`: what a partial or damaged marking can be. `--batch FILE|-` does one marking a line."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any, TextIO

from . import output

if TYPE_CHECKING:
    from .options import Options

USAGE = "whichresin decode TEXT... [--json] | --batch FILE|- [--jobs N] [--from LINE]"


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(prog="whichresin decode", usage=USAGE, description=__doc__, add_help=True)
    parser.add_argument("text", nargs="*", help="the marking as far as it can be read; ? for an unreadable character")
    parser.add_argument("--json", action="store_true", help="one JSON document instead of text")
    parser.add_argument(
        "--batch", metavar="FILE", help="read one marking a line (- for standard input), write JSON Lines"
    )
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="processes for --batch")
    parser.add_argument("--from", type=int, default=1, metavar="LINE", dest="start", help="start --batch at this line")
    parser.add_argument("--top", type=int, default=8, metavar="N", help="how many readings to list")
    parser.add_argument("--markings", metavar="DIR", help="another folder of marking tables")
    return parser


def run(args: list[str]) -> int:
    """Run the command; returns the exit code (0 read, 1 something was unreadable, 2 wrong usage)."""
    asked = parser().parse_args(args)
    if asked.batch is None and not asked.text:
        raise output.BadInput(f"nothing to decode; give the text of a marking in quotes: {USAGE}")
    if asked.batch is not None and asked.text:
        raise output.BadInput("either TEXT or --batch FILE, not both")
    if asked.jobs < 1 or asked.start < 1 or asked.top < 1:
        raise output.BadInput("--jobs, --from and --top want a number of at least 1")
    if asked.batch is not None:
        from .batch import run_batch

        return run_batch(asked.batch, asked.jobs, asked.start, asked.top, asked.markings)
    from whichresin.marking.decoder import decode

    tables = load_tables(asked.markings)
    results = [decode(text, tables) for text in asked.text]
    if asked.json:
        output.say_json({"schema": 1, "results": [result.as_dict(asked.top) for result in results]})
    else:
        from .decode_text import page

        sys.stdout.write(page(results, asked.top, _width(sys.stdout)))
        sys.stdout.flush()
    return output.NEGATIVE if any(result.verdict == "unreadable" for result in results) else output.DONE


def load_tables(folder: str | None) -> Any:
    """The marking tables; raises BadInput with every problem found."""
    from whichresin.marking.load import BadTables, load

    try:
        return load(folder)
    except BadTables as error:
        raise output.BadInput(f"the marking tables cannot be used:\n{error}") from None


def _width(stream: TextIO) -> int:
    """Columns of the terminal, 80 for a pipe."""
    import shutil

    return shutil.get_terminal_size((80, 24)).columns if stream.isatty() else 80


if __name__ == "__main__":
    output.prepare_streams()
    try:
        code = run(sys.argv[1:])
    except output.BadInput as error:
        output.say_error(str(error))
        code = output.BAD_INPUT
    except BrokenPipeError:
        output.abandon_stdout()
        code = output.DONE
    except KeyboardInterrupt:
        code = 130
    sys.exit(code)
