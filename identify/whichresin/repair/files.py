"""Where a file of knowledge/repair stands: in the last pack that holds one of that name, else as shipped."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from whichresin.knowledge import paths


def repair_file(name: str, packs: Sequence[str] = ()) -> str:
    """The file `repair/NAME` of the last pack that has one; the shipped one where none has."""
    for pack in reversed(packs):
        for inside in (Path(pack) / "repair" / name, Path(pack) / name):
            if inside.is_file():
                return str(inside)
    return str(Path(paths.shipped().knowledge) / "repair" / name)
