"""How long the check takes: from the command line, and again after one file was saved while it watches.

    python tests/benchmarks/check_speed.py

Aims: under 1 s from the command line, under 150 ms for one changed file in `--watch`. On a busy machine wall time
says little, so processor time stands beside it, best and median, and the ratio of the medians to a peer in the same
run: PyYAML's C loader reading the same files once, with all that PyYAML makes of them. Measure without
PYTHONDONTWRITEBYTECODE: a program that is compiled anew each time takes a second longer.
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

REPEATS = 9
# One change of each kind of file: what stands there, and what is put there ({} is another text each time).
CHANGES = (
    ("knowledge/cues/grind.yaml", "lesson: ", "lesson: {} "),
    ("knowledge/cues/grind.yaml", "minutes: 2", "minutes: 2.{}"),
    ("knowledge/rules/dust.yaml", "because: ", "because: {} "),
    ("knowledge/rules/density-water.yaml", "below: 0.985", "below: 0.98{}"),
    ("knowledge/materials/polymers/pp.yaml", "name: ", "name: {} "),
    ("knowledge/materials/polymers/pp.yaml", "share: ", "share: 1{}"),
    ("knowledge/materials/fillers/gf.yaml", "low: 2", "low: 2.4{}"),
    ("knowledge/parts/body.yaml", "name: ", "name: {} "),
    ("knowledge/markings/polymers.yaml", "\n", "\n# {}\n"),
    ("knowledge/repair/processes/fusion_weld.yaml", "name: ", "name: {} "),
    ("knowledge/repair/figures.yaml", "usual: ", "usual: 1{}"),
    ("shared/cautions.yaml", "text: ", "text: {} "),
    ("shared/sources.yaml", ": ", ": {} "),
    ("shared/words.yaml", "usually: 0.", "usually: 0.8{}"),
    ("shared/lists.yaml", "thermoplastic: ", "thermoplastic: {} "),
)
SHOP_FILES = 30


def main() -> None:
    """Print the figures."""
    folders = (shipped().knowledge, shipped().shared)
    texts = [path.read_text(encoding="utf-8") for folder in folders for path in sorted(Path(folder).rglob("*.yaml"))]
    peer = told("PyYAML reads the same files", lambda: [yaml.load(text, yaml.CBaseLoader) for text in texts])
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WHICHRESIN_CACHE"] = str(Path(folder, "cache"))
        shop = a_shop(Path(folder, "shop"))
        for what, paths in (("the shipped knowledge", []), (f"a shop's {SHOP_FILES} files over it", [str(shop)])):
            command = [sys.executable, "-m", "whichresin", "check", *paths]
            told(f"whichresin check --fresh: {what}", process([*command, "--fresh"]), peer)
            told(f"whichresin check: {what}, nothing changed since", process(command), peer)
        knowledge = shutil.copytree(shipped().knowledge, Path(folder, "knowledge"))
        shared = shutil.copytree(shipped().shared, Path(folder, "shared"))
        for paths in ([], [str(shop)]):
            memory = Memory()

            def again(paths: list[str] = paths, memory: Memory = memory) -> None:
                check(paths, knowledge=str(knowledge), shared=str(shared), memory=memory)

            again()
            changes = (("shop/cues/grind.yaml", "minutes: 2", "minutes: 2.{}"),) if paths else CHANGES
            for name, old, new in changes:
                told(f"again after {name}: {old!r} -> {new!r}", again, peer, saving(Path(folder, name), old, new))


def a_shop(root: Path) -> Path:
    """A folder with files of the shipped knowledge, to be laid over it."""
    names = [path for kind in ("cues", "rules") for path in sorted(Path(shipped().knowledge, kind).rglob("*.yaml"))]
    chosen = [path for path in names if path.name == "grind.yaml"] + names
    for path in dict.fromkeys(chosen):
        if len(list(root.rglob("*.yaml"))) < SHOP_FILES:
            to = root / path.relative_to(shipped().knowledge)
            to.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(path, to)
    return root


def process(command: list[str]) -> Callable[[], object]:
    """Runs a command that finds no error."""
    return lambda: subprocess.run(command, check=True, capture_output=True)


def saving(path: Path, old: str, new: str) -> Callable[[], None]:
    """What saves the file with another change at each call."""
    text, numbers = path.read_text(encoding="utf-8"), iter(range(1, REPEATS + 1))
    assert old in text, f"{old!r} does not stand in {path.name}"

    def save() -> None:
        path.write_text(text.replace(old, new.format(next(numbers)), 1), encoding="utf-8")

    return save


def processor() -> float:
    """Processor time so far in seconds, children included."""
    return time.process_time() + sum(os.times()[2:4])


def told(what: str, do: Callable[[], object], peer: float = 0.0, before: Callable[[], object] | None = None) -> float:
    """Print the times and return the median of processor time in seconds, children included."""
    wall, own = [], []
    for _ in range(REPEATS):
        if before is not None:
            before()
        started, used = time.perf_counter(), processor()
        do()
        wall.append(time.perf_counter() - started)
        own.append(processor() - used)
    ratio = f", {statistics.median(own) / peer:.2f} x PyYAML" if peer else ""
    figures = [f"{min(times) * 1000:.0f} ({statistics.median(times) * 1000:.0f})" for times in (own, wall)]
    print(f"{what}: {figures[0]} ms of processor time, {figures[1]} ms by the clock{ratio}", flush=True)
    return statistics.median(own)


if __name__ == "__main__":
    main()
