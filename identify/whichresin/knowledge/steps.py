"""Steps that are done again only when something that they read has changed.

    steps = Steps()
    cues = steps.run("cues", build_cues, report, tree, selectors, compounds)

What a step reads is noted while it runs: records such as the tree are handed to it in a wrapper that writes down
every attribute that is looked at, and what stood there. As long as all of that is the same, the step would make and
report the same again: so its result is handed out, and what it reported is told anew. Nothing has to be declared, so
nothing can be forgotten.

A step must be a function of what it is handed, must change nothing of it, and may ask the report only for what it
reported itself. Two values are the same when they are one object, or equal texts, numbers or tuples; `settled` makes
one object of two that are equal.
"""

from __future__ import annotations

from collections.abc import Callable
from types import MethodType
from typing import NamedTuple, ParamSpec, TypeVar

from .problems import Problem, Report

P = ParamSpec("P")
T = TypeVar("T")
Noticed = dict[tuple[int, tuple[str, ...]], object]  # place among what was handed, attributes -> what stood there

_MOST = 20_000  # a few thousand are in use; the rest is left over from earlier versions of files
_PLAIN = (str, int, float, bool, tuple)
_NOTED: set[type] = set()


def noted(kind: type[T]) -> type[T]:
    """Mark a kind of record: its attributes are noted one by one, where any other value is noted as a whole."""
    _NOTED.add(kind)
    return kind


class _Done(NamedTuple):
    """A step as it was done last."""

    handed: tuple[object, ...]
    noticed: Noticed
    made: object
    problems: tuple[Problem, ...]


class Steps:
    """The steps of one piece of work that is done again and again, as they were done last."""

    def __init__(self) -> None:
        self._done: dict[object, _Done] = {}
        self._settled: dict[object, tuple[object, object]] = {}

    def run(self, name: object, do: Callable[P, T], report: Report, *handed: P.args, **named: P.kwargs) -> T:
        """What `do(*handed)` makes; what it finds is told to `report`. `name` is that of no other step."""
        assert not named  # for the type checker only: what is handed is handed by place
        before = self._done.get(name)
        if before is not None and _unchanged(before, handed):
            report.extend(before.problems)
            return before.made  # type: ignore[return-value]
        noticed: Noticed = {}
        told = len(report)
        wrapped = [_Wrapped(one, place, (), noticed) if _is_noted(one) else one for place, one in enumerate(handed)]
        made = do(*wrapped)  # type: ignore[call-arg,arg-type]
        if len(self._done) > _MOST:
            self._done.clear()
        kept = tuple(_Wrapped if _is_noted(one) else one for one in handed)
        self._done[name] = _Done(kept, noticed, made, report.since(told))
        return made

    def settled(self, name: object, value: T, by: object) -> T:
        """The value that was settled last under this name, if `by` is equal to what it was then; else this one.

        `by` is all that the value says. The order of a mapping belongs to it: it shows in sentences that list what
        is known, and two mappings are equal in any order.
        """
        before = self._settled.get(name)
        if before is not None and before[1] == by:
            return before[0]  # type: ignore[return-value]
        self._settled[name] = (value, by)
        return value


class _Wrapped:
    """A record whose attributes are noted as they are looked at, each once: during a step they do not change."""

    def __init__(self, of: object, place: int, path: tuple[str, ...], noticed: Noticed) -> None:
        self._of, self._place, self._path, self._noticed = of, place, path, noticed

    def __getattr__(self, name: str) -> object:
        value, path = getattr(self._of, name), (*self._path, name)
        if isinstance(value, MethodType):
            value = MethodType(value.__func__, self)  # what it looks at is noted too
        elif _is_noted(value):
            value = _Wrapped(value, self._place, path, self._noticed)
        elif not isinstance(value, Report):
            self._noticed[self._place, path] = value
        self.__dict__[name] = value
        return value


def _is_noted(value: object) -> bool:
    return value.__class__ in _NOTED or value.__class__ is _Wrapped


def _unchanged(before: _Done, handed: tuple[object, ...]) -> bool:
    """Whether everything that a step was handed or looked at is the same now.

    Within another step `handed` holds its wrappers: what is looked at here is then noted there as well.
    """
    if len(before.handed) != len(handed):
        return False
    for kept, one in zip(before.handed, handed, strict=True):
        if not (_same(kept, one) or (kept is _Wrapped and _is_noted(one))):
            return False
    for (place, path), value in before.noticed.items():
        here = handed[place]
        for name in path:
            here = getattr(here, name, _Wrapped)  # a record that is not there has none of the attributes
        if not _same(value, here):
            return False
    return True


def _same(one: object, other: object) -> bool:
    return one is other or (one.__class__ is other.__class__ and one.__class__ in _PLAIN and one == other)
