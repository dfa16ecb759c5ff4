"""All problems of the knowledge in one run: what the loader refuses, examples that fail, and what `checks` find.

    python -m whichresin.training.check [FOLDER_OR_FILE...]

Without arguments the shipped knowledge is checked. A path inside it narrows the report to that path. Any
other folder or file is laid over the shipped knowledge, in order.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field

from whichresin.knowledge import cache, store
from whichresin.knowledge.compile import Compiled, compile_files
from whichresin.knowledge.load import unreadable
from whichresin.knowledge.positions import MAX_BYTES, Reading, read_bytes
from whichresin.knowledge.problems import Problem
from whichresin.knowledge.schema import Rows
from whichresin.knowledge.stamps import Stamp, UnreadableFolder
from whichresin.knowledge.steps import Steps

from .checks import run_checks
from .examples import run_examples
from .repair_files import look_at_repair_files
from .scope import scope_of


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found, sorted, and the compiled knowledge (None when no file could be listed)."""

    problems: tuple[Problem, ...]
    compiled: Compiled | None
    examples: int = 0  # how many examples and near misses were run

    @property
    def has_errors(self) -> bool:
        """Whether any problem is an error."""
        return any(problem.level == "error" for problem in self.problems)


@dataclass(slots=True)
class Memory:
    """What one check leaves for the next: files and rows as they were read, and each step as it was done."""

    contents: dict[str, tuple[Stamp, int, bytes]] = field(default_factory=dict)  # with the time of reading, ns
    readings: dict[str, tuple[bytes, Reading]] = field(default_factory=dict)
    steps: Steps = field(default_factory=Steps)
    rows: Rows = field(default_factory=Rows)

    def contents_of(self, stamps: Sequence[Stamp]) -> dict[str, bytes]:
        """As `cache.contents_of`; a file whose size and time of change are the same is not opened again."""
        now, found, unknown = time.time_ns(), {}, []
        for stamp in stamps:
            before = self.contents.get(stamp[0])
            if before is not None and before[0] == stamp and stamp[3] < before[1] - store.DOUBT_NS:
                found[stamp[0]] = before[2]
            else:
                unknown.append(stamp)
        read = cache.contents_of(unknown, MAX_BYTES)
        self.contents.update({stamp[0]: (stamp, now, read[stamp[0]]) for stamp in unknown if stamp[0] in read})
        return {**found, **read}

    def read(self, data: bytes, name: str) -> Reading:
        """As `positions.read_bytes`; a file that has not changed is not read again."""
        before = self.readings.get(name)
        if before is not None and before[0] == data:
            return before[1]
        reading = read_bytes(data, name)
        self.readings[name] = (data, reading)
        return reading


def check(
    paths: Sequence[str] = (),
    *,
    knowledge: str | None = None,
    shared: str | None = None,
    memory: Memory | None = None,
) -> Checked:
    """Check the shipped knowledge (or the folders given) with what `paths` name laid over it or looked at.

    With a `memory`, a second check does again only what a change since the first can have touched.
    """
    collecting = gc.isenabled()
    gc.disable()  # as in knowledge.load: many small objects are made and none of them is garbage
    try:
        return _check(paths, knowledge, shared, memory or Memory())
    finally:
        if collecting:
            gc.enable()


def _check(paths: Sequence[str], knowledge: str | None, shared: str | None, memory: Memory) -> Checked:
    try:
        scope = scope_of(paths, knowledge, shared)
    except UnreadableFolder as error:
        return Checked((unreadable(error),), None)
    files, steps = scope.layers.files, memory.steps
    contents = memory.contents_of(scope.layers.stamps)
    key = cache.content_key(files, contents)
    compiled = compile_files(files, key, contents, True, memory.read, memory.rows, steps)
    report = compiled.tree.ctx.report
    ran = steps.run("examples", run_examples, report, compiled, steps)
    run_checks(compiled, steps)
    look_at_repair_files(compiled, files, contents, memory.read, steps)
    return Checked(tuple(one for one in report.sorted() if scope.tells(one.file)), compiled, ran)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print every problem, one a line; 1 when there was an error."""
    checked = check(list(sys.argv[1:] if arguments is None else arguments))
    for problem in checked.problems:
        sys.stdout.write(f"{problem}\n")
    return 1 if checked.has_errors else 0


if __name__ == "__main__":
    raise SystemExit(main())
