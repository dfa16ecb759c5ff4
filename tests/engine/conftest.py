"""Lets the engine tests import the slow twins of `tests/oracles` and the generator beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))
sys.path.insert(0, str(Path(__file__).parent))
