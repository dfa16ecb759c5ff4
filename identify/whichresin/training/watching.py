"""Check again whenever a file changes."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from whichresin.knowledge.layers import layers_of
from whichresin.knowledge.paths import places_of
from whichresin.knowledge.stamps import Stamp, UnreadableFolder

from .check import Checked, Memory, check


def looks(paths: Sequence[str], wait: Callable[[], None]) -> Iterator[tuple[Checked, float]]:
    """The first check, then one after each change, each with the seconds it took; ends when `wait` raises.

    `wait` is called between two looks at the files: it sleeps, or ends the watch by raising StopIteration.
    """
    memory, seen = Memory(), None
    while True:
        now = _stamps(paths)
        if now != seen:
            seen = now
            started = time.perf_counter()
            first = not memory.readings
            checked = check(paths, memory=memory)
            if first:
                gc.freeze()  # what was read stays: the collector need not look through it again and again
            yield checked, time.perf_counter() - started
        try:
            wait()
        except StopIteration:
            return


def _stamps(paths: Sequence[str]) -> list[Stamp] | None:
    """Paths, sizes and times of change of all that is read; None while a folder cannot be listed."""
    try:
        places = places_of(None, None)
        packs = [path for path in paths if not _inside(path, places.knowledge, places.shared)]
        return layers_of(places.knowledge, places.shared, packs).stamps
    except (UnreadableFolder, OSError):
        return None


def _inside(path: str, *folders: str) -> bool:
    real = Path(path).resolve()
    return any(real.is_relative_to(Path(folder).resolve()) for folder in folders)
