"""The processes of repair: what can hurt is said before the step, and heat is kept from what it ruins."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.positions import Scalar, texts_under
from whichresin.knowledge.schema import Row
from whichresin.vocabulary.text import shown

from ..truth import about_names, worlds_of
from .base import Finding, check

_ANY = "any"
_HARM = ("danger", "warning")
_WELD = "fusion_weld"
_NEGATED = re.compile(r"\b(no|not|never|none|without|nothing|instead of|where|may|than|as the|is used)\b[^.;:]*$", re.I)
# 'A low flash point ... safe' within one sentence, unless a denial stands between or before.
_SAFE = re.compile(r"low(?:er)?\s+flash[\s-]*point[^.;]*?\b(safe|safer|harmless|no danger|no risk|cannot burn)\b", re.I)
_DENIES = re.compile(r"\b(not|never|no|easier|wrong|reverse)\b", re.I)


@check(
    "hazard-without-caution",
    "error",
    "a step does hazardous work and would show no caution before it",
    "Name the kind of work under work; its cautions then stand before the step.",
)
def hazard_without_caution(compiled: Compiled) -> Iterator[Finding]:
    """The cautions before a step come from the kinds of work that it names. A step that tells to sand, drill, weld or
    spray and does not name the work would be read, and done, without them; so would one whose work no caution knows."""
    kinds = {one.id: one for one in compiled.repairs.book.work}
    done: set[int] = set()
    for key, row in compiled.repairs.steps.items():
        if id(row) in done:
            continue  # used by another process too
        done.add(id(row))
        named = row.words("work")
        for kind in kinds.values():
            word = _given_away(row.text("do"), kind.words)
            if kind.hazardous and word and kind.id not in named:
                sentence = f"step {shown(key)} says {shown(word)} and does not name the work {shown(kind.id)}"
                yield Finding(row.at("do"), sentence)
        for name in named:
            known = name in kinds and kinds[name].hazardous and compiled.tree.cautions
            if known and not _warned_of(name, compiled):
                yield Finding(row.at("work"), f"no caution goes with the work {shown(name)} of step {shown(key)}")


@lru_cache(maxsize=8192)  # asked again after every change elsewhere
def _given_away(text: str, words: tuple[str, ...]) -> str:
    """The first word that gives the work away and is not denied in its sentence."""
    folded = text.casefold()
    for word in words:
        if word.casefold() not in folded:
            continue  # which is most: to look for it as a word takes far longer
        for hit in re.finditer(rf"\b{re.escape(word)}\b", text, re.I):
            if not _NEGATED.search(text[: hit.start()]):
                return word
    return ""


def _warned_of(work: str, compiled: Compiled) -> bool:
    """Whether some caution of weight shows before this work on any plastic."""
    return any(
        work in entry.row.words("processes")
        and entry.row.text("level") in _HARM
        and (not entry.row.words("materials") or _ANY in entry.row.words("materials"))
        and (not entry.row.words("parts") or _ANY in entry.row.words("parts"))
        for entry in compiled.tree.cautions.values()
    )


@check(
    "weld-without-certainty",
    "error",
    "a process welds without asking for one certain, unfilled plastic with its rod and a welder",
    "Write one_unfilled_plastic: yes, ask for {shop: welder} under all, bar {possible.filler_kind: fibre} under none.",
)
def weld_without_certainty(compiled: Compiled) -> Iterator[Finding]:
    """Heat on the wrong class ruins the edge and gives off isocyanate or acid; a weld of a filled or unmatched
    plastic carries no load."""
    conditions = {one.id: one for one in compiled.repairs.conditions}
    for process in compiled.repairs.book.processes:
        if process.process != _WELD:
            continue
        row = compiled.tree.processes[process.id].row
        condition = conditions.get(process.when)
        needed = {(use.name, use.negative) for use in condition.uses} if condition is not None else set()
        missing = [
            text
            for held, text in (
                (process.one_unfilled_plastic, "one_unfilled_plastic: yes"),
                (("shop", False) in needed, "a condition on the shop"),
                (("possible.filler_kind", True) in needed, "a bar on possible.filler_kind"),
            )
            if not held
        ]
        if missing:
            yield Finding(row.at("when"), f"process {shown(process.id)} welds without {' and '.join(missing)}")


@check(
    "flash-point-safe",
    "error",
    "a text says that a low flash point is safe",
    "Say the reverse: the lower the flash point, the easier the vapour is lit.",
)
def flash_point_safe(compiled: Compiled) -> Iterator[Finding]:
    """It is trade talk and it has burned people. The flash point is the temperature from which the vapour can be lit:
    low means always, in every shop."""
    for row in _every_row(compiled):
        for text in _told_of_flash(row):
            hit = _SAFE.search(text.text)
            if hit is not None and not _DENIES.search(hit.group()):
                yield Finding(text, f"the text says {shown(' '.join(hit.group().split()))}")


@lru_cache(maxsize=8192)  # a row that has not changed is not walked again
def _told_of_flash(row: Row) -> tuple[Scalar, ...]:
    """The texts in a row that hold the word flash."""
    return tuple(one for one in texts_under(row.node) if "lash" in one.text.lower())


def _every_row(compiled: Compiled) -> Iterator[Row]:
    tree = compiled.tree
    for kind in (
        tree.polymers, tree.fillers, tree.cues, tree.parts, tree.rules, tree.cells, tree.cautions, tree.facts,
        tree.processes,
    ):  # fmt: skip
        for entry in kind.values():
            yield entry.row
    for row in (tree.losses, tree.decisions, tree.vocabulary, tree.work):
        if row is not None:
            yield row


@check(
    "never-holds",
    "warning",
    "a condition in the files of repair can never hold",
    "Look for a name that must have two answers, or that is asked for and barred.",
)
def never_holds(compiled: Compiled) -> Iterator[Finding]:
    """A step, need or addition with such a condition looks like knowledge and is never shown to anybody."""
    names = compiled.names
    for one in compiled.repairs.conditions:
        if one.when is None:
            continue
        worlds = worlds_of(one.when, about_names(one.when, names))
        if worlds is not None and not worlds.where(one.when):
            yield Finding(one.row.at("when"), f"the condition of {shown(one.id)} can never hold")


@check(
    "process-not-weighed",
    "warning",
    "a process says nowhere what it costs",
    "Give it costs, or a row under options of decisions.yaml, with what it loses on each plastic; or take it out.",
    whole=True,
)
def process_not_weighed(compiled: Compiled) -> Iterator[Finding]:
    """Ways to go are chosen by what they are expected to lose; one without numbers is never chosen."""
    weighed = {cost.process for cost in compiled.repairs.book.costs}
    for name, entry in compiled.tree.processes.items():
        if name not in weighed:
            yield Finding(entry.row.at("id"), f"process {shown(name)} says nowhere what it costs")
