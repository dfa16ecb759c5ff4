"""`whichresin completion SHELL`: a script that completes commands, options, cues, answers and topics at once."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin completion",
        description="Print a completion script. It holds all words itself, so nothing is started while you type; "
        "make it again after an update.",
    )
    parser.add_argument("shell", choices=("bash", "zsh", "fish"))
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)
    from whichresin.session.load import NoModel, load_model

    from . import shells
    from .offered import offered
    from .settings import load_config

    try:
        table = offered(load_model(load_config().knowledge))
    except NoModel as error:
        raise output.BadInput(str(error)) from None
    sys.stdout.write({"bash": shells.bash, "zsh": shells.zsh, "fish": shells.fish}[options.shell](table))
    return output.DONE
