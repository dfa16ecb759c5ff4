"""Is any text decoded within 50 ms? `python tests/benchmarks/decode_awkward.py [texts] [seed]`

Awkward texts, each met for the first time: many unreadable signs, commas that may part layers, several markings in one
line, signs without letters, plates seen from the wrong side, part numbers, long words, noise of every length up to the
longest that is read. Time is that of the processor, scaled by a fixed loop of plain Python timed beside every text, so
that a busy machine counts less; the loop and the scale stand in the output. Prints the slowest and how many of the
texts had their work limited.
"""

from __future__ import annotations

import gc
import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from decode_sample import Sampler

from whichresin.marking.decoder import decode
from whichresin.marking.load import load

LOOP = 20_000
STATED = 0.8e-3  # seconds that the loop takes on a machine of today with nothing else to do
LIMIT = 0.05
FIXED = (
    "????", "A?????????", "?P?A?6?6?-?G?F?3?0?", "P.A.6.6.-.G.F.3.0", "P A 6 6 G F 3 0", ",,,,,", "A,B,C,D,E,F",
    ">PP,PA66-GF30,_ABS_<", "PP?PA66?ABS", "PP,PA?6,A?S,P?,?E", "(((((PA)))))", "-+-+-+-+PP", "PA66-GF30 PA66-GF30",
    "PPPPPPPPPPPPPPPPPPPP", "6666666666", "GF30GF30GF30", "PA66+PA66+PA66+PA66", "nylon six glass thirty percent black",
    "0123456789 ABCDEFGHIJKLMNOPQRSTUVWXYZ", "XQXQXQXQXQXQXQXQXQXQ", "06-AP<", "8N0 807 217 B", "A-B+C/D(E)F-G+H/I",
    "PC+ABS-FR(40) 12/2004 CAV 3", "E/P E/P E/P", "PP+EPDM+PE+EVAC-TD20-FR(40)", "TPV-(EPDM+PP)-(GF10+TD20)-FR(40+30)",
)  # fmt: skip


def awkward(count: int, seed: int) -> list[str]:
    """Distinct awkward texts."""
    rng = random.Random(seed)
    sampler = Sampler(load(), seed)
    texts = list(FIXED)
    while len(texts) < count:
        base = sampler.text(sampler.composition())
        kind = len(texts) % 8
        if kind == 0:
            text = "".join("?" if rng.random() < 0.4 else c for c in base)
        elif kind == 1:
            text = ",".join(sampler.exactly(sampler.text(sampler.composition()), 1) for _ in range(rng.randint(2, 5)))
        elif kind == 2:
            text = "".join(rng.choice("PAEBSCGFTD6130?-+/(),. ") for _ in range(rng.randint(3, 60)))
        elif kind == 3:
            text = base + rng.choice(" ?,.") + sampler.exactly(sampler.text(sampler.composition()), 2)
        elif kind == 4:
            text = "".join(c + rng.choice(("", "", " ", ".", "?")) for c in base)
        elif kind == 5:
            text = sampler.exactly(base, min(4, len(base)))[::-1]
        elif kind == 6:
            text = "".join(rng.choice("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") for _ in range(rng.randint(2, 30)))
        else:
            text = sampler.exactly(base, min(3, len(base))) + rng.choice(("", "<", "(", "K"))
        texts.append(text)
    return list(dict.fromkeys(texts))


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 412
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    texts = awkward(count, seed)
    tables = load()
    decode("PA?6-GE3O", tables)  # the tables of the search are made when they are first asked
    decode("PA?6 G?E3O-FR(40", tables)
    gc.freeze()
    took, limited = [], 0
    for text in texts:
        loop = _loop()
        began = time.process_time()
        decoded = decode(text, tables)
        spent = time.process_time() - began
        took.append((spent / ((loop + _loop()) / 2 / STATED), spent, text))
        limited += decoded.cut_short
    took.sort(reverse=True)
    over = sum(scaled > LIMIT for scaled, _, _ in took)
    print(f"{len(texts)} awkward texts, {over} over {LIMIT * 1e3:.0f} ms, {limited} with limited work")
    print(f"median {took[len(took) // 2][0] * 1e3:.1f} ms; slowest:")
    for scaled, spent, text in took[:8]:
        print(f"  {scaled * 1e3:6.1f} ms (measured {spent * 1e3:.0f} ms)  {text!r}")


def _loop() -> float:
    began, row = time.process_time(), {}
    for i in range(LOOP):
        row[i & 1023] = i * 2
    return time.process_time() - began


if __name__ == "__main__":
    main()
