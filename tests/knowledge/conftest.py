"""The small knowledge as a fixture, and a cache folder of each test's own."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from small_knowledge import Small


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No test touches the user's cache."""
    folder = tmp_path / "cache"
    monkeypatch.setenv("WHICHRESIN_CACHE", str(folder))
    return folder


@pytest.fixture
def small(tmp_path: Path) -> Small:
    """A whole small knowledge."""
    return Small(tmp_path / "k")
