"""What stands on the screen before anything is loaded: the title and the first question.

The first question asks for the part in free words and needs no knowledge to be asked, so it is printed at once,
and knowledge and terminal library are loaded while the person reads. Imports nothing that Python has not
loaded already.
"""

import os
import sys

from . import words

# Options that leave the first question as it is; any other argument takes the ordinary way.
_BARE = ("--plain", "--allow-burn", "--allow-solvent", "--tutor", "--no-tutor")
_WITH_VALUE = ("--target", "--shop", "--knowledge")


def greets(args: list[str]) -> bool:
    """Whether this command line is a guided interview that starts with the question for the part."""
    if args[:1] != ["interview"]:
        return False
    rest = iter(args[1:])
    for arg in rest:
        if arg in _WITH_VALUE:
            if next(rest, "-").startswith("-"):
                return False
        elif arg not in _BARE:
            return False
    return True


def greet() -> None:
    """Write the opening to standard output."""
    try:
        columns = os.get_terminal_size(1).columns
    except (OSError, ValueError):
        columns = 80
    lines = opening_lines(max(20, min(100, columns - 1)))
    sys.stdout.write("\n".join(lines) + "\n")
    sys.stdout.flush()


def opening_lines(width: int) -> list[str]:
    """Title, one line on how it goes, and the first question, in lines of at most `width` columns."""
    return [*_wrapped(words.TITLE, width), *_wrapped(words.INTRO, width), "", *_wrapped(words.PART_QUESTION, width)]


def _wrapped(text: str, width: int) -> list[str]:
    """Words put into lines; `textwrap` would cost more to load than all else here."""
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append("")
        lines[-1] += (" " if lines[-1] else "") + word
    return lines
