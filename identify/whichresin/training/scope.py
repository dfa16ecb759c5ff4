"""What a check is about: the layers that are read, and which of the paths only narrow what is told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from whichresin.knowledge.layers import Layers, SourceFile, layers_of
from whichresin.knowledge.paths import places_of, shown_path


class Scope(NamedTuple):
    """The folders (shared, knowledge, those laid over), their files, and the paths to which the report is narrowed
    (empty: all is told)."""

    roots: tuple[str, ...]
    layers: Layers
    narrowed: tuple[str, ...]

    def tells(self, file: str) -> bool:
        """Whether what is found in a file (as problems name it) is told."""
        return not self.narrowed or any(Path(file).is_relative_to(path) for path in self.narrowed)


def scope_of(paths: Sequence[str], knowledge: str | None = None, shared: str | None = None) -> Scope:
    """A path inside what is read anyway narrows the report; any other is laid over. Raises UnreadableFolder."""
    places = places_of(knowledge, shared)
    roots, layers = (places.shared, places.knowledge), layers_of(places.knowledge, places.shared)
    if not paths:
        return Scope(roots, layers, ())
    covered = _covered(layers.files)
    looked_at = [path for path in paths if Path(path).resolve() in covered]
    packs = [path for path in paths if path not in looked_at]
    if packs:
        layers = layers_of(places.knowledge, places.shared, packs)
    whole = any(Path(places.knowledge).resolve().is_relative_to(Path(path).resolve()) for path in looked_at)
    return Scope((*roots, *packs), layers, tuple(map(shown_path, paths)) if looked_at and not whole else ())


def _covered(files: Iterable[SourceFile]) -> set[Path]:
    """The files that are read and every folder above them, resolved. A draft is not among them."""
    folders = {Path(file.path).parent for file in files}
    real = {folder: folder.resolve() for folder in folders}
    found = {real[Path(file.path).parent] / Path(file.path).name for file in files}
    return found.union(*({folder, *folder.parents} for folder in real.values()))
