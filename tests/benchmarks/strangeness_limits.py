"""How strange each polymer's own parts are, and the limits that follow; prints lines for shared/observer.yaml.

    python tests/benchmarks/strangeness_limits.py [EACH] [SEED] [SHARE]

EACH parts of every polymer come in, all of them in the base; whole interviews, with every conclusion let stand. The
own limit of a polymer is the mean strangeness of its own parts, plus as many spreads as leave SHARE of a normal above.
The spread is pooled over the polymers, because that of a few parts is too rough. Half of it is added to a level that is
the same for all: polymers that are strange by nature keep most of their conclusions, and common ones are not withheld
more than they need be.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from math import sqrt
from statistics import NormalDist, fmean

from whichresin.session.load import load_model
from whichresin.training.misfit import Misfit, World, world_of
from whichresin.training.play import Player, Setting

LEVEL, OWN_COUNTS = 0.27, 0.5
FEWEST = 4  # conclusions; a polymer with fewer keeps the common limit


def main() -> None:
    numbers = [float(word) for word in sys.argv[1:]]
    each, seed, share = [*numbers, *(10.0, 9000.0, 0.15)[len(numbers) :]]
    shipped = load_model()
    standing = replace(shipped.observer, strange_withholds=1000.0, strange_withholds_for={}, strange_stake_minutes=0.0)
    model = replace(shipped, observer=standing)
    base, above = world_of(model, Misfit(), int(seed)), NormalDist().inv_cdf(1.0 - share)
    own: dict[str, list[float]] = {}
    for place, material in enumerate(sorted(model.materials)):
        # Nothing is taken out of the tool's knowledge: `missing` only says which parts come in.
        world: World = replace(base, missing=frozenset((material,)), misfit=Misfit(missing=1, strangers=1.0))
        player = Player(Setting(world, int(seed) + place))
        found = [one.strangeness for one in map(player.play, range(int(each))) if one.strangeness is not None]
        own[material] = found
        print(f"# {material}: {len(found)} conclusions, mean {fmean(found) if found else 0.0:.2f}", flush=True)
    every = [one for found in own.values() for one in found]
    apart = sum((one - fmean(found)) ** 2 for found in own.values() for one in found)
    spread = sqrt(apart / (len(every) - sum(map(bool, own.values()))))
    told = {name: fmean(found) for name, found in own.items() if len(found) >= FEWEST}
    limits = {name: LEVEL + OWN_COUNTS * (mean + above * spread) for name, mean in told.items()}
    print(f"# {len(every)} conclusions, pooled spread {spread:.2f}")
    print(f"strange_withholds: {LEVEL + OWN_COUNTS * (fmean(every) + above * spread):.2f}")
    print("strange_withholds_for:\n  {" + ", ".join(f"{name}: {limit:.2f}" for name, limit in limits.items()) + "}")


if __name__ == "__main__":
    main()
