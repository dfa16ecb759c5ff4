"""How fast is decoding? `python tests/benchmarks/decode_speed.py [texts] [seed]`

Readings a second of the search on one core, pure Python: texts never met before (each distinct), the same texts a
second time with only the parts remembered, and a stream as it comes with repeats. Beside it, in the same run, a scan
with rapidfuzz over an enumerated list of compositions.
"""

from __future__ import annotations

import gc
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from decode_sample import Sampler
from rapidfuzz import process
from rapidfuzz.distance import OSA

from whichresin.marking.load import load
from whichresin.marking.search import Searcher

LISTED = 500_000


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    started = time.perf_counter()
    tables = load()
    language = tables.language
    print(f"tables and grammar ready after {time.perf_counter() - started:.2f} s; {language.size:,} compositions")
    gc.freeze()
    sampler = Sampler(tables, seed)
    listed: dict[str, None] = {}
    for damages in (0, 1, 2):
        keys = [sampler.composition() for _ in range(count)]
        texts = [sampler.exactly(sampler.text(key), damages) for key in keys]
        distinct = list(dict.fromkeys(texts))
        searcher = Searcher(language, tables.channel)
        slowest = 0.0
        began = time.process_time()
        for text in distinct:
            at = time.process_time()
            searcher.find(text, True, True)
            slowest = max(slowest, time.process_time() - at)
        fresh = len(distinct) / (time.process_time() - began)
        began = time.process_time()
        for text in distinct:
            searcher.find(text, True, True)
        again = len(distinct) / (time.process_time() - began)
        stream = Searcher(language, tables.channel)
        began = time.process_time()
        right = 0
        for text, key in zip(texts, keys, strict=True):
            found = stream.search(text, True, True)
            truth = key[0] << 32 | key[2] << 16 | key[1]
            right += bool(found) and max(found, key=lambda k: found[k].weight) == truth
        flow = count / (time.process_time() - began)
        print(
            f"{damages} damages: {len(distinct)} distinct of {count}; "
            f"new {fresh:,.0f}/s, parts remembered {again:,.0f}/s, "
            f"stream {flow:,.0f}/s; slowest {slowest * 1e3:.0f} ms; top-1 {right / count:.3f}"
        )
    while len(listed) < LISTED:
        listed[sampler.text(sampler.composition())] = None
        if len(listed) % 1000 == 0:
            for filler in language.fillers[:120]:
                for head in language.heads[: LISTED // 100]:
                    listed[head.text + filler.text] = None
                    if len(listed) >= LISTED:
                        break
    strings = list(listed)[:LISTED]
    for damages in (1, 2):
        keys = [sampler.composition() for _ in range(30)]
        began, right = time.process_time(), 0
        for key in keys:
            text = sampler.exactly(sampler.text(key), damages)
            hit = process.extractOne(text, strings, scorer=OSA.normalized_similarity)
            right += hit is not None and hit[0] == sampler.text(key)
        rate = len(keys) / (time.process_time() - began)
        print(
            f"rapidfuzz over {len(strings):,} strings, {damages} damages: {rate:,.1f}/s; top-1 {right / len(keys):.3f}"
        )


if __name__ == "__main__":
    main()
