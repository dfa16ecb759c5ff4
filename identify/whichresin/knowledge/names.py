"""The names that a rule may speak of: cues, told facts, the belief's findings, derived facts, and their
values.
"""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Mapping as Map
from dataclasses import dataclass, field

from .schema import Context
from .tree import Tree

BELIEF = ("believed.", "possible.")
STATUS = "status"
# Facts that conclude kinds of their own put into the engine; a rule may also look at them.
KEYWORD_FACTS = ("withhold", "unlock", "contradiction", "mute", "caution", "against")
# What the session tells of a part, beside the cues of the topics gate and part.
SAID = "duty_said"  # what free words say that the part guards
PART_FACTS = ("part_kind", "part_gate", SAID)
DUTY = "duty"  # the cue that asks what the part keeps safe
SIZE_FACT = "damage_size"  # told from the longest length among the words for the damage
GATE_FACTS = ("gate", "gate_decision")
ROUGH = "density_rough"  # told where the density was measured too roughly for rules that go by weight
DROP_FACT = "drop_by_nature"  # what a drop of water does on the clean plastics that it may be; told to plans only
DROP_LIES, DROP_STANDS = "lies", "stands"
FLOAT_FACTS = ("floats_at", "sinks_at")
# What the program tells with one value at most.
_SINGLE = (
    STATUS, "part_kind", "part_gate", "believed.class", "believed.cell", "believed.polymer", "believed.filler_kind",
    "believed.filled",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Domain:
    """What values a name may take: a closed list of words, numbers, or anything (then only `known` may ask)."""

    kind: str  # words | number | open
    words: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, eq=False)
class Names:
    """Every name with its domain; `derived` are those that rules may conclude with `fact`. Equal only to itself."""

    domains: Map[str, Domain]
    derived: frozenset[str]
    topics: Map[str, str] = field(default_factory=dict)  # cue -> topic
    evidence: frozenset[str] = frozenset()  # cues whose answers enter the belief
    single: frozenset[str] = frozenset()  # names that hold one value at most
    unread: frozenset[str] = frozenset()  # cues whose files cannot be read: reported there, and only there
    whole: bool = True  # False: the fact words are missing, so an unknown name may be one of them

    def says(self) -> tuple[object, ...]:
        """All that is said here, in order; equal for names that say the same."""
        ordered = (tuple(self.domains.items()), tuple(self.topics.items()))
        return (*ordered, self.derived, self.evidence, self.single, self.unread, self.whole)


def is_belief(name: str) -> bool:
    """Whether a fact of this name comes from the belief (directly)."""
    return name == STATUS or name.startswith(BELIEF)


def names_of(tree: Tree) -> Names:
    """All names, from what was read; a folder that is still empty leaves its names open."""
    ctx = tree.ctx
    domains: dict[str, Domain] = {}
    for name, entry in tree.cues.items():
        kind = entry.row.text("kind")
        answers = (value.text("id") for value in entry.row.rows("values"))
        domains[name] = (
            _words(answers) if kind in ("choice", "set") else Domain("number" if kind == "number" else "open")
        )
    cells = set(tree.cells) | {"none"} if tree.cells else set()
    polymers = set(tree.polymers) | {"none_of_these"} if tree.polymers else set()
    for prefix in BELIEF:
        domains[prefix + "class"] = _words([*_list(ctx, "classes"), "none"])
        domains[prefix + "cell"] = _words(cells)
        domains[prefix + "polymer"] = _words(polymers)
        domains[prefix + "filler_kind"] = _words(_list(ctx, "filler_kinds"))
    domains["believed.filled"] = _words(["yes", "no"])
    domains[STATUS] = _words(_list(ctx, "statuses"))
    domains["part_kind"] = _words(tree.parts)
    domains["part_gate"] = _words(_list(ctx, "gates"))
    domains["shop"] = _words(_shop(tree))
    domains["allow"] = _words(_list(ctx, "opt_ins"))
    for name in FLOAT_FACTS:
        domains[name] = Domain("number")
    domains[ROUGH] = _words(["yes"])
    domains[DROP_FACT] = _words([DROP_LIES, DROP_STANDS])
    _told_in_words(tree, domains)
    for name in KEYWORD_FACTS:
        domains[name] = _words(tree.cautions) if name == "caution" else _words(tree.cues)
    domains["mute"] = domains["against"] = Domain("open")
    doubts = tree.observer.numbers("doubt") if tree.observer is not None else {}
    for name in tree.cues:
        domains[f"doubt:{name}"] = _words(doubts)
    derived: set[str] = set()
    for name, entry in tree.facts.items():
        if name in domains:
            sentence = f"fact '{name}' has the name of {'a cue' if name in tree.cues else 'a built-in fact'}"
            ctx.error(entry.row.at("name"), "duplicate-id", sentence, "choose another name")
            continue
        derived.add(name)
        domains[name] = _words(entry.row.texts("values"))
    return Names(
        domains,
        frozenset(derived),
        {name: entry.row.text("topic") for name, entry in tree.cues.items()},
        frozenset(n for n, e in tree.cues.items() if "expect" in e.row or e.row.text("physics")),
        frozenset((*_SINGLE, *(n for n, e in tree.cues.items() if e.row.text("kind") in ("choice", "number")))),
        frozenset(tree.unread.get("cue", ())),
        whole=bool(tree.facts),
    )


def _told_in_words(tree: Tree, domains: dict[str, Domain]) -> None:
    """What free words for damage, context and shop may tell: each group of the vocabulary is a name."""
    row = tree.vocabulary
    for group in row.rows("groups") if row is not None else ():
        name, values = group.text("name"), {value.text("id") for value in group.rows("values")}
        before = domains.get(name)
        if before is not None and name != "shop":
            sentence = f"group '{name}' has the name of {'a cue' if name in tree.cues else 'a built-in fact'}"
            tree.ctx.error(group.at("name"), "duplicate-id", sentence, "choose another name")
            continue
        domains[name] = _words(values | (set(before.words) if before is not None else set()))
    if row is not None:
        domains[SIZE_FACT] = _words(row.numbers("sizes_mm"))


def _words(words: Iterable[str]) -> Domain:
    found = frozenset(words)
    return Domain("words", found) if found else Domain("open")


def _list(ctx: Context, name: str) -> list[str]:
    return list(ctx.lists.get(name, ()))


def _shop(tree: Tree) -> set[str]:
    tools = {tool for entry in tree.cues.values() for tool in entry.row.words("tools")}
    splits = tree.losses.rows("splits") if tree.losses is not None else ()
    return tools | {split.text("shop") for split in splits} - {""}
