"""All problems of the knowledge in one run: what the loader finds, and examples that fail.

    python -m whichresin.training.check [FOLDER_OR_FILE...]

Without arguments the shipped knowledge is checked. A path inside it narrows the report to that path. Any other
folder or file is laid over the shipped knowledge, in order.
"""

# ruff: noqa: PTH

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from whichresin.knowledge.compile import Compiled, compile_files
from whichresin.knowledge.layers import UnreadableFolder
from whichresin.knowledge.load import files_problem, find_files
from whichresin.knowledge.paths import shipped, shown_path
from whichresin.knowledge.problems import Problem


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found, sorted, and the compiled knowledge (None when no file could be listed)."""

    problems: tuple[Problem, ...]
    compiled: Compiled | None

    @property
    def has_errors(self) -> bool:
        """Whether any problem is an error."""
        return any(problem.level == "error" for problem in self.problems)


def check(paths: Sequence[str] = (), *, knowledge: str | None = None, shared: str | None = None) -> Checked:
    """Check the shipped knowledge (or the folders given), with what `paths` name laid over it or looked at."""
    places = shipped() if knowledge is None or shared is None else None
    roots = [knowledge or (places.knowledge if places else ""), shared or (places.shared if places else "")]
    inside = [path for path in paths if os.path.exists(path) and _is_under(path, roots)]
    packs = [path for path in paths if path not in inside]
    files = find_files(packs, knowledge, shared)
    if isinstance(files, UnreadableFolder):
        return Checked((files_problem(files),), None)
    compiled = compile_files(files, "", with_others=True)
    problems: Iterable[Problem] = compiled.tree.ctx.report.sorted()
    if inside and not _whole(inside, roots):
        wanted = [shown_path(path) for path in paths]
        problems = [one for one in problems if any(_names(one.file, path) for path in wanted)]
    return Checked(tuple(problems), compiled)


def _is_under(path: str, roots: Iterable[str]) -> bool:
    real = os.path.realpath(path)
    return any(real == os.path.realpath(root) or real.startswith(os.path.realpath(root) + os.sep) for root in roots)


def _whole(paths: Iterable[str], roots: Iterable[str]) -> bool:
    tops = {os.path.realpath(root) for root in roots[:1]}  # type: ignore[index]
    return any(os.path.realpath(path) in tops for path in paths)


def _names(file: str, path: str) -> bool:
    return file == path or file.startswith(path.rstrip("/\\") + os.sep)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print every problem, one a line; 1 when there was an error."""
    checked = check(list(sys.argv[1:] if arguments is None else arguments))
    for problem in checked.problems:
        sys.stdout.write(f"{problem}\n")
    return 1 if checked.has_errors else 0


if __name__ == "__main__":
    raise SystemExit(main())
