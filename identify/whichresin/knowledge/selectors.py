"""Selectors: which compounds a row speaks for, and which of two rows is the more specific.

A selector is a mapping such as `{class: thermoplastic, filler_kind: fibre}`; a value may be a list of which
one must hit; `{}` is every compound. It is compiled to a bit mask over compound indices.
"""

from __future__ import annotations

from collections.abc import Sequence as Seq
from dataclasses import dataclass

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .model import Compound
from .positions import Mapping, Node, Scalar, Sequence
from .problems import did_you_mean
from .schema import Context, number, scalars, shape

# The more bits a key cuts away, the heavier: a row with the higher sum wins.
WEIGHTS = {
    "class": 1,
    "cell": 2,
    "family": 4,
    "polymer": 8,
    "filler_kind": 16,
    "filler": 32,
    "percent": 64,
    "retarded": 128,
    "compound": 256,
}


@dataclass(frozen=True, slots=True)
class Selector:
    """The compounds meant, as bits, and how specific the selector is."""

    mask: int
    specificity: int
    node: Node

    def indices(self) -> tuple[int, ...]:
        """Compound indices in order."""
        return bits(self.mask)


def bits(mask: int) -> tuple[int, ...]:
    """The positions of the ones in a mask, lowest first."""
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return tuple(found)


class Selectors:
    """Reads selectors against the compounds (without 'none of these', which no selector matches)."""

    def __init__(self, compounds: Seq[Compound], whole: bool = True) -> None:
        """`whole` False: some materials could not be read, so a name that is missing here may be theirs."""
        self._whole = whole
        self._compounds = tuple(compounds)
        self.everything = (1 << len(self._compounds)) - 1
        self._masks: dict[str, dict[str, int]] = {key: {} for key in WEIGHTS if key != "percent"}
        for index, one in enumerate(self._compounds):
            bit = 1 << index
            for key, value in (
                ("class", one.klass),
                ("cell", one.cell),
                ("family", one.family),
                ("polymer", one.material),
                ("filler_kind", one.filler_kind),
                ("filler", one.filler),
                ("retarded", "yes" if one.retarded else "no"),
                ("compound", one.id),
            ):
                self._masks[key][value] = self._masks[key].get(value, 0) | bit

    def says(self) -> tuple[object, ...]:
        """All that selectors go by, equal for compounds that differ in other things: their names or priors."""
        return (self._whole, [one.percent for one in self._compounds], self._masks)

    def read(self, node: Node, ctx: Context) -> Selector | None:
        """The selector that stands at `node`, or None when it is wrong and reported."""
        if not isinstance(node, Mapping):
            ctx.error(
                node,
                "wrong-shape",
                f"the selector is {shape(node)}; expected a mapping such as {{family: polyolefin}}",
            )
            return None
        mask, specificity, sound = self.everything, 0, True
        for key, value in node.pairs:
            weight = WEIGHTS.get(key.text)
            if weight is None:
                sentence = f"{shown(key.text)} is not a key of a selector; expected {listed(WEIGHTS)}"
                ctx.error(key, "unknown-key", sentence, did_you_mean(key.text, WEIGHTS))
                sound = False
                continue
            specificity += weight
            part = self._percent(value, ctx) if key.text == "percent" else self._values(key.text, value, ctx)
            if part is None:
                sound = False
            else:
                mask &= part
        if not sound:
            return None
        if not mask and self._compounds and self._whole:
            ctx.warning(node, "matches-nothing", "no compound fits this selector")
        return Selector(mask, specificity, node)

    def within(self, material: str, node: Node | None, at: Node, ctx: Context) -> Selector | None:
        """The compounds of one material, narrowed by the selector at `node` if there is one; `at` is the row."""
        own = Selector(self._masks["polymer"].get(material, 0), WEIGHTS["polymer"], at)
        more = self.read(node, ctx) if node is not None else Selector(self.everything, 0, at)
        if more is None:
            return None
        both = Selector(own.mask & more.mask, own.specificity + more.specificity, more.node)
        if more.mask and not both.mask and self._whole:
            ctx.warning(more.node, "matches-nothing", f"no compound of {shown(material)} fits this selector")
        return both

    def _values(self, key: str, node: Node, ctx: Context) -> int | None:
        known = self._masks[key]
        texts = list(scalars(node))
        if not texts or (isinstance(node, Sequence) and len(texts) != len(node.items)):
            ctx.error(node, "wrong-shape", f"{key} is {shape(node)}; expected a word or a list of words")
            return None
        mask, sound = 0, True
        for scalar in texts:
            if scalar.text in known:
                mask |= known[scalar.text]
            elif self._allowed_elsewhere(key, scalar.text, ctx):
                continue
            else:
                sound = False
                if self._compounds and self._whole:
                    self._unknown(key, scalar, ctx)
        return mask if sound else None

    def _allowed_elsewhere(self, key: str, text: str, ctx: Context) -> bool:
        """A word of a closed list that no compound happens to have: a lawful word that matches nothing."""
        lists = {"class": "classes", "filler_kind": "filler_kinds"}
        return (key in lists and text in ctx.lists.get(lists[key], ())) or (key == "retarded" and text in ("yes", "no"))

    def _unknown(self, key: str, scalar: Scalar, ctx: Context) -> None:
        known = sorted(self._masks[key])
        sentence = f"there is no {key} {shown(scalar.text)}"
        if len(known) <= 12:
            sentence += f"; expected one of {listed(known)}"
        ctx.error(scalar, "no-such-reference", sentence, did_you_mean(scalar.text, known))

    def _percent(self, node: Node, ctx: Context) -> int | None:
        items = list(scalars(node))
        values = [number(item.text) for item in items]
        if isinstance(node, Sequence) and len(values) == 2 == len(node.items):
            low, high = values
            if low is not None and high is not None and low <= high:
                return sum(1 << i for i, one in enumerate(self._compounds) if low <= one.percent <= high)
        ctx.error(node, "bad-number", "percent is not a band; expected [low, high] in mass %")
        return None
