"""What keeps people whole: protection named before a test, and what makes a test lie."""

from __future__ import annotations

from collections.abc import Iterator

from whichresin.knowledge.compile import Compiled
from whichresin.vocabulary.text import shown

from .base import Finding, check


@check(
    "missing-wear",
    "error",
    "a hazardous cue does not say what to wear",
    "Name it under wear: eye protection, mask, gloves, or say that nothing protects and give the distance.",
)
def missing_wear(compiled: Compiled) -> Iterator[Finding]:
    """Whoever reads the question at the bench reads nothing else before doing the test."""
    for name, entry in compiled.tree.cues.items():
        if entry.row.text("hazard") in ("medium", "high") and not entry.row.text("wear"):
            sentence = f"cue {shown(name)} has hazard {entry.row.text('hazard')} and says nothing of what to wear"
            yield Finding(entry.row.at("hazard"), sentence)


@check(
    "missing-fooled-by",
    "warning",
    "a bench test does not say what makes it lie",
    "Write under fooled_by what gives the wrong answer: paint, filler, dirt, a cold piece, a blunt tool.",
)
def missing_fooled_by(compiled: Compiled) -> Iterator[Finding]:
    """No bench test is right always. A person who knows what fools it notices when it does."""
    for name, entry in compiled.tree.cues.items():
        if entry.row.text("topic") in ("bench", "burn") and "fooled_by" not in entry.row:
            yield Finding(entry.row.at("id"), f"cue {shown(name)} does not say what can fool it")
