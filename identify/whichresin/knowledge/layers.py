"""Which files make up the knowledge: the shipped folders, and packs laid over them in order."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import NamedTuple

from .stamps import Stamp, listing, lone

# Folder of a knowledge root -> kind of every file in it.
FOLDERS = {
    "materials/polymers": "polymer",
    "materials/fillers": "filler",
    "cues": "cue",
    "parts": "parts",
    "cautions": "cautions",
    "rules": "rules",
    "repair/processes": "process",
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
    "decisions.yaml": "decisions",
    "vocabulary.yaml": "vocabulary",
    "work.yaml": "work",
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
    ("steps", "process"),
    ("options", "decisions"),
    ("groups", "vocabulary"),
    ("work", "work"),
)
# Folders and files that other rooms read: checked to be sound YAML, no part of the model.
OTHER_FOLDERS = ("markings", "liquids", "repair", "shared")
PACK_FILE = "pack.yaml"  # at the top of a layer over the shipped one
PACK = "pack"
OTHER = "other"
STRAY = "stray"  # in a folder that nothing reads
LONE = "lone"  # named by itself: its keys tell its kind


class SourceFile(NamedTuple):
    """One YAML file of a layer. `layer` 0 is the shipped knowledge; a higher one wins by id."""

    path: str
    inside: str
    kind: str
    layer: int


class Layers(NamedTuple):
    """All files in reading order, and their stamps in the same order."""

    files: tuple[SourceFile, ...]
    stamps: list[Stamp]


def layers_of(knowledge: str, shared: str, packs: Iterable[str] = ()) -> Layers:
    """All YAML files of the layers, sorted within each. Raises UnreadableFolder."""
    stamps = listing(shared)
    files = [SourceFile(path, "shared/" + inside, kind_of("shared/" + inside), 0) for path, inside, _, _ in stamps]
    for layer, root in enumerate((knowledge, *packs)):
        if layer and not os.path.isdir(root):
            found = [lone(root)]
            files.append(SourceFile(root, found[0][1], LONE, layer))
        else:
            found = listing(root)
            files += [SourceFile(path, inside, kind_of(inside, layer), layer) for path, inside, _, _ in found]
        stamps += found
    return Layers(tuple(files), stamps)


def kind_of(inside: str, layer: int = 0) -> str:
    """The kind of a file from its place under a root (`cues/grind.yaml`), forward slashes."""
    folder, _, name = inside.rpartition("/")
    if layer and inside == PACK_FILE:
        return PACK
    if folder in ("", "repair", "shared") and name in FILES:
        return FILES[name]
    for prefix, kind in FOLDERS.items():
        if folder == prefix or (kind == "rules" and folder.startswith(prefix + "/")):
            return kind
    if not folder:
        return LONE
    return OTHER if folder.partition("/")[0] in OTHER_FOLDERS else STRAY
