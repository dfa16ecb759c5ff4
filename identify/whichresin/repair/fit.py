"""Does a product fit this part, today, in this shop? One sentence where it does not; the best one where several do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from .product_rules import ProductRules
from .shelf import Product

_FAR = date.max


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a product stands: `suits`, `trial` (trial patch first) or `refused`, and the sentences that say why."""

    product: Product
    verdict: str
    sentences: tuple[str, ...]
    suits: float  # how likely the part is something that the product's sheet names

    def as_json(self) -> dict[str, Any]:
        """The verdict as an object."""
        one = self.product
        return {
            "id": one.id,
            "name": one.name,
            "kind": one.kind,
            "verdict": self.verdict,
            "because": list(self.sentences),
            "suits": round(self.suits, 4),
            "ratio": one.ratio or None,
            "lot": one.lot or None,
            "expires": one.expires.isoformat() if one.expires else None,
            "sheet": one.sheet,
            "invented": one.invented,
        }


@dataclass(frozen=True, slots=True)
class Bench:
    """The day and the shop. `celsius` None: nobody measured it."""

    today: date
    celsius: float | None = None


def judge(product: Product, chances: Sequence[float], bench: Bench, rules: ProductRules) -> Verdict:
    """Hold a product against the belief in every compound (`chances`, the model's order), the day and the room."""
    refusals: list[str] = []
    warnings: list[str] = []
    suits = _sum(product.suits, chances)
    strict = rules.kinds[product.kind].strict
    worst = _worst(product.not_for, chances)
    if worst is not None and worst[1] >= rules.refuse_from:
        refusals.append(
            f"{product.name} is not for {worst[0]}, says its sheet, and the part is that with {_percent(worst[1])}"
        )
    elif suits < 0.5 or (strict and suits < rules.strict_from):
        named = " or ".join(product.suits)
        wanted = f"; it takes {_percent(rules.strict_from)}" if suits >= 0.5 else ""
        refusals.append(f"{product.name} is made for {named}, and the part is that with only {_percent(suits)}{wanted}")
    elif suits < rules.suits_from:
        warnings.append(
            f"{product.name}: trial patch on a hidden place first, its sheet covers {_percent(suits)} of what "
            "the part may be"
        )
    if product.expires is not None and product.expires < bench.today:
        refusals.append(f"{product.name} ran out on {product.expires.isoformat()}: discard it as its sheet says")
    elif product.expires is None:
        warnings.append(f"{product.name}: no expiry date in its file; read it off the pack and write the lot down")
    if product.use_celsius is not None and bench.celsius is not None:
        low, high = product.use_celsius
        if not low <= bench.celsius <= high:
            remedy = "warm part, product and room" if bench.celsius < low else "let part and room cool"
            refusals.append(
                f"{product.name} is used at {low:g} to {high:g} C, the shop has {bench.celsius:g} C: {remedy}"
            )
    elif product.use_celsius is not None:
        low, high = product.use_celsius
        warnings.append(f"{product.name}: measure the room, it is used at {low:g} to {high:g} C")
    verdict = "refused" if refusals else "trial" if suits < rules.suits_from else "suits"
    return Verdict(product, verdict, tuple(refusals or warnings), suits)


def choose(verdicts: Iterable[Verdict], stiffness: str = "") -> Verdict | None:
    """The product to use of those of one kind: one that fits, of the wanted stiffness, the one that runs out first."""

    def rank(one: Verdict) -> tuple[bool, bool, date, str]:
        matches = not stiffness or one.product.stiffness == stiffness
        return one.verdict != "suits", not matches, one.product.expires or _FAR, one.product.id

    usable = [one for one in verdicts if one.verdict != "refused"]
    return min(usable, key=rank) if usable else None


def promoter_said(product: Product, chances: Sequence[float], rules: ProductRules) -> str:
    """The word of the sheet for which it wants a promoter, where the part may be that; "" when it wants none."""
    worst = _worst(product.needs_promoter, chances)
    return worst[0] if worst is not None and worst[1] >= rules.refuse_from else ""


def _sum(words: Mapping[str, frozenset[int]], chances: Sequence[float]) -> float:
    meant: frozenset[int] = frozenset().union(*words.values()) if words else frozenset()
    return sum(chances[i] for i in meant)


def _worst(words: Mapping[str, frozenset[int]], chances: Sequence[float]) -> tuple[str, float] | None:
    sums = [(word, sum(chances[i] for i in meant)) for word, meant in words.items()]
    return max(sums, key=lambda pair: pair[1]) if sums else None


def _percent(share: float) -> str:
    if share >= 0.995:
        return "over 99 %"
    return "under 1 %" if share < 0.005 else f"{share * 100:.0f} %"
