"""A sentence that says why, with what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: a sentence, its sources, and the rule that spoke, if one did."""

    text: str
    source: tuple[str, ...] = ()
    rule: str = ""

    def as_json(self) -> dict[str, Any]:
        """The reason as an object."""
        return {"text": self.text, "source": list(self.source), **({"rule": self.rule} if self.rule else {})}
