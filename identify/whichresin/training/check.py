"""All problems of the knowledge in one run: what the loader refuses, examples that fail, and what `checks` find.

    python -m whichresin.training.check [FOLDER_OR_FILE...]

Without arguments the shipped knowledge is checked. A path inside it narrows the report to that path. Any
other folder or file is laid over the shipped knowledge, in order.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from whichresin.knowledge import cache
from whichresin.knowledge.compile import Compiled, compile_files
from whichresin.knowledge.layers import SourceFile, layers_of
from whichresin.knowledge.load import unreadable
from whichresin.knowledge.paths import places_of, shown_path
from whichresin.knowledge.positions import MAX_BYTES, Reading, read_bytes
from whichresin.knowledge.problems import Problem
from whichresin.knowledge.schema import Rows
from whichresin.knowledge.stamps import UnreadableFolder

from .checks import run_checks
from .examples import run_examples
from .repair_files import look_at_repair_files

_MOST_ROWS = 50_000  # a few thousand are in use; the rest is left over from earlier versions of files


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
    """What one check leaves for the next: files and rows as they were read."""

    readings: dict[tuple[bytes, str], Reading] = field(default_factory=dict)
    rows: Rows = field(default_factory=dict)
    basis: tuple[bytes, ...] = ()  # the closed lists and scales that the rows were read by

    def read(self, data: bytes, name: str) -> Reading:
        """As `positions.read_bytes`; a file that has not changed is not read again."""
        known = self.readings.get((data, name))
        if known is None:
            known = self.readings[(data, name)] = read_bytes(data, name)
        return known

    def rows_for(self, files: Iterable[SourceFile], contents: Mapping[str, bytes]) -> Rows:
        """The rows that still hold: none after a change of the words that they may use."""
        basis = tuple(contents.get(file.path, b"") for file in files if file.kind in ("lists", "words"))
        if basis != self.basis or len(self.rows) > _MOST_ROWS:
            self.rows.clear()
            self.basis = basis
        return self.rows


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
        places = places_of(knowledge, shared)
        covered = _covered(layers_of(places.knowledge, places.shared).files) if paths else set()
        looked_at = [path for path in paths if Path(path).resolve() in covered]
        packs = [path for path in paths if path not in looked_at]
        layers = layers_of(places.knowledge, places.shared, packs)
    except UnreadableFolder as error:
        return Checked((unreadable(error),), None)
    contents = cache.contents_of(layers.stamps, MAX_BYTES)
    key, rows = cache.content_key(layers.files, contents), memory.rows_for(layers.files, contents)
    compiled = compile_files(layers.files, key, contents, True, memory.read, rows)
    ran = run_examples(compiled)
    run_checks(compiled)
    look_at_repair_files(compiled, layers.files, contents, memory.read)
    problems: Iterable[Problem] = compiled.tree.ctx.report.sorted()
    if looked_at and not any(Path(places.knowledge).resolve().is_relative_to(Path(p).resolve()) for p in looked_at):
        wanted = [shown_path(path) for path in paths]
        problems = [one for one in problems if any(Path(one.file).is_relative_to(path) for path in wanted)]
    return Checked(tuple(problems), compiled, ran)


def _covered(files: Iterable[SourceFile]) -> set[Path]:
    """The files that are read and every folder above them, resolved. A draft is not among them."""
    folders = {Path(file.path).parent for file in files}
    real = {folder: folder.resolve() for folder in folders}
    found = {real[Path(file.path).parent] / Path(file.path).name for file in files}
    return found.union(*({folder, *folder.parents} for folder in real.values()))


def main(arguments: Sequence[str] | None = None) -> int:
    """Print every problem, one a line; 1 when there was an error."""
    checked = check(list(sys.argv[1:] if arguments is None else arguments))
    for problem in checked.problems:
        sys.stdout.write(f"{problem}\n")
    return 1 if checked.has_errors else 0


if __name__ == "__main__":
    raise SystemExit(main())
