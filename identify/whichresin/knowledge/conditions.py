"""Read `when:` of a rule into the engine's conditions, and note every name that it looks at."""

from __future__ import annotations

from dataclasses import dataclass

from whichresin.engine.conditions import (
    All,
    Condition,
    Equals,
    Known,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    Within,
)
from whichresin.engine.facts import Value
from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .names import Domain, Names
from .positions import Mapping, Node, Scalar, Sequence
from .problems import did_you_mean
from .schema import Context, number, shape

GROUPS = ("all", "any", "none")
BOUNDS = ("at_least", "at_most", "above", "below")


@dataclass(frozen=True, slots=True)
class Use:
    """A name that a rule looks at; `negative` when it needs the fact to be absent."""

    name: str
    negative: bool
    node: Node


class ConditionReader:
    """Reads the conditions of one rule; `uses` fills up on the way."""

    def __init__(self, names: Names, ctx: Context) -> None:
        self._names = names
        self._ctx = ctx
        self.uses: list[Use] = []

    def when(self, node: Node) -> All | None:
        """The whole `when:`, or None when something in it is wrong (reported)."""
        if not isinstance(node, Mapping):
            self._ctx.error(node, "wrong-shape", f"when is {shape(node)}; expected a mapping with {listed(GROUPS)}")
            return None
        if not node.pairs:
            self._ctx.error(node, "too-few", "when has no condition; the rule would always hold")
            return None
        parts: list[Condition] = []
        sound = True
        for key, value in node.pairs:
            if key.text not in GROUPS:
                sentence = f"{shown(key.text)} is not a key of when; expected {listed(GROUPS)}"
                hint = did_you_mean(key.text, GROUPS) or f"write all: [{{{key.text}: ...}}]"
                self._ctx.error(key, "unknown-key", sentence, hint)
                sound = False
                continue
            group = self._group(key.text, value, key.text == "none")
            if group is None:
                sound = False
            elif isinstance(group, All):
                parts.extend(group.parts)
            else:
                parts.append(group)
        return All(tuple(parts)) if sound else None

    def _group(self, word: str, node: Node, negative: bool) -> Condition | None:
        if not isinstance(node, Sequence):
            sentence = f"{word} is {shape(node)}; expected a list of conditions, such as [{{grind: powder}}]"
            self._ctx.error(node, "wrong-shape", sentence)
            return None
        if not node.items:
            self._ctx.error(node, "too-few", f"{word} has no condition")
            return None
        parts = [self._condition(item, negative) for item in node.items]
        sound = tuple(part for part in parts if part is not None)
        if len(sound) != len(parts):
            return None
        return All(sound) if word == "all" else Some(sound) if word == "any" else Never(sound)

    def _condition(self, node: Node, negative: bool) -> Condition | None:
        if not isinstance(node, Mapping) or len(node.pairs) != 1:
            hint = "write each condition as an entry of its own" if isinstance(node, Mapping) else ""
            found = f"a mapping with {len(node.pairs)} keys" if isinstance(node, Mapping) else shape(node)
            self._ctx.error(node, "wrong-shape", f"a condition is {found}; expected one name and its value", hint)
            return None
        key, value = node.pairs[0]
        if key.text in GROUPS:
            return self._group(key.text, value, negative or key.text == "none")
        if key.text in ("known", "not_known"):
            if not isinstance(value, Scalar):
                self._ctx.error(value, "wrong-shape", f"{key.text} is {shape(value)}; expected one name")
                return None
            absent = key.text == "not_known"
            if self.domain(value, negative or absent) is None:
                return None
            return NotKnown(value.text) if absent else Known(value.text)
        domain = self.domain(key, negative)
        return None if domain is None else self._match(key, value, domain)

    def domain(self, key: Scalar, negative: bool = False) -> Domain | None:
        """What values the name may take; None and a report when there is no such name. Notes the use."""
        self.uses.append(Use(key.text, negative, key))
        domain = self._names.domains.get(key.text)
        if domain is None and self._names.whole and key.text not in self._names.unread:
            sentence = f"{shown(key.text)} is neither a cue nor a fact that the tool knows"
            self._ctx.error(key, "no-such-reference", sentence, did_you_mean(key.text, self._names.domains))
        return domain

    def _match(self, key: Scalar, node: Node, domain: Domain) -> Condition | None:
        name = key.text
        if isinstance(node, Mapping):
            return self._within(name, node, domain)
        if isinstance(node, Sequence):
            values = [self.value(name, item, domain) for item in node.items]
            plain = tuple(value for value in values if value is not None and not isinstance(value, Var))
            if len(plain) != len(values) or not values:
                if not values or any(isinstance(value, Var) for value in values):
                    self._ctx.error(node, "wrong-shape", f"the values of {shown(name)} must be a list of plain values")
                return None
            return OneOf(name, plain)
        one = self.value(name, node, domain)
        if one is None:
            return None
        return Equals(name, one)

    def value(self, name: str, node: Node, domain: Domain) -> Value | Var | None:
        """The value that stands at `node` for the name, checked against what the name may be."""
        if not isinstance(node, Scalar) or not node.text:
            self._ctx.error(
                node,
                "wrong-shape",
                f"the value of {shown(name)} is {shape(node)}; expected a word or a number",
            )
            return None
        text = node.text
        if text.startswith("?") and len(text) > 1:
            return Var(text[1:])
        if domain.kind == "number":
            found = number(text)
            if found is None:
                self._ctx.error(node, "bad-number", f"{shown(name)} is {shown(text)}; expected a number")
            return found
        if domain.kind == "words" and text not in domain.words:
            known = sorted(domain.words)
            sentence = f"{shown(text)} is not a value of {shown(name)}"
            if len(known) <= 20:
                sentence += f"; expected one of {listed(known, 20)}"
            self._ctx.error(node, "unknown-word", sentence, did_you_mean(text, known))
            return None
        return text

    def _within(self, name: str, node: Mapping, domain: Domain) -> Condition | None:
        if domain.kind == "words":
            self._ctx.error(node, "not-here", f"{shown(name)} is answered in words, so bounds cannot apply")
            return None
        bounds: dict[str, float] = {}
        for key, value in node.pairs:
            found = number(value.text) if isinstance(value, Scalar) else None
            if key.text not in BOUNDS:
                sentence = f"{shown(key.text)} is not a bound; expected {listed(BOUNDS)}"
                self._ctx.error(key, "unknown-key", sentence, did_you_mean(key.text, BOUNDS))
                return None
            if found is None:
                said = shown(value.text) if isinstance(value, Scalar) else shape(value)
                self._ctx.error(value, "bad-number", f"{key.text} is {said}; expected a number")
                return None
            bounds[key.text] = found
        if not bounds or {"at_least", "above"} <= bounds.keys() or {"at_most", "below"} <= bounds.keys():
            self._ctx.error(
                node,
                "wrong-shape",
                f"the bounds of {shown(name)} must be one lower, one upper, or one of each",
            )
            return None
        low, high = bounds.get("at_least", bounds.get("above")), bounds.get("at_most", bounds.get("below"))
        low_open, high_open = "above" in bounds, "below" in bounds
        if low is not None and high is not None and (low > high or (low == high and (low_open or high_open))):
            self._ctx.error(node, "out-of-range", f"no number lies between these bounds of {shown(name)}")
            return None
        return Within(name, low, high, low_open, high_open)
