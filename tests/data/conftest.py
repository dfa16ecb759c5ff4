"""The shipped materials and their compounds as the tool sees them; and the copied outside facts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml

from whichresin.knowledge.load import load
from whichresin.knowledge.model import Compound, Filler, Material

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Shipped:
    """Materials, fillers and compounds by id."""

    materials: Mapping[str, Material]
    fillers: Mapping[str, Filler]
    compounds: Mapping[str, Compound]

    def of(self, name: str) -> list[Compound]:
        """The compound of that id, else all compounds of the material of that id."""
        if name in self.compounds:
            return [self.compounds[name]]
        return [one for one in self.compounds.values() if one.material == name]


@pytest.fixture(scope="session")
def shipped() -> Shipped:
    model, problems = load()
    assert model is not None, [str(one) for one in problems if one.level == "error"][:10]
    return Shipped(model.materials, model.fillers, {one.id: one for one in model.compounds})


@pytest.fixture(scope="session")
def facts() -> Callable[[str], Any]:
    """Reads a file of copied facts beside this one."""

    def read(name: str) -> Any:
        return yaml.safe_load((HERE / name).read_text(encoding="utf-8"))

    return read
