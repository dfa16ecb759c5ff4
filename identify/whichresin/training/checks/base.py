"""What a check is, and how one is registered."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.positions import Node
from whichresin.knowledge.steps import Steps


class Finding(NamedTuple):
    """One thing found: where it stands, one sentence, and what to do when the advice needs the names at hand."""

    node: Node
    sentence: str
    hint: str = ""


Look = Callable[[Compiled], Iterable[Finding]]


@dataclass(frozen=True, slots=True)
class Check:
    """A check with its page. `whole` ones say something only of knowledge that has no error."""

    code: str
    level: str  # error | warning | note
    title: str
    advice: str
    why: str
    whole: bool
    look: Look

    def tell(self, compiled: Compiled) -> None:
        """Put what the check finds into the report of the knowledge."""
        report = compiled.tree.ctx.report
        for node, sentence, hint in self.look(compiled):
            report.add(self.level, self.code, node.file, node.line, node.column, sentence, hint)


REGISTRY: dict[str, Check] = {}


def check(code: str, level: str, title: str, advice: str, whole: bool = False) -> Callable[[Look], Look]:
    """Register a function as a check; its docstring says why the finding matters and stands on its page."""

    def register(look: Look) -> Look:
        why = " ".join((look.__doc__ or "").split())
        REGISTRY[code] = Check(code, level, title, advice, why, whole, look)
        return look

    return register


def run_checks(compiled: Compiled, steps: Steps) -> None:
    """Run every check; one that reads nothing new since `steps` is not run again."""
    sound = compiled.model is not None
    for one in REGISTRY.values():
        if sound or not one.whole:
            steps.run(("check", one.code), one.tell, compiled.tree.ctx.report, compiled)
