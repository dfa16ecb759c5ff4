"""The shipped tables, loaded once, and a small language for comparisons with the plain decoder."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from whichresin.marking.language import Language
from whichresin.marking.load import load
from whichresin.marking.tables import Tables

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

HEADS = ("PP", "PE", "PE-HD", "PA6", "PA66", "UP", "PC+ABS", "E/P", "5PP")
FILLERS = ("", "-GF30", "-TD20", "-T20", "-(GF25+MD15)")
TAILS = ("", "-FR(40)", "-FR")


@pytest.fixture(scope="session")
def tables() -> Tables:
    return load()


@pytest.fixture(scope="session")
def small(tables: Tables) -> Language:
    """A language of about 130 compositions, priors as in the shipped one."""
    whole = tables.language
    heads = tuple(h for h in whole.heads if h.text in HEADS)
    fillers = tuple(f for f in whole.fillers if f.text in FILLERS)
    tails = tuple(t for t in whole.tails if t.text in TAILS)
    return replace(
        whole,
        heads=heads,
        fillers=fillers,
        tails=tails,
    )
