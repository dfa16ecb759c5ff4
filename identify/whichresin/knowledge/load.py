"""The door of the room: `load()` gives the model, from the cache when it is fresh, else from the files."""

# ruff: noqa: PTH - pathlib is not otherwise loaded on the way to the first question

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from .layers import SourceFile, UnreadableFolder, files_of
from .paths import Places, shipped, shown_path

if TYPE_CHECKING:
    from .compile import Loaded


def load(
    packs: Iterable[str] = (), *, knowledge: str | None = None, shared: str | None = None, use_cache: bool = True
) -> Loaded:
    """The shipped knowledge (or the two folders given) with `packs` laid over it, later ones winning by id."""
    from .compile import Loaded, compile_files

    files = find_files(packs, knowledge, shared)
    if not isinstance(files, tuple):
        return Loaded(None, (files_problem(files),))
    compiled = compile_files(files, "")
    return Loaded(compiled.model, compiled.tree.ctx.report.sorted())


def find_files(
    packs: Iterable[str], knowledge: str | None, shared: str | None
) -> tuple[SourceFile, ...] | UnreadableFolder:
    """The files of all layers, or what stood in the way."""
    try:
        places = shipped() if knowledge is None or shared is None else Places(knowledge, shared)
        return files_of(knowledge or places.knowledge, shared or places.shared, packs)
    except UnreadableFolder as error:
        return error
    except FileNotFoundError as error:
        return UnreadableFolder("knowledge", str(error))


def files_problem(error: UnreadableFolder):  # type: ignore[no-untyped-def]
    from .problems import Problem

    return Problem(shown_path(error.path), 0, 0, "error", "no-such-file", f"the folder cannot be read: {error.reason}")
