"""Free words for a part, matched to part kinds. Doubt errs on the safe side: a kind that must be referred
counts as soon as the words could mean it."""

from __future__ import annotations

from dataclasses import dataclass

from whichresin.knowledge.model import Model, PartKind

_STRICTNESS = ("open", "ask", "refer", "replace")
_CLEAR = 90.0  # rapidfuzz score (0..100) from which words are taken to mean a kind; from memory
_POSSIBLE = 74.0  # score from which a gated kind must be reckoned with; from memory


@dataclass(frozen=True, slots=True)
class PartReading:
    """How free words for a part were understood. `kind` is None when they match no known kind."""

    text: str
    kind: PartKind | None
    sure: str  # clear | unsure | not_understood
    others: tuple[str, ...]  # names of other kinds that the words could mean
    gate: str  # open | ask | refer | replace, the strictest that the words could mean; "" if not understood
    gate_kind: PartKind | None  # the kind that sets the gate


def understand_part(model: Model, text: str) -> PartReading:
    """Match `text` against the words of every part kind."""
    words = _normal(text)
    if not words:
        return PartReading(text, None, "not_understood", (), "", None)
    scored = sorted(
        ((_score(words, kind), kind) for kind in model.parts.values()), key=lambda pair: (-pair[0], pair[1].id)
    )
    best_score, best = scored[0] if scored else (0.0, None)
    if best is None or best_score < _POSSIBLE:
        return PartReading(text, None, "not_understood", (), "", None)
    near = [kind for score, kind in scored[1:] if score >= max(_POSSIBLE, best_score - 8)]
    clear = best_score >= _CLEAR and not any(score >= best_score for score, _ in scored[1:])
    reckoned = [best, *near] if clear else [best, *(kind for score, kind in scored[1:] if score >= _POSSIBLE)]
    if clear and best_score >= 100.0:
        reckoned = [best]
    gate_kind = max(reckoned, key=lambda kind: _STRICTNESS.index(kind.gate))
    gate = gate_kind.gate
    if not clear and gate == "open":
        gate = "ask"
    return PartReading(text, best, "clear" if clear else "unsure", tuple(k.name for k in near[:3]), gate, gate_kind)


def _score(words: str, kind: PartKind) -> float:
    """0..100: whole phrase found among the words is 100, longer phrases first; else the best fuzzy likeness."""
    from rapidfuzz import fuzz

    best = 0.0
    padded = f" {words} "
    for phrase in (kind.name, *kind.words):
        known = _normal(phrase)
        if not known:
            continue
        if words == known:
            return 101.0
        if f" {known} " in padded:
            # 'fuel tank cover' holds both 'fuel tank' and 'cover': the longer phrase says more.
            best = max(best, 94.0 + min(5.0, len(known.split()) * 2.0))
        elif len(known) > 3:
            best = max(best, min(93.0, fuzz.ratio(words, known)))
            if len(known.split()) > 1 or len(known) > 5:
                best = max(best, min(88.0, fuzz.token_set_ratio(words, known) * 0.9))
    return best


def _normal(text: str) -> str:
    kept = "".join(c.lower() if c.isalnum() else " " for c in text)
    return " ".join(kept.split())
