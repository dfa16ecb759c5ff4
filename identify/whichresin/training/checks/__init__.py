"""One check, one small function: what it looks for beyond what the loader must refuse.

To add one: write a function that yields findings, give it `@check(...)` with a code, a level, a title and
advice, and put a wrong and a right example of it into `training/pages.yaml`; the tests run both.
"""

from __future__ import annotations

from . import care, densities, expectations, gate, mend, reach, sense, texts, unused
from .base import REGISTRY, Check, Finding, run_checks

__all__ = ["ALL", "Check", "Finding", "run_checks"]

_ROOMS = (care, densities, expectations, gate, mend, reach, sense, texts, unused)  # importing one registers its checks
ALL: dict[str, Check] = dict(sorted(REGISTRY.items()))
