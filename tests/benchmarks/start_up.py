"""How long until the first question is on the screen, as a ratio to a bare interpreter that prints a line.

    python tests/benchmarks/start_up.py

All are started in turn in the same run; the clock stops when the line has been read from the pipe. Beside the bare
interpreter stands a package of one line started with `-m`, as we are: what that way of starting costs by itself.
The later figures are until the first question that needs knowledge (after two empty lines), with the compiled
knowledge cached, and without a cache.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 40
FIRST, LATER = b"What is the part?", b"1. "


def seconds_until(command: list[str], wanted: bytes, typed: bytes = b"", env: dict[str, str] | None = None) -> float:
    """Wall time from start until `wanted` has been printed; then the process is ended."""
    started = time.perf_counter()
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=env
    ) as process:
        assert process.stdin and process.stdout
        process.stdin.write(typed)
        process.stdin.flush()
        seen = b""
        while wanted not in seen:
            part = os.read(process.stdout.fileno(), 65536)
            if not part:
                raise SystemExit(f"{command} ended without {wanted!r}")
            seen += part
        elapsed = time.perf_counter() - started
        process.kill()
    return elapsed


def main() -> None:
    """Measure and print."""
    bare = [sys.executable, "-c", f"print({FIRST.decode()!r}, flush=True)"]
    ours = [sys.executable, "-m", "whichresin", "interview", "--plain"]
    with tempfile.TemporaryDirectory() as folder:
        warm = {**os.environ, "WHICHRESIN_CACHE": folder, "WHICHRESIN_DATA": folder, "PYTHONPATH": folder}
        package = Path(folder) / "prints_one_line"
        package.mkdir()
        (package / "__init__.py").write_text("")
        (package / "__main__.py").write_text(f"print({FIRST.decode()!r}, flush=True)\n")
        empty_package = [sys.executable, "-m", package.name]
        seconds_until(ours, LATER, b"\n\n", warm)
        names = ("bare", "package", "first", "later", "cold", "cold_first")
        times: dict[str, list[float]] = {name: [] for name in names}
        for _ in range(ROUNDS):
            times["bare"].append(seconds_until(bare, FIRST))
            times["package"].append(seconds_until(empty_package, FIRST, env=warm))
            times["first"].append(seconds_until(ours, FIRST, env=warm))
        for _ in range(8):
            times["later"].append(seconds_until(ours, LATER, b"\n\n", warm))
        for _ in range(3):
            with tempfile.TemporaryDirectory() as empty:
                cold = {**os.environ, "WHICHRESIN_CACHE": empty}
                times["cold_first"].append(seconds_until(ours, FIRST, env=cold))
                times["cold"].append(seconds_until(ours, LATER, b"\n\n", cold))
    middle = {name: statistics.median(values) for name, values in times.items()}
    base = middle["bare"]
    print(f"bare interpreter, one line:           {base * 1000:7.1f} ms")
    for name, label in (
        ("package", "a package that prints one line:"),
        ("first", "first question, cache warm:"),
        ("cold_first", "first question, no cache:"),
        ("later", "first question by knowledge, warm:"),
        ("cold", "first question by knowledge, no cache:"),
    ):
        print(f"{label:<38}{middle[name] * 1000:7.1f} ms  {middle[name] / base:5.2f} x")


if __name__ == "__main__":
    main()
