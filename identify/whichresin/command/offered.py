"""Everything a shell can offer after `whichresin`, gathered from the commands' own options and the knowledge.

This is the one table that the scripts for all shells are made of; nothing is listed by hand a second time.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module

from whichresin.knowledge.model import Model

from .main import COMMANDS
from .options import Option, described
from .topics import names


@dataclass(frozen=True, slots=True)
class Offered:
    """Commands with one line each and their options; cues with their answers; topics of help."""

    about: Mapping[str, str]
    options: Mapping[str, tuple[Option, ...]]
    answers: Mapping[str, tuple[str, ...]]
    topics: tuple[str, ...]


def offered(model: Model) -> Offered:
    """The table for these commands and this knowledge."""
    return Offered(
        {name: about for name, (_, about) in COMMANDS.items()},
        {name: described(import_module(module).parser()) for name, (module, _) in COMMANDS.items()},
        {cue.id: tuple(value.id for value in cue.values) for cue in model.cues.values()},
        tuple(names(model)),
    )
