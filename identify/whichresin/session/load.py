"""The model for an interview, or one sentence on why there is none."""

from __future__ import annotations

from collections.abc import Sequence

from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model


class NoModel(Exception):
    """The knowledge cannot be used; the message is one sentence."""


def load_model(packs: Sequence[str] = ()) -> Model:
    """The shipped knowledge with packs laid over it. Raises NoModel naming the first error and how to see all."""
    loaded = load(packs)
    if loaded.model is not None:
        return loaded.model
    errors = [problem for problem in loaded.problems if problem.level == "error"]
    first = errors[0]
    place = f"{first.file}:{first.line}:{first.column}" if first.line else first.file
    more = f" ({len(errors)} errors in all; 'whichresin check' shows them)" if len(errors) > 1 else ""
    raise NoModel(f"{place}: {first.sentence}{more}")
