"""Which files make up the knowledge: the shipped folders, and packs laid over them in order."""

# ruff: noqa: PTH - os.scandir only: this runs at every start to see whether the cache is fresh

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass

# Folder of a knowledge root -> kind of every file in it.
FOLDERS = {
    "materials/polymers": "polymer",
    "materials/fillers": "filler",
    "cues": "cue",
    "parts": "parts",
    "rules": "rules",
}
# File name -> kind, wherever it stands in a root (`shared/`, `repair/` or the top of a pack).
FILES = {
    "cells.yaml": "cells",
    "losses.yaml": "losses",
    "sources.yaml": "sources",
    "facts.yaml": "facts",
    "cautions.yaml": "cautions",
    "lists.yaml": "lists",
    "words.yaml": "words",
    "observer.yaml": "observer",
}
# Keys by which a file that stands alone shows what it is.
TELLTALE = (
    ("rules", "rules"),
    ("parts", "parts"),
    ("cells", "cells"),
    ("actions", "losses"),
    ("sources", "sources"),
    ("facts", "facts"),
    ("cautions", "cautions"),
    ("question", "cue"),
    ("compounds", "polymer"),
    ("gate", "parts"),
    ("kind", "filler"),
)
MAX_FILES = 5000
MAX_FOLDER_DEPTH = 6


@dataclass(frozen=True, slots=True)
class SourceFile:
    """One YAML file of a layer. `layer` 0 is the shipped knowledge; a higher one wins by id."""

    path: str
    kind: str  # a value of FOLDERS or FILES, `other`, or `lone` until its keys are read
    layer: int
    size: int
    mtime_ns: int


class UnreadableFolder(Exception):
    """A folder that was asked for and cannot be listed; `path` and a reason to show."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(reason)
        self.path = path
        self.reason = reason


def files_of(knowledge: str, shared: str, packs: Iterable[str] = ()) -> tuple[SourceFile, ...]:
    """All YAML files of the layers, sorted within each. Raises UnreadableFolder."""
    found = _files_under(shared, 0, shared=True) + _files_under(knowledge, 0)
    for layer, pack in enumerate(packs, 1):
        if os.path.isdir(pack):
            found += _files_under(pack, layer)
        else:
            found.append(_lone_file(pack, layer))
    return tuple(found)


def kind_of(relative: str, shared: bool = False) -> str:
    """The kind of a file from its place under a root (`cues/grind.yaml`), forward slashes."""
    folder, _, name = relative.rpartition("/")
    if (shared or folder in ("", "repair", "shared")) and name in FILES:
        return FILES[name]
    for prefix, kind in FOLDERS.items():
        if folder == prefix or (kind == "rules" and folder.startswith(prefix + "/")):
            return kind
    return "other"


def _files_under(root: str, layer: int, shared: bool = False) -> list[SourceFile]:
    found: list[SourceFile] = []
    pending: list[tuple[str, str, int]] = [(root, "", 0)]
    while pending:
        folder, relative, depth = pending.pop()
        try:
            entries = list(os.scandir(folder))
        except OSError as error:
            raise UnreadableFolder(folder, error.strerror or "it cannot be listed") from None
        for entry in entries:
            if entry.name.startswith(".") or entry.is_symlink():
                continue  # a link could lead out of the folder
            inside = f"{relative}/{entry.name}" if relative else entry.name
            if entry.is_dir():
                # drafts are rules in the making: read only when they are named
                if entry.name != "drafts" and depth < MAX_FOLDER_DEPTH:
                    pending.append((entry.path, inside, depth + 1))
            elif entry.name.endswith((".yaml", ".yml")):
                stat = entry.stat()
                kind = kind_of(inside, shared)
                found.append(SourceFile(entry.path, kind, layer, stat.st_size, stat.st_mtime_ns))
                if len(found) > MAX_FILES:
                    raise UnreadableFolder(root, f"it holds more than {MAX_FILES} files")
    found.sort(key=lambda file: file.path)
    return found


def _lone_file(path: str, layer: int) -> SourceFile:
    try:
        stat = os.stat(path)
    except (OSError, ValueError):
        return SourceFile(path, "lone", layer, -1, -1)  # reading it will say what is wrong
    return SourceFile(path, "lone", layer, stat.st_size, stat.st_mtime_ns)
