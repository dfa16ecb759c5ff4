"""The search against a scan of three million compositions, and the scan against the plain decoder."""

from __future__ import annotations

import random

import pytest
from plain_decoder import likelihood

from whichresin.marking.search import Searcher
from whichresin.marking.tables import Tables

numpy = pytest.importorskip("numpy")


@pytest.fixture(scope="module")
def scan(tables: Tables):  # type: ignore[no-untyped-def]
    from whole_scan import Scan

    return Scan(tables)


def test_scan_equals_the_plain_decoder(scan, tables: Tables) -> None:  # type: ignore[no-untyped-def]
    """The scan gives each composition the weight that the plain sum over alignments gives it."""
    assert scan.language.size >= 3_000_000
    rng, seen = random.Random(5), "P?6GF 3O"
    weights = scan.weights(seen)
    for _ in range(25):
        h, e = rng.randrange(len(scan.head_words)), rng.randrange(len(scan.end_words))
        head, end = scan.language.heads[h], scan.language.endings[e]
        parts = (
            head.text,
            scan.language.fillers[end.what & 0xFFFF].text,
            scan.language.tails[end.what >> 16].text,
        )
        want = head.weight * end.weights[head.profile] * likelihood(parts, seen, tables.channel)
        assert weights[h, e] == pytest.approx(want, rel=0.02)  # runs that straddle a filler and a tail differ


@pytest.mark.parametrize("text", ["PA66-GF3O", "PP-TD2", "PP+EPDM-TD1O", "PAX6-GE30", "PBT-G?3"])
def test_search_finds_the_best_of_all(text: str, scan, tables: Tables) -> None:  # type: ignore[no-untyped-def]
    """The search's best reading is the best of three million, with about its odds in the scan."""
    found = Searcher(scan.language, tables.channel).find(text, True, True)
    top = max(found, key=lambda name: found[name].weight)
    best, share = scan.best(text)
    assert top == best
    assert found[top].weight / sum(hit.weight for hit in found.values()) == pytest.approx(share, abs=0.06)
