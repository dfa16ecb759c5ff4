"""Shared by all tests: hypothesis profiles, and the shipped knowledge compiled once."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model

settings.register_profile("usual", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("long", settings.get_profile("usual"), max_examples=500)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "usual"))


@pytest.fixture(scope="session")
def shipped() -> Model:
    """The shipped knowledge; a test run with broken knowledge should say so once, here."""
    loaded = load()
    assert loaded.model is not None, "\n".join(map(str, loaded.problems[:5]))
    return loaded.model


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Tests never write into the user's data folder, and no settings of the user's shop reach them."""
    own = {"WHICHRESIN_DATA": str(tmp_path_factory.mktemp("data")), "WHICHRESIN_CONFIG": ""}
    before = {name: os.environ.get(name) for name in own}
    os.environ.update(own)
    yield
    for name, value in before.items():
        if value is None:
            del os.environ[name]
        else:
            os.environ[name] = value
