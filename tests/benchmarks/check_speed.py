"""How long the check takes: the whole shipped knowledge, and again after one file was saved.

    python tests/benchmarks/check_speed.py

Aims: under 1 s from the command line, under 150 ms for one changed file in `--watch`.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from whichresin.knowledge.paths import shipped
from whichresin.training.check import Memory, check

REPEATS = 7
CHANGES = (
    ("cues/grind.yaml", "lesson: ", "lesson: {} "),
    ("rules/dust.yaml", "because: ", "because: {} "),
    ("materials/polymers/pp.yaml", "name: ", "name: {} "),
)


def main() -> None:
    """Print the medians."""
    taken = []
    for _ in range(REPEATS):
        started = time.perf_counter()
        subprocess.run([sys.executable, "-m", "whichresin", "check"], check=True, capture_output=True)
        taken.append(time.perf_counter() - started)
    print(f"whichresin check, a process of its own: {statistics.median(taken) * 1000:.0f} ms")
    with tempfile.TemporaryDirectory() as folder:
        places = shipped()
        knowledge = shutil.copytree(places.knowledge, Path(folder, "knowledge"))
        shared = shutil.copytree(places.shared, Path(folder, "shared"))
        memory = Memory()
        check(knowledge=str(knowledge), shared=str(shared), memory=memory)
        for name, old, new in CHANGES:
            path, taken = Path(knowledge, name), []
            text = path.read_text(encoding="utf-8")
            for number in range(REPEATS):
                path.write_text(text.replace(old, new.format(number), 1), encoding="utf-8")
                started = time.perf_counter()
                check(knowledge=str(knowledge), shared=str(shared), memory=memory)
                taken.append(time.perf_counter() - started)
            print(f"again after a change of {name}: {statistics.median(taken) * 1000:.0f} ms")


if __name__ == "__main__":
    main()
