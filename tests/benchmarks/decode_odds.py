"""Can the odds be trusted? `python tests/benchmarks/decode_odds.py [texts] [seed]`

1. Calibration (expected calibration error over ten equal bins of the top reading's odds) for the stated channel:
   compositions drawn from the prior, wear drawn from the mixture of channel.yaml.
2. Stated odds against observed ones when the channel is another: only lost letters, only random letters, only extra
   ones, one and two a text. `over` is stated minus observed.
3. Top-1 against the Bayes ceiling: on a part of the grammar of at least three million compositions, every composition
   is scored by the plain forward sum over all alignments (tests/oracles/whole_scan.py), which knows no shortcut. The
   ratio is the search's share right over the share right of the scan.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

from decode_sample import Sampler
from whole_scan import Scan

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
    print(f"stated channel      n {count}  ECE {error:.4f}  stated {stated:.4f}  right {right:.4f}", flush=True)
    for kind in ("lost", "random", "extra", "look_alike", ""):
        for damages in (1, 2):
            pairs = []
            for _ in range(max(200, count // 5)):
                key = sampler.composition()
                pairs.append(told(sampler.exactly(sampler.text(key), damages, kind), key))
            error, stated, right = calibration(pairs)
            over = stated - right
            shown = f"ECE {error:.4f}  stated {stated:.4f}  right {right:.4f}  over {over:+.4f}"
            print(f"{kind or 'all kinds':11} x {damages}     n {len(pairs)}  {shown}", flush=True)
    scan = Scan(tables)
    part = scan.language
    print(f"top-1 against a scan of all {part.size:,} compositions of a part of the grammar")
    quick = Searcher(part, tables.channel)
    drawn = Sampler(tables, seed + 1, part)
    for damages in (1, 2):
        mine = best = same = 0
        ceiling = 0.0
        texts = max(20, count // 25)
        for _ in range(texts):
            key = drawn.composition()
            text = drawn.exactly(drawn.text(key), damages)
            found = quick.find(text, True, True)
            top = max(found, key=lambda k: found[k].weight) if found else -1
            want, share = scan.best(text)
            truth = key[0] << 32 | key[2] << 16 | key[1]
            mine += top == truth
            best += want == truth
            same += top == want
            ceiling += share
        print(
            f"{damages} damages  n {texts}  search {mine / texts:.4f}  scan {best / texts:.4f}"
            f"  ratio {mine / max(best, 1):.4f}  same answer {same / texts:.4f}"
            f"  mean true odds of the best {ceiling / texts:.4f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
