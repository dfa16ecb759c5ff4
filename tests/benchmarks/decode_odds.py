"""Can the odds be trusted? `python tests/benchmarks/decode_odds.py [texts] [seed]`

1. Calibration (expected calibration error over ten equal bins of the top reading's odds) for the stated channel.
2. Stated odds against observed ones under channels that the tables do not state: only lost letters, only random
   letters, only extra ones, one and two a text.
3. Top-1 against a search without shortcuts (all readings with up to three damages, nothing dropped above a
   millionth): a ratio of 1 means that the shortcuts cost nothing. Its mean odds estimate the ceiling of any decoder.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from decode_sample import Sampler

from whichresin.marking import walk
from whichresin.marking.composition import Marking
from whichresin.marking.decoder import decode, plain_key
from whichresin.marking.load import load
from whichresin.marking.search import Searcher


def calibration(pairs: list[tuple[float, bool]]) -> tuple[float, float, float]:
    """(expected calibration error, mean stated odds, share right)."""
    bins: list[list[tuple[float, bool]]] = [[] for _ in range(10)]
    for stated, right in pairs:
        bins[min(9, int(stated * 10))].append((stated, right))
    total = len(pairs)
    error = sum(abs(sum(s - r for s, r in group)) for group in bins) / total
    return error, sum(s for s, _ in pairs) / total, sum(r for _, r in pairs) / total


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    tables = load()
    sampler = Sampler(tables, seed)

    def told(text: str, key: tuple[int, int, int]) -> tuple[float, bool]:
        decoded = decode(f">{text}<", tables)
        if not decoded.readings:
            return 0.0, False
        truth = plain_key(Marking((sampler.language.composition(*key),)))
        return decoded.readings[0].probability, decoded.readings[0].text == truth

    pairs = []
    for _ in range(count):
        key = sampler.composition()
        pairs.append(told(sampler.through(sampler.text(key), sampler.wear()), key))
    error, stated, right = calibration(pairs)
    print(f"stated channel      n {count}  ECE {error:.4f}  stated {stated:.4f}  right {right:.4f}")
    for kind in ("", "lost", "random", "extra", "look_alike", "unreadable"):
        for damages in (1, 2):
            pairs = []
            for _ in range(max(200, count // 5)):
                key = sampler.composition()
                pairs.append(told(sampler.exactly(sampler.text(key), damages, kind), key))
            error, stated, right = calibration(pairs)
            over = stated - right
            shown = f"ECE {error:.4f}  stated {stated:.4f}  right {right:.4f}  over {over:+.4f}"
            print(f"{kind or 'all kinds':11} x {damages}     n {len(pairs)}  {shown}")
    wide = Searcher(tables.language, tables.channel)
    wide.stages, wide.margins, wide.most_work = ((1, 1e-20, 1.0), (3, 1e-20, 1.0)), (1e-6, 1e-6), 10**9
    walk.MOST_STEPS = 10**9
    for damages in (1, 2):
        mine = best = 0
        ceiling = 0.0
        texts = max(20, count // 50)
        for _ in range(texts):
            key = sampler.composition()
            text = sampler.exactly(sampler.text(key), damages)
            truth = key[0] << 32 | key[2] << 16 | key[1]
            quick, full = tables.searcher.find(text, True, True), wide.find(text, True, True)
            mine += bool(quick) and max(quick, key=lambda k: quick[k].weight) == truth
            best += bool(full) and max(full, key=lambda k: full[k].weight) == truth
            whole = sum(hit.weight for hit in full.values())
            ceiling += max(hit.weight for hit in full.values()) / whole if whole else 0.0
        print(
            f"top-1, {damages} damages   n {texts}  quick {mine / texts:.4f}  without shortcuts {best / texts:.4f}"
            f"  ratio {mine / max(best, 1):.4f}  mean odds without shortcuts {ceiling / texts:.4f}"
        )


if __name__ == "__main__":
    main()
