"""The door of the room: `load()` gives the model, from the cache when it is fresh, else from the files.

    model, problems = load()

`model` is None when there was an error; `problems` holds everything found, sorted, warnings and notes
included.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Iterable
from typing import NamedTuple

from . import cache, codec, store
from .layers import Layers, layers_of
from .model import Model
from .paths import current_folder, places_of, shown_path
from .problems import Problem
from .stamps import Stamp, UnreadableFolder


class Loaded(NamedTuple):
    """The model, or None where there were errors, and everything that was found."""

    model: Model | None
    problems: tuple[Problem, ...]


def load(
    packs: Iterable[str] = (),
    *,
    knowledge: str | None = None,
    shared: str | None = None,
    use_cache: bool = True,
) -> Loaded:
    """The shipped knowledge (or the two folders given) with `packs` laid over it, later ones winning by id.

    Never raises for what files hold. A pack is a folder, or one file whose keys tell what it is.
    """
    started_ns = time.time_ns()
    try:
        places = places_of(knowledge, shared)
        over = tuple(packs)
        layers = layers_of(places.knowledge, places.shared, over)
    except UnreadableFolder as error:
        return Loaded(None, (unreadable(error),))
    code_stamps = store.code_stamps(cache.ROOMS)
    stamps = layers.stamps + code_stamps
    path = store.file_for("model", (places.shared, places.knowledge, *over))
    collecting = gc.isenabled()
    gc.disable()  # thousands of small objects are made and none is garbage: looking for some is a third of the time
    try:
        kept = cache.read(path, stamps, codec.shape()) if use_cache else None
        if kept is not None and kept.sure:
            loaded = _from_kept(kept)
            if loaded is not None:
                return loaded
    finally:
        if collecting:
            gc.enable()
    return _compiled(layers, code_stamps, path if use_cache else "", kept, started_ns)


def _compiled(layers: Layers, code_stamps: list[Stamp], path: str, kept: cache.Kept | None, now: int) -> Loaded:
    """From the files; or from `kept` after all, when their contents turn out to be the same."""
    from .positions import MAX_BYTES

    contents = cache.contents_of(layers.stamps, MAX_BYTES)
    key, code = cache.content_key(layers.files, contents), cache.code_key(code_stamps) if path else ""
    stamps = layers.stamps + code_stamps
    if kept is not None and (kept.key, kept.code) == (key, code):
        loaded = _from_kept(kept)
        if loaded is not None:
            cache.write(path, stamps, codec.shape(), now, key, code, kept.problems, kept.model)
            return loaded
    from .compile import compile_files

    compiled = compile_files(layers.files, key, contents)
    problems = compiled.tree.ctx.report.sorted()
    if compiled.model is not None and path:
        rows = [[getattr(one, name) for name in Problem.__slots__] for one in problems]
        cache.write(path, stamps, codec.shape(), now, key, code, rows, codec.to_plain(compiled.model))
    return Loaded(compiled.model, problems)


def _from_kept(kept: cache.Kept) -> Loaded | None:
    if kept.problems and kept.seen_from != current_folder():
        return None  # the places in the sentences would be wrong from here
    try:
        return Loaded(codec.from_plain(kept.model), tuple(Problem(*row) for row in kept.problems))
    except (TypeError, ValueError, LookupError, AttributeError, RecursionError):
        return None


def unreadable(error: UnreadableFolder) -> Problem:
    """The problem to show for a folder that cannot be listed."""
    return Problem(shown_path(error.path), 0, 0, "error", "no-such-file", f"the folder cannot be read: {error.reason}")
