"""What was written down and nothing uses."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from whichresin.engine.conditions import Equals, OneOf, Var, elementary
from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.names import GATE_FACTS
from whichresin.knowledge.positions import Mapping, Scalar, walk
from whichresin.knowledge.schema import Row
from whichresin.vocabulary.text import shown

from .base import Finding, check
from .expectations import rows_by_cue


def _concluded(compiled: Compiled) -> dict[str, set[object]]:
    """Fact names with the values that some rule concludes; a variable stands for itself."""
    found: dict[str, set[object]] = {}
    for one in compiled.rules:
        for concluded in one.concluded:
            found.setdefault(concluded.conclusion.name, set()).add(concluded.conclusion.value)
    return found


@check(
    "unused-fact",
    "warning",
    "a declared fact, or one of its values, is concluded by no rule",
    "Write the rule that concludes it, or take it out of facts.yaml.",
    whole=True,
)
def unused_facts(compiled: Compiled) -> Iterator[Finding]:
    """facts.yaml is the list of what the tool may come to; an entry that nothing concludes promises too much."""
    concluded = _concluded(compiled)
    looked_at = {use.name for one in compiled.rules for use in one.uses}
    for name, entry in compiled.tree.facts.items():
        if name in GATE_FACTS:
            continue  # the program itself reads these and takes the gate as not known where no rule speaks
        values = concluded.get(name, set())
        if not values:
            what = "is looked at by a rule and concluded by none" if name in looked_at else "is used by no rule"
            yield Finding(entry.row.at("name"), f"fact {shown(name)} {what}")
            continue
        node = entry.row.raw("values")
        open_value = any(isinstance(value, Var) for value in values)
        for key, _ in node.pairs if isinstance(node, Mapping) and not open_value else ():
            if key.text not in values:
                yield Finding(key, f"no rule concludes {shown(key.text)} of fact {shown(name)}")


@check(
    "unused-rule",
    "warning",
    "a rule has no effect",
    "Conclude something that has an effect, correct the cue that it names, or take the rule out.",
    whole=True,
)
def unused_rules(compiled: Compiled) -> Iterator[Finding]:
    """A doubt on a cue that brings no evidence, a mute of such a cue, the unlocking of a cue that is not locked and
    the withholding of one that is never proposed change nothing."""
    for one in compiled.rules:
        idle = [(c, why) for c in one.concluded if (why := _idle(c.kind, c.conclusion, compiled))]
        if one.concluded and len(idle) == len(one.concluded):
            first, why = idle[0]
            yield Finding(first.node, f"rule {shown(one.id)} has no effect: {why}")


def _idle(kind: str, conclusion: object, compiled: Compiled) -> str:
    """Why a conclusion changes nothing; empty when it changes something."""
    name, value = str(getattr(conclusion, "name", "")), getattr(conclusion, "value", None)
    cue = _cue_of(name, value)
    if kind in ("doubt", "mute") and cue not in compiled.names.evidence:
        return f"the answers to {shown(cue)} are no evidence"
    entry = compiled.tree.cues.get(cue) if kind in ("unlock", "withhold") else None
    if entry is None:
        return ""
    if kind == "unlock" and not entry.row.flag("locked"):
        return f"cue {shown(cue)} is not locked"
    if kind == "withhold" and not entry.row.flag("askable", True):
        return f"cue {shown(cue)} is never proposed"
    return ""


def _cue_of(name: str, value: object) -> str:
    return name.removeprefix("doubt:") if name.startswith("doubt:") else str(value).partition("=")[0]


@check(
    "unused-cue",
    "warning",
    "a cue brings no evidence and no rule looks at its answer",
    "Give it expectations, or write the rule that needs it; a question without effect wastes the person's time.",
    whole=True,
)
def unused_cues(compiled: Compiled) -> Iterator[Finding]:
    """Each question costs minutes. One whose answer changes nothing should not be asked. Free text is read by the
    program itself and is not looked at here."""
    looked_at = {use.name for one in compiled.rules for use in one.uses}
    for name, entry in compiled.tree.cues.items():
        if name not in compiled.names.evidence and name not in looked_at and entry.row.text("kind") != "text":
            yield Finding(entry.row.at("id"), f"the answer to cue {shown(name)} is used by nothing")


@check(
    "unused-answer",
    "warning",
    "an answer is expected of no compound and no rule looks at it",
    "Say in expect how often it is seen, or take it out of values.",
    whole=True,
)
def unused_answers(compiled: Compiled) -> Iterator[Finding]:
    """An answer that no row names is taken as never seen of all compounds alike: choosing it tells nothing."""
    wanted: dict[str, set[object]] = {}
    for one in compiled.rules:
        for leaf, _ in elementary(one.rule.when) if one.rule is not None else ():
            if isinstance(leaf, Equals):
                wanted.setdefault(leaf.name, set()).add(leaf.value)
            elif isinstance(leaf, OneOf):
                wanted.setdefault(leaf.name, set()).update(leaf.values)
    named: dict[str, set[str]] = {}
    for cue, row in rows_by_cue(compiled):
        named.setdefault(cue.text("id"), set()).update(_seen(row))
    for name, entry in compiled.tree.cues.items():
        for value in entry.row.rows("values") if name in named else ():
            answer = value.text("id")
            if answer not in named[name] and answer not in wanted.get(name, set()):
                yield Finding(value.at("id"), f"answer {shown(answer)} of cue {shown(name)} is expected of no compound")


@lru_cache(maxsize=8192)  # asked again after every change elsewhere
def _seen(row: Row) -> tuple[str, ...]:
    """The answers that a row of expectations names."""
    node = row.raw("seen")
    return tuple(key.text for key, _ in node.pairs) if isinstance(node, Mapping) else ()


@check(
    "unused-source",
    "warning",
    "a source is cited by nothing",
    "Cite it where its facts stand, or take it out of sources.yaml.",
    whole=True,
)
def unused_sources(compiled: Compiled) -> Iterator[Finding]:
    """A list of sources is worth what is taken from it; what nobody cites was perhaps never read. The shipped list
    is left alone: programs and tests cite it too."""
    tree = compiled.tree
    if not any(layer for _, layer, _ in tree.sources.values()):
        return
    cited: set[str] = set()
    kinds = (tree.polymers, tree.fillers, tree.cues, tree.parts, tree.rules, tree.cells, tree.cautions, tree.facts)
    roots = [entry.row.node for kind in kinds for entry in kind.values()]
    roots += [row.node for row in (tree.losses, tree.words, tree.observer) if row is not None]
    for root in roots:
        cited.update(node.text for node in walk(root) if isinstance(node, Scalar))
    for name, (_, layer, node) in tree.sources.items():
        if layer and name not in cited:
            yield Finding(node, f"source {shown(name)} is cited by nothing")
