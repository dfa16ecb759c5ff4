"""Why a fact holds: the tree of its reasons, read off the firings, and that tree as indented lines.

The tree is made from what is active now; nothing is told afterwards from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from .conditions import say
from .facts import Fact, fact_order
from .justify import Firing
from .rules import Rule
from .strata import components


class Justification(NamedTuple):
    """One rule that gives the fact: id, sentence, supports explained, what had to be absent, sources."""

    rule: str
    because: str
    reasons: tuple[Reason, ...]
    absent: tuple[str, ...]
    source: tuple[str, ...]


class Reason(NamedTuple):
    """Why one fact holds. `origin` is None unless it was told; a fact may be told and derived at once.

    Where facts support one another in a circle, a fact met inside its own explanation has `again` set and no
    justifications.
    """

    fact: Fact
    origin: str | None
    justifications: tuple[Justification, ...]
    again: bool = False


def reason_tree(
    fact: Fact,
    firings: Callable[[Fact], tuple[Firing, ...]],
    origin: Callable[[Fact], str | None],
    rules: Mapping[str, Rule],
) -> Reason:
    """The full tree for a fact that holds. Parts that several facts rest on are one shared object.

    Built from the leaves up, so the depth of the reasoning is not limited by Python's stack.
    """
    active: dict[Fact, tuple[Firing, ...]] = {}
    queue = [fact]
    for at in queue:
        if at not in active:
            active[at] = firings(at)
            queue += [support for firing in active[at] for support in _supports(firing)]
    below = {at: [support for firing in active[at] for support in _supports(firing)] for at in active}
    groups = components(below)
    group_of = {at: number for number, group in enumerate(groups) for at in group}
    entered = {s for at in active for s in below[at] if group_of[s] != group_of[at]} | {fact}
    done: dict[Fact, Reason] = {}
    for group in groups:
        inside = set(group)
        made = {at: _explain(at, inside, active, done, origin, rules) for at in group if at in entered}
        done.update(made)
    return done[fact]


def _explain(
    top: Fact,
    inside: set[Fact],
    active: Mapping[Fact, tuple[Firing, ...]],
    done: Mapping[Fact, Reason],
    origin: Callable[[Fact], str | None],
    rules: Mapping[str, Rule],
) -> Reason:
    """Explain `top` and, depth first, the facts of its own circle (`inside`) below it."""
    met = {top}
    local: dict[Fact, Reason] = {}

    def within(at: Fact) -> Iterator[Fact]:
        return (support for firing in active[at] for support in _supports(firing) if support in inside)

    def reason(support: Fact) -> Reason:
        if support not in inside:
            return done[support]
        # Not finished yet: this is inside the explanation of `support` itself.
        return local.get(support) or Reason(support, origin(support), (), True)

    work = [(top, within(top))]
    while work:
        at, supports = work[-1]
        below = next((support for support in supports if support not in met), None)
        if below is not None:
            met.add(below)
            work.append((below, within(below)))
            continue
        work.pop()
        justifications = tuple(
            Justification(
                firing.rule,
                rules[firing.rule].because,
                tuple(reason(support) for support in _supports(firing)),
                tuple(say(condition) for condition in firing.absent),
                rules[firing.rule].source,
            )
            for firing in active[at]
        )
        local[at] = Reason(at, origin(at), justifications)
    return local[top]


def _supports(firing: Firing) -> list[Fact]:
    return sorted(firing.supports, key=fact_order)


def lines(
    reason: Reason, depth: int | None = None, say_fact: Callable[[Fact], str] = str, sources: bool = False
) -> list[str]:
    """The tree as plain text, one useful line first, two spaces further in for each level.

    `depth` is how many levels of reasons to show below the first line (None: all; 0: the first line only). A
    fact that was explained further up is not explained twice. With `sources`, each rule is followed by its own.
    """
    out: list[str] = []
    explained: set[Fact] = set()
    work: list[tuple[int, int, Reason | str]] = [(0, 0, reason)]  # indent, level, what
    while work:
        indent, level, item = work.pop()
        margin = "  " * indent
        if isinstance(item, str):
            out.append(margin + item)
            continue
        text = say_fact(item.fact) + (f" ({item.origin})" if item.origin is not None else "")
        first, *others = item.justifications or (None,)
        if first is None and not item.again:
            out.append(margin + text)
            continue
        if item.again or item.fact in explained:
            out.append(f"{margin}{text} (explained above)")
            continue
        explained.add(item.fact)
        assert first is not None
        out.append(f"{margin}{text}: {_because(first, sources)}")
        if depth is not None and level >= depth:
            continue
        below = _lines_below(first, indent + 1, level + 1)
        for other in others:
            below.append((indent + 1, level + 1, f"and also: {_because(other, sources)}"))
            below += _lines_below(other, indent + 2, level + 1)
        work += reversed(below)
    return out


def _because(justification: Justification, sources: bool) -> str:
    told = f"; {', '.join(justification.source)}" if sources and justification.source else ""
    return f"{justification.because or 'by rule'} [{justification.rule}{told}]"


def _lines_below(justification: Justification, indent: int, level: int) -> list[tuple[int, int, Reason | str]]:
    below: list[tuple[int, int, Reason | str]] = [(indent, level, reason) for reason in justification.reasons]
    return below + [(indent, level, text) for text in justification.absent]
