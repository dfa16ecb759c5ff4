"""Build the repair book: processes and their steps, what decides between them, words for damage, kinds of work.

Every `when` becomes a rule of the engine that concludes that it holds; nothing here evaluates a condition.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from whichresin.engine.conditions import All
from whichresin.engine.rules import Conclusion, Rule
from whichresin.vocabulary.text import shown

from .conditions import ConditionReader, Use
from .names import Names
from .problems import did_you_mean
from .repair_model import (
    TELLS,
    Adds,
    AskFirst,
    Costs,
    Forbidden,
    Need,
    Process,
    RepairBook,
    SaidValue,
    StepRow,
    WhatIf,
    WordGroup,
    Words,
    WorkKind,
)
from .rulebook import MAX_WAYS, most_ways
from .schema import Row, scalars
from .selectors import Selectors
from .steps import noted
from .tree import Tree

_STEP_NEEDS = ("id", "stage", "do", "why", "work", "source")


@dataclass(frozen=True, slots=True)
class Condition:
    """One `when` of the repair files, with its place and what it looks at."""

    id: str
    row: Row
    when: All | None
    uses: tuple[Use, ...]


@noted
@dataclass(frozen=True, slots=True)
class Repairs:
    """The book, and what the checks need beside it: its conditions, and the row of each step by process/id."""

    book: RepairBook
    conditions: tuple[Condition, ...]
    steps: dict[str, Row]


@dataclass(slots=True)
class _Builder:
    tree: Tree
    names: Names
    selectors: Selectors
    conditions: list[Condition] = field(default_factory=list)
    steps: dict[str, Row] = field(default_factory=dict)

    def when(self, row: Row, name: str) -> str:
        """The id of the condition at `when` of the row; "" where there is none."""
        node = row.raw("when")
        if node is None:
            return ""
        reader = ConditionReader(self.names, self.tree.ctx)
        when = reader.when(node)
        if when is not None and most_ways(when) > MAX_WAYS:
            sentence = f"the conditions of {shown(name)} can hold in more than {MAX_WAYS} ways; split them"
            self.tree.ctx.error(node, "too-many-ways", sentence)
            when = None
        self.conditions.append(Condition(name, row, when, tuple(reader.uses)))
        return name

    def known(self, row: Row, key: str, known: object, what: str) -> None:
        """Report every word at `key` that names nothing."""
        node, names = row.raw(key), list(known) if isinstance(known, dict | tuple) else []
        for scalar in scalars(node) if node is not None and names else ():
            if scalar.text not in names:
                hint = did_you_mean(scalar.text, names)
                self.tree.ctx.error(
                    scalar, "no-such-reference", f"there is no {what} {shown(scalar.text)}", hint
                )


def build_repairs(
    tree: Tree, names: Names, selectors: Selectors, hypotheses: int
) -> Repairs:
    """The repair book from what was read; problems are reported, and what is wrong is left out.

    `hypotheses` is the number of compounds, with 'none of these' as the last.
    """
    build = _Builder(tree, names, selectors)
    work = _work(build)
    processes = tuple(_process(build, name, work) for name in sorted(tree.processes))
    decisions = tree.decisions
    costs = tuple(_costs(build, decisions, hypotheses))
    adds: tuple[Adds, ...] = ()
    must_not: tuple[Forbidden, ...] = ()
    flips: tuple[WhatIf, ...] = ()
    if decisions is not None:
        adds = tuple(_adds(build, decisions))
        must_not = _forbidden(build, decisions, "any")
        flips = tuple(_flips(build, decisions))
    stuff = tuple(
        (row.text("word"), build.when(row, f"stuff/{row.text('word')}"))
        for row in (tree.work.rows("stuff") if tree.work is not None else ())
    )
    book = RepairBook(
        processes=processes,
        costs=costs,
        adds=adds,
        must_not=must_not,
        flips=flips,
        weld_from=decisions.number("weld_from", 1.0) if decisions is not None else 1.0,
        matters_from=decisions.number("matters_from") if decisions is not None else 0.0,
        ask_if_it_saves_minutes=decisions.number("ask_if_it_saves_minutes") if decisions is not None else 0.0,
        words=_words(build),
        work=work,
        stuff=stuff,
        rules=tuple(
            Rule(one.id, one.when, (Conclusion(TELLS, one.id),)) for one in build.conditions if one.when is not None
        ),
    )
    return Repairs(book, tuple(build.conditions), build.steps)


def _process(build: _Builder, name: str, work: tuple[WorkKind, ...]) -> Process:
    tree, row = build.tree, build.tree.processes[name].row
    build.known(row, "treat_as", tree.cells, "repair cell")
    steps = []
    for place, one in enumerate(row.rows("steps")):
        found = _step(build, name, one, place, work)
        if found is not None:
            steps.append(found)
    asks = []
    for place, one in enumerate(row.rows("ask_first")):
        build.known(one, "cue", build.names.topics, "cue")
        asks.append(AskFirst(one.text("cue"), one.text("because"), build.when(one, f"{name}/ask/{place}")))
    needs = tuple(
        Need(one.text("text"), one.text("item"), build.when(one, f"{name}/need/{place}"))
        for place, one in enumerate(row.rows("needs"))
    )
    return Process(
        id=name,
        name=row.text("name"),
        process=row.text("process"),
        decision=row.text("decision"),
        because=row.text("because"),
        treat_as=row.words("treat_as"),
        one_unfilled_plastic=row.flag("one_unfilled_plastic"),
        ask_first=tuple(asks),
        needs=needs,
        must_not=_forbidden(build, row, name),
        steps=tuple(steps),
        source=row.words("source"),
        when=build.when(row, f"{name}/when"),
    )


def _step(build: _Builder, process: str, row: Row, place: int, work: tuple[WorkKind, ...]) -> StepRow | None:
    """One step; `use: process/step` takes the step of another process over, with a condition of its own if given."""
    used = _used(build, row) if "use" in row else row
    if used is None:
        return None
    source, when_row = used, row if "when" in row else used
    name = source.text("id")
    missing = [key for key in _STEP_NEEDS if key not in source]
    if missing:
        build.tree.ctx.error(source.node, "missing-key", f"a step without {', '.join(missing)}")
    key = f"{process}/{name}"
    if key in build.steps:
        build.tree.ctx.error(row.node, "duplicate-id", f"step {shown(name)} stands twice in process {shown(process)}")
        return None
    build.steps[key] = source
    build.known(source, "cautions", build.tree.cautions, "caution")
    build.known(source, "work", {one.id: one for one in work}, "kind of work")
    minutes = tuple(v for v in source.values.get("minutes", ()) if isinstance(v, float))  # type: ignore[attr-defined]
    if minutes and (len(minutes) != 2 or minutes[0] > minutes[1]):
        build.tree.ctx.error(source.at("minutes"), "out-of-range", "minutes are not [least, most]")
        minutes = ()
    return StepRow(
        id=name,
        stage=source.text("stage"),
        do=source.text("do"),
        why=source.text("why"),
        minutes=minutes,
        work=source.words("work"),
        cautions=source.words("cautions"),
        hold=source.text("hold"),
        record=source.words("record"),
        timer=source.text("timer"),
        source=source.words("source"),
        when=build.when(when_row, key),
    )


def _used(build: _Builder, row: Row) -> Row | None:
    """The row of the step that `use` names, in another process."""
    process, _, name = row.text("use").partition("/")
    other = build.tree.processes.get(process)
    rows = other.row.rows("steps") if other is not None else ()
    found = next((one for one in rows if one.text("id") == name and "use" not in one), None)
    extra = [key for key in row.nodes if key not in ("use", "when")]
    if found is None:
        known = [f"{p}/{one.text('id')}" for p, e in build.tree.processes.items() for one in e.row.rows("steps")]
        sentence = f"there is no step {shown(row.text('use'))}; write process/step"
        build.tree.ctx.error(row.at("use"), "no-such-reference", sentence, did_you_mean(row.text("use"), known))
    elif extra:
        build.tree.ctx.error(row.at(extra[0]), "not-here", f"{extra[0]} does not go with use; only when does")
    return found


def _forbidden(build: _Builder, row: Row, name: str) -> tuple[Forbidden, ...]:
    return tuple(
        Forbidden(
            one.text("text"), one.text("because"), one.words("source"), build.when(one, f"{name}/not/{place}")
        )
        for place, one in enumerate(row.rows("must_not"))
    )


def _costs(build: _Builder, decisions: Row | None, hypotheses: int) -> Iterator[Costs]:
    """Minutes of each process by compound. The process file may bring its own; decisions.yaml wins over it."""
    rows = {row.text("process"): row for row in (decisions.rows("options") if decisions is not None else ())}
    for row in rows.values():
        build.known(row, "process", build.tree.processes, "process")
    own = {name: entry.row.row("costs") for name, entry in build.tree.processes.items()}
    rows |= {name: row for name, row in own.items() if row is not None and name not in rows}
    for name, row in rows.items():
        yield _costs_of(build, name, row, hypotheses)


def _costs_of(build: _Builder, process: str, row: Row, hypotheses: int) -> Costs:
    """Of the rows that match a compound the most specific counts, the later of equals."""
    minutes = [row.number("outside")] * hypotheses
    rank, notes = [-1] * hypotheses, [""] * hypotheses
    for one in row.rows("loses"):
        selector = build.selectors.read(one.at("for"), build.tree.ctx) if "for" in one else None
        for index in selector.indices() if selector is not None else ():
            if selector is not None and selector.specificity >= rank[index]:
                rank[index], minutes[index] = selector.specificity, one.number("minutes")
                notes[index] = one.text("note")
    return Costs(process, tuple(minutes), tuple(notes))


def _adds(build: _Builder, decisions: Row) -> Iterator[Adds]:
    for place, row in enumerate(decisions.rows("adds")):
        build.known(row, "to", build.tree.processes, "process")
        yield Adds(row.words("to"), row.number("minutes"), row.text("because"), build.when(row, f"adds/{place}"))


def _flips(build: _Builder, decisions: Row) -> Iterator[WhatIf]:
    for place, row in enumerate(decisions.rows("flips")):
        told = row.texts("tell")
        for name, value in told.items():
            domain = build.names.domains.get(name)
            if domain is None or (domain.kind == "words" and value not in domain.words):
                build.tree.ctx.error(row.at("tell"), "no-such-reference", f"there is no {shown(name)}: {shown(value)}")
        yield WhatIf(tuple(told.items()), row.text("text"), build.when(row, f"flip/{place}"))


def _words(build: _Builder) -> Words | None:
    row = build.tree.vocabulary
    if row is None:
        return None
    groups = []
    for group in row.rows("groups"):
        values = tuple(SaidValue(v.text("id"), v.text("text"), v.words("words")) for v in group.rows("values"))
        groups.append(WordGroup(group.text("name"), group.words("reads"), values, group.flag("negated")))
        _claimed_twice(build, group)
    return Words(
        groups=tuple(groups),
        lengths_mm=row.numbers("lengths_mm"),
        longest_mm=row.number("longest_mm"),
        sizes_mm=row.numbers("sizes_mm"),
        denials=row.words("denials"),
        fillers=row.words("fillers"),
    )


def _claimed_twice(build: _Builder, group: Row) -> None:
    """Two values of a group that claim one word would leave it to luck which is meant."""
    first: dict[str, str] = {}
    for value in group.rows("values"):
        for word in value.words("words"):
            other = first.setdefault(word.casefold(), value.text("id"))
            if other != value.text("id"):
                sentence = f"{shown(word)} also stands for {shown(other)}"
                build.tree.ctx.error(value.at("words"), "word-claimed-twice", sentence, "leave it to one of them")


def _work(build: _Builder) -> tuple[WorkKind, ...]:
    row = build.tree.work
    return tuple(
        WorkKind(one.text("id"), one.text("name"), one.words("words"), one.flag("hazardous"))
        for one in (row.rows("work") if row is not None else ())
    )
