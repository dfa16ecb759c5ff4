"""What a check found, kept until something that it read changes: a second check takes no longer than reading.

Kept under a hash of all that the check depends on: what the files say and how they are layered, the paths as they
are shown, and the program itself. Whatever does not fit is as good as absent (`knowledge/store.py`); what holds a
file that cannot be read is not kept. Light: the rooms that do the work are loaded only when there is work.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import NamedTuple

from whichresin.knowledge import cache, store
from whichresin.knowledge.paths import current_folder
from whichresin.knowledge.problems import Problem
from whichresin.knowledge.stamps import MAX_FILE_BYTES, UnreadableFolder, as_text, newest

from .scope import Scope, scope_of

FORMAT = 1
ROOMS = ("knowledge", "engine", "vocabulary", "physics", "repair", "training", "training/checks")


class Found(NamedTuple):
    """What a check found, sorted, and how many examples and near misses were run."""

    problems: tuple[Problem, ...]
    examples: int

    @property
    def has_errors(self) -> bool:
        """Whether any problem is an error."""
        return any(problem.level == "error" for problem in self.problems)


def check_or_kept(paths: Sequence[str], fresh: bool = False) -> Found:
    """What `check(paths)` finds; from an earlier check when nothing has changed since, unless it shall be `fresh`."""
    try:
        scope = scope_of(paths)
    except UnreadableFolder:
        return _checked(paths)
    key = _key(scope)
    path = store.file_for("check", (*scope.roots, *scope.narrowed))
    kept = None if fresh or not key else _read(path, key)
    if kept is not None:
        return kept
    found = _checked(paths)
    try:
        if key and _key(scope_of(paths)) == key:  # nothing was changed meanwhile
            _write(path, key, found)
    except UnreadableFolder:  # taken away meanwhile
        pass
    return found


def _checked(paths: Sequence[str]) -> Found:
    import gc

    from .check import check

    checked = check(paths)
    gc.freeze()  # at the end the collector would look through all that was read: a third of the whole time
    return Found(checked.problems, checked.examples)


def _key(scope: Scope) -> str:
    """The hash of all that the findings depend on; empty when a file cannot be read, or the program just changed."""
    from hashlib import sha256

    files, stamps = scope.layers
    code = store.code_stamps(ROOMS)
    contents = cache.contents_of(stamps, MAX_FILE_BYTES)
    if len(contents) < len(stamps) or newest(code) >= time.time_ns() - store.DOUBT_NS:
        return ""
    said = (cache.content_key(files, contents), as_text(code), current_folder(), *(file.path for file in files))
    return sha256("\0".join((*said, "", *scope.narrowed)).encode("utf-8", "surrogateescape")).hexdigest()


def _read(path: str, key: str) -> Found | None:
    body = store.read(path, f"check {FORMAT} {key}")
    if body is None:
        return None
    from json import loads

    try:
        examples, rows = loads(body)
        return Found(tuple(Problem(*row) for row in rows), int(examples))
    except (ValueError, TypeError, RecursionError):
        return None


def _write(path: str, key: str, found: Found) -> None:
    from json import dumps

    rows = [[getattr(one, name) for name in Problem.__slots__] for one in found.problems]
    store.write(path, f"check {FORMAT} {key}", dumps([found.examples, rows], separators=(",", ":")).encode())
