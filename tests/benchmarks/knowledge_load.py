"""How fast the knowledge is there: from the cache, and from the files, against a bare interpreter in the same run.

Run it: `python tests/benchmarks/knowledge_load.py [--json]`. Processor time of this process, best of several
rounds, so that a busy machine does no harm. The yardstick is the processor time of an interpreter that prints one
line. `cached` and `files` are calls of `load()` with its modules imported; `start` is a new process that imports
the loader and loads from the cache, all in.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable

from whichresin.knowledge import cache, store
from whichresin.knowledge.load import load

ROUNDS = 15


def best_ms(act: Callable[[], object], rounds: int) -> float:
    """Least processor time of this process over some rounds, ms."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        act()
        times.append(time.process_time() - start)
    return 1000 * min(times)


def best_child_ms(code: str, rounds: int) -> float:
    """Least processor time of a new interpreter that runs some code, ms."""
    times = []
    for _ in range(rounds):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return 1000 * min(times)


def measure() -> dict[str, float]:
    """All figures, ms; sizes of what was loaded."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WHICHRESIN_CACHE"] = folder
        store.DOUBT_NS = 0  # files that were changed a moment ago count as settled here
        model = load().model
        if model is None:
            raise SystemExit("the shipped knowledge has errors; run: whichresin check")
        settled = "from whichresin.knowledge import store; store.DOUBT_NS = 0\n"
        return {
            "compounds": len(model.compounds),
            "cues": len(model.cues),
            "rules": len(model.rules),
            "format": cache.FORMAT,
            "bare_ms": best_child_ms("print(1)", ROUNDS),
            "cached_ms": best_ms(load, ROUNDS),
            "files_ms": best_ms(lambda: load(use_cache=False), 3),
            "start_ms": best_child_ms(settled + "from whichresin.knowledge.load import load; load()", ROUNDS),
        }


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--json", action="store_true", help="one JSON document")
    figures = measure()
    if parser.parse_args().json:
        print(json.dumps({"schema": 1, **figures}))
        return
    print(f"{figures['compounds']:.0f} compounds, {figures['cues']:.0f} cues, {figures['rules']:.0f} rules")
    for name in ("bare", "cached", "files", "start"):
        value = figures[f"{name}_ms"]
        print(f"{name:8s}{value:8.1f} ms {value / figures['bare_ms']:7.2f} x bare interpreter")


if __name__ == "__main__":
    main()
