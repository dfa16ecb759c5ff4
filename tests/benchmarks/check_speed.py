"""How long the check takes: the whole shipped knowledge, and again after one file was saved.

    python tests/benchmarks/check_speed.py

Aims: under 1 s from the command line, under 150 ms for one changed file in `--watch`. On a busy machine wall time
says little, so processor time stands beside it, and the ratio to a peer in the same run: PyYAML's C loader reading
the same files once, with all that PyYAML makes of them.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

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
    folders = (shipped().knowledge, shipped().shared)
    texts = [path.read_text(encoding="utf-8") for folder in folders for path in sorted(Path(folder).rglob("*.yaml"))]
    peer = told("PyYAML reads the same files", lambda: [yaml.load(text, yaml.CBaseLoader) for text in texts])
    command = [sys.executable, "-m", "whichresin", "check"]
    told(
        "whichresin check, a process of its own", lambda: subprocess.run(command, check=True, capture_output=True), peer
    )
    with tempfile.TemporaryDirectory() as folder:
        knowledge = shutil.copytree(shipped().knowledge, Path(folder, "knowledge"))
        shared = shutil.copytree(shipped().shared, Path(folder, "shared"))
        memory = Memory()

        def again() -> None:
            check(knowledge=str(knowledge), shared=str(shared), memory=memory)

        again()
        for name, old, new in CHANGES:
            told(f"again after a change of {name}", again, peer, saving(Path(knowledge, name), old, new))


def saving(path: Path, old: str, new: str) -> Callable[[], None]:
    """What saves the file with another change at each call."""
    text, numbers = path.read_text(encoding="utf-8"), iter(range(REPEATS))

    def save() -> None:
        path.write_text(text.replace(old, new.format(next(numbers)), 1), encoding="utf-8")

    return save


def told(what: str, do: Callable[[], object], peer: float = 0.0, before: Callable[[], object] | None = None) -> float:
    """Print and return the median of processor time in seconds, children included."""
    wall, own = [], []
    for _ in range(REPEATS):
        if before is not None:
            before()
        started, used = time.perf_counter(), sum(os.times()[:4])
        do()
        wall.append(time.perf_counter() - started)
        own.append(sum(os.times()[:4]) - used)
    mid, used = statistics.median(wall), statistics.median(own)
    ratio = f", {used / peer:.1f} x PyYAML" if peer else ""
    print(f"{what}: {mid * 1000:.0f} ms, {used * 1000:.0f} ms of processor time{ratio}")
    return used


if __name__ == "__main__":
    main()
