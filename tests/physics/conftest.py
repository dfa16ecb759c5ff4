"""Lets the physics tests import the slow twins of `tests/oracles`."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))
