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


@check(
    "caution-left-out",
    "error",
    "a caution says that it belongs to a cue, and the cue does not show it",
    "Name the caution in the cue's cautions, or take the cue out of the caution's tests.",
)
def caution_left_out(compiled: Compiled) -> Iterator[Finding]:
    """Who wrote the caution knew of a harm in this test. Left out of the cue's own list it is not on the screen when
    the test is done."""
    tree = compiled.tree
    for name, caution in tree.cautions.items():
        for test in caution.row.words("tests"):
            cue = tree.cues.get(test)
            if cue is not None and name not in cue.row.words("cautions"):
                place = "cautions" if "cautions" in cue.row else "id"
                sentence = f"cue {shown(test)} does not show caution {shown(name)}, which says that it belongs to it"
                yield Finding(cue.row.at(place), sentence)
