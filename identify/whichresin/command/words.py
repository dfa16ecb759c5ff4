"""`whichresin words [NAME]`: the names that rule files may use, and what each stands for."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from whichresin.vocabulary.text import escaped, shown

from . import output

if TYPE_CHECKING:
    from whichresin.training.glossary import Kinds

    from .options import Options

_WIDTH = 100  # where there is no terminal, and at most


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin words",
        description="List the names that rule files may use. NAME is a kind (materials, families, cells, fillers, "
        "cues, facts, cautions, parts, processes, work, said, sources, rules) or one name of any kind, such as grind, "
        "PP or shop.",
    )
    parser.add_argument("name", nargs="?", metavar="NAME")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--knowledge", metavar="DIR", action="append", default=[], help="rule files laid over")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)

    from whichresin.session.load import NoModel, load_model
    from whichresin.training.glossary import about, kinds

    try:
        model = load_model(options.knowledge)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    every = kinds(model)
    lines: list[tuple[str, str]]
    if options.name is None:
        lines = [(kind, f"{len(names)} names") for kind, names in every.items()]
    elif options.name in every:
        lines = list(every[options.name].items())
    else:
        lines = about(model, options.name)
        if not lines:
            raise output.BadInput(_unknown(options.name, every))
    if options.json:
        output.say_json({"schema": 1, "words": [{"name": name.strip(), "means": text} for name, text in lines]})
    else:
        width = min(_WIDTH, shutil.get_terminal_size().columns) if sys.stdout.isatty() else _WIDTH
        sys.stdout.writelines(f"{escaped(line)}\n" for line in _laid_out(lines, width))
    return output.DONE


def _laid_out(lines: Sequence[tuple[str, str]], width: int) -> Iterator[str]:
    """Two columns; a name that is long for the screen stands on a line of its own."""
    wide = min(max(len(name) for name, _ in lines), width * 28 // 100)
    for name, text in lines:
        parts = wrap(text, max(12, width - wide - 2), break_on_hyphens=False) or [""]
        if len(name) > wide:
            yield name
            name = ""
        yield f"{name:<{wide}}  {parts[0]}".rstrip()
        yield from (f"{'':<{wide}}  {part}" for part in parts[1:])


def _unknown(name: str, every: Kinds) -> str:
    from whichresin.knowledge.problems import did_you_mean

    known = [*every, *(one for names in every.values() for one in names)]
    hint = did_you_mean(name, known)
    return f"nothing is called {shown(name)}; {hint or '`whichresin words` lists the kinds of names'}"
