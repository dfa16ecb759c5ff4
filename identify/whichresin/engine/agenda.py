"""What to do next: the rule instances a newly seen fact makes possible, and the order of settling.

The agenda is a heap of entries, one whole number each: the rank of the fact's name above the fact's number.
Lower ranks are settled first, so nothing is concluded from an absence that is still open.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence

from .conditions import Equals, Var, admits, bind
from .facts import Fact, Value
from .ruleset import Hole, Instance, Scheme, Target

Seen = Mapping[str, Mapping[int, None]]  # fact numbers seen so far, by name

RANK_SHIFT = 40
NUMBER_MASK = (1 << RANK_SHIFT) - 1


def entry(rank: int, number: int) -> int:
    """The agenda entry of a fact; `number & NUMBER_MASK` gives the fact back."""
    return rank << RANK_SHIFT | number


def instances(
    scheme: Scheme,
    place: int,
    new: int,
    facts: Sequence[Fact | None],
    number: Mapping[Target, int],
    seen: Seen,
    intern: Callable[[Target], int],
) -> Iterator[Instance]:
    """Every instance of `scheme` in which the fact `new` stands at `place` and nowhere before it.

    Called once for each place, this gives every instance with the new fact exactly once. `facts` and `number`
    are all facts so far, `seen` those that may be used (with the new one), `intern` numbers new facts.
    """

    def fill(target: Target, binding: Mapping[str, Value]) -> int:
        name, value = target
        if isinstance(value, Hole):
            values: tuple[Hashable, ...] = tuple(binding[variable] for variable in value.variables)
            value = values[0] if isinstance(name, str) else values
        return intern((name, value))

    for binding, chosen in list(_choices(scheme, place, new, facts, number, seen)):
        yield Instance(
            scheme.rule,
            tuple(dict.fromkeys((*scheme.fixed, *chosen))),
            tuple(dict.fromkeys(fill(barrier, binding) for barrier in scheme.barriers)),
            tuple(dict.fromkeys(fill(target, binding) for target in scheme.concludes)),
            tuple(bind(condition, binding) for condition in scheme.absent),
        )


def _choices(
    scheme: Scheme,
    place: int,
    new: int,
    facts: Sequence[Fact | None],
    number: Mapping[Target, int],
    seen: Seen,
) -> Iterator[tuple[dict[str, Value], tuple[int, ...]]]:
    """Values of the variables and one fact for each open part, depth first over the parts.

    The part at `place` is tried first, because it has one candidate only.
    """
    order = [place, *(p for p in range(len(scheme.open)) if p != place)]
    stack: list[tuple[int, dict[str, Value], tuple[int, ...]]] = [(0, {}, ())]
    while stack:
        done, binding, chosen = stack.pop()
        if done == len(order):
            yield binding, chosen
            continue
        at = order[done]
        part = scheme.open[at]
        variable = part.value.name if isinstance(part, Equals) and isinstance(part.value, Var) else None
        candidates: Iterator[int] | tuple[int, ...]
        if at == place:
            candidates = (new,)
        elif variable in binding:
            meant = number.get((part.name, binding[variable]), -1)
            candidates = (meant,) if meant in seen.get(part.name, ()) else ()
        else:
            candidates = iter(seen.get(part.name, ()))
        for candidate in candidates:
            fact = facts[candidate]
            if fact is None or not admits(part, fact.value) or (at < place and candidate == new):
                continue
            if variable is None:
                stack.append((done + 1, binding, (*chosen, candidate)))
            elif binding.get(variable, fact.value) == fact.value:
                stack.append((done + 1, {**binding, variable: fact.value}, (*chosen, candidate)))
