"""Whether stated confidence is met, as the tables say and in worlds that are off from them; asserts nothing.

    python tests/benchmarks/calibration.py [INTERVIEWS] [JOBS] [MISFIT...]

One line a world: ECE of class and polymer with its sampling error and with what would show if all were exact, how
far it is too sure, accuracy, and how parts outside the knowledge ended. `whichresin simulate` gives the full
report of one world. Fewer than 5,000 interviews cannot show an ECE of 0.02.
"""

from __future__ import annotations

import sys

from whichresin.session.load import load_model
from whichresin.training.misfit import read_misfit
from whichresin.training.simulate import Order, simulate
from whichresin.training.tally import report

SEED = 11
WORLDS = ("", "errs=1.5", "bursts=0.1", "errs=1.5,bursts=0.1", "jitter=0.2", "missing=5", "outside=0.1", "painted=0.2")


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    jobs = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    model = load_model()
    for world in sys.argv[3:] or WORLDS:
        found = report(simulate(model, Order(count, SEED, read_misfit(world)), jobs))
        print(f"{world or 'as the tables say'}: {count} interviews")
        for name, one in (("class", found.klass), ("cell", found.cell), ("polymer", found.polymer)):
            print(
                f"  {name:8} ECE {one.ece:.4f} +-{one.ece_error:.4f} (exact would show {one.ece_if_exact:.4f}), "
                f"too sure by {one.gap:+.4f}"
            )
        said = found.as_json()
        right, outside = said["accuracy"], said["outside"]
        print(f"  right: class {right['class']:.3f}, cell {right['cell']:.3f}, polymer {right['polymer']:.3f}")
        print("  outside the knowledge: " + ", ".join(f"{key} {value}" for key, value in outside.items()), flush=True)


if __name__ == "__main__":
    main()
