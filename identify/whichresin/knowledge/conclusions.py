"""Read `conclude:` of a rule: facts, what may be asked, doubts, cautions, contradictions and evidence."""

from __future__ import annotations

from dataclasses import dataclass

from whichresin.engine.conditions import Var
from whichresin.engine.rules import Conclusion
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .conditions import ConditionReader
from .expectations import how_often
from .model import Against
from .names import GATE_FACTS, Names
from .positions import Mapping, Node, Scalar, Sequence
from .problems import did_you_mean
from .schema import Context, scalars, shape
from .selectors import Selectors

# The first key of a conclusion says its kind; the others are what may stand beside it.
KINDS: dict[str, tuple[str, ...]] = {
    "fact": ("value",),
    "withhold": (),
    "unlock": (),
    "doubt": ("level",),
    "caution": (),
    "contradiction": (),
    "mute": ("value",),
    "against": ("seen", "instead_of"),
}
OPTIONAL_BESIDE = {("mute", "value"), ("against", "instead_of")}


@dataclass(frozen=True, slots=True)
class Concluded:
    """One conclusion: the engine's form, its kind, where it stands, and the evidence that it brings, if any."""

    conclusion: Conclusion
    kind: str
    node: Node
    against: Against | None = None


class ConclusionReader:
    """Reads the conclusions of one rule (or the `expect:` of its examples)."""

    def __init__(self, rule: str, names: Names, selectors: Selectors, ctx: Context) -> None:
        self._rule = rule
        self._names = names
        self._selectors = selectors
        self._ctx = ctx

    def read(self, node: Node) -> Concluded | None:
        """One conclusion, or None when it is wrong and reported."""
        if not isinstance(node, Mapping):
            self._ctx.error(
                node,
                "wrong-shape",
                f"a conclusion is {shape(node)}; expected a mapping with one of {listed(KINDS)}",
            )
            return None
        keys = {key.text: (key, value) for key, value in node.pairs}
        kinds = [kind for kind in KINDS if kind in keys]
        if len(kinds) != 1:
            near = next((hint for hint in (did_you_mean(key, KINDS) for key in keys if key not in KINDS) if hint), "")
            sentence = f"a conclusion with {listed(keys) or 'no key'}; expected exactly one of {listed(KINDS)}"
            self._ctx.error(node, "unknown-key", sentence, near)
            return None
        kind = kinds[0]
        beside = KINDS[kind]
        sound = True
        for key, _ in node.pairs:
            if key.text != kind and key.text not in beside:
                rest = f"expected {listed(beside)}" if beside else "it stands alone"
                sentence = f"{shown(key.text)} does not go with {kind}; {rest}"
                self._ctx.error(key, "unknown-key", sentence, did_you_mean(key.text, beside))
                sound = False
        for name in beside:
            if name not in keys and (kind, name) not in OPTIONAL_BESIDE:
                self._ctx.error(node, "missing-key", f"{kind} without {name}")
                sound = False
        if not sound:
            return None
        parts = {name: value for name, (_, value) in keys.items()}
        if kind == "against":
            return self._against(node, parts)
        conclusion = self._plain(kind, parts)
        return None if conclusion is None else Concluded(conclusion, kind, node)

    def _plain(self, kind: str, parts: dict[str, Node]) -> Conclusion | None:
        if kind == "fact":
            return self._fact(parts["fact"], parts["value"])
        target = self._target(kind, parts[kind])
        if target is None:
            return None
        reader = ConditionReader(self._names, self._ctx)
        if kind == "doubt":
            name = f"doubt:{target}"
            level = reader.value(name, parts["level"], self._names.domains[name])
            return None if level is None else Conclusion(name, level)
        if kind == "mute" and "value" in parts:
            value = reader.value(target, parts["value"], self._names.domains[target])
            return Conclusion("mute", f"{target}={value}") if isinstance(value, str) else None
        return Conclusion(kind, target)

    def _fact(self, name_node: Node, value_node: Node) -> Conclusion | None:
        name = self._word("fact", name_node)
        if name is None:
            return None
        allowed = self._names.derived | (set(GATE_FACTS) & self._names.domains.keys())
        if name not in allowed:
            if name in self._names.domains:
                self._ctx.error(
                    name_node,
                    "not-here",
                    f"{shown(name)} is told, not concluded",
                    "conclude a fact of facts.yaml",
                )
            elif self._names.whole:
                sentence = f"fact {shown(name)} is not declared in shared/facts.yaml"
                self._ctx.error(name_node, "no-such-reference", sentence, did_you_mean(name, allowed))
            return None
        value = ConditionReader(self._names, self._ctx).value(name, value_node, self._names.domains[name])
        return None if value is None else Conclusion(name, value)

    def _target(self, kind: str, node: Node) -> str | None:
        """The cue or caution that a conclusion names."""
        word = self._word(kind, node)
        if word is None:
            return None
        known = self._names.domains["caution"].words if kind == "caution" else self._names.topics.keys()
        if word in known or (kind == "caution" and not known):
            return word
        if word in self._names.unread:
            return None  # its file is there and cannot be read: reported once, there
        what = "caution" if kind == "caution" else "cue"
        self._ctx.error(node, "no-such-reference", f"there is no {what} {shown(word)}", did_you_mean(word, known))
        return None

    def _word(self, kind: str, node: Node) -> str | None:
        if isinstance(node, Scalar) and node.text:
            return node.text
        self._ctx.error(node, "wrong-shape", f"{kind} is {shape(node)}; expected one name")
        return None

    def _against(self, node: Node, parts: dict[str, Node]) -> Concluded | None:
        selector = self._selectors.read(parts["against"], self._ctx)
        factor = how_often(parts["seen"], self._ctx)
        cues: list[str] = []
        sound = True
        beside = parts.get("instead_of")
        if isinstance(beside, Mapping) or (
            isinstance(beside, Sequence) and len(list(scalars(beside))) != len(beside.items)
        ):
            self._ctx.error(beside, "wrong-shape", "instead_of is not a list of cues")
            sound = False
        for scalar in scalars(beside) if beside is not None else ():
            target = self._target("instead_of", scalar)
            sound = sound and target is not None
            cues.append(target or "")
        if selector is None or factor is None or not sound:
            return None
        against = Against(self._rule, factor, selector.indices(), tuple(cues))
        return Concluded(Conclusion("against", self._rule), "against", node, against)


def variable_of(conclusion: Conclusion) -> str | None:
    """The variable that a conclusion needs, if any."""
    return conclusion.value.name if isinstance(conclusion.value, Var) else None
