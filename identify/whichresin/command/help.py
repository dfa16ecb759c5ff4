"""`whichresin help TOPIC`: a topic, a test, a command, or what a finding of the check means and what to do."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from .options import Options
    from .topics import Page


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin help",
        description="Explain a topic, a cue by its id, a command, or a code that stands in brackets at the end of a "
        "line of `whichresin check`. Without TOPIC: the commands.",
    )
    parser.add_argument("topic", nargs="?", metavar="TOPIC")
    parser.add_argument("--codes", action="store_true", help="list every finding of the check with its meaning")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)
    from whichresin.training.pages import manual

    codes = manual().pages
    if options.topic is None:  # --codes
        if options.json:
            output.say_json({"schema": 1, "pages": [asdict(page) for page in codes.values()]})
            return output.DONE
        width = max(len(code) for code in codes)
        sys.stdout.writelines(f"{code:<{width}}  {page.title}\n" for code, page in codes.items())
        return output.DONE
    name = options.topic.strip("[]")
    if name in codes:
        if options.json:
            output.say_json({"schema": 1, **asdict(codes[name])})
        else:
            sys.stdout.write(codes[name].text())
        return output.DONE
    found = _page(name)
    if options.json:
        output.say_json({"schema": 1, **asdict(found)})
    else:
        sys.stdout.writelines(f"{line}\n" for line in _lines(found))
    return output.DONE


def _page(name: str) -> Page:
    """The page for a word. Raises BadInput naming the nearest word that help knows."""
    from whichresin.session.load import NoModel, load_model
    from whichresin.vocabulary.text import shown
    from whichresin.vocabulary.words import nearest

    from .settings import load_config
    from .topics import names, page

    try:
        packs = load_config().knowledge
    except output.BadInput:  # whoever has to mend the settings must be able to read how
        packs = ()
    try:
        model = load_model(packs)
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    found = page(model, name)
    if found is None:
        near = nearest(name, list(names(model)))
        hint = f"did you mean {shown(near)}?" if near else "'whichresin help topics' lists what there is"
        raise output.BadInput(f"help knows nothing of {shown(name)}; {hint}")
    return found


def _lines(page: Page) -> Iterator[str]:
    """The page for a terminal: indented lines as they stand, all others wrapped."""
    import shutil
    import textwrap

    from whichresin.vocabulary.text import escaped

    width = max(20, min(100, shutil.get_terminal_size((80, 24)).columns - 1))
    yield from textwrap.wrap(f"{page.name}: {page.title}", width)
    yield ""
    paragraph: list[str] = []
    for line in [*page.text.splitlines(), ""]:
        as_it_stands = not line or line.startswith("    ")
        if as_it_stands and paragraph:
            yield from textwrap.wrap(" ".join(paragraph), width)
            paragraph = []
        if as_it_stands:
            yield from textwrap.wrap(escaped(line), width, subsequent_indent=" " * 8) if len(line) > width else [line]
        else:
            paragraph.append(line)
