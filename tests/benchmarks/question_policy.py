"""What the choice of questions costs, against the exact optimum and against other ways to ask; asserts nothing.

    python tests/benchmarks/question_policy.py [INTERVIEWS] [SMALL_MODELS] [POLICIES]

Small: seeded random models with four choice cues, solved exactly by dynamic programming; the expected cost
(questions and wrong calls, minutes) of the tool's own choice is worked out exactly too, over every answer.
Large: the shipped knowledge, the same simulated parts and people for every policy. All policies weigh the
answers alike; the others stop when acting is expected to cost less than a threshold, which is tuned on other
interviews (another seed) for each policy by itself. Differences are paired, with their standard error.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "belief"))
sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

from exact_policy import Game
from small_models import random_model

from whichresin.belief.posterior import BeliefState
from whichresin.belief.stopping import choose
from whichresin.knowledge.model import Model
from whichresin.session.load import load_model
from whichresin.training.play import Played
from whichresin.training.simulate import Order, simulate

STOPS = (10.0, 20.0, 35.0, 50.0, 65.0, 80.0, 95.0)  # minutes tried as the others' stop
TUNING_SEED, SEED = 501, 502
OTHERS = ("chart", "gain", "random")


def small(count: int) -> None:
    """Ratio of the tool's expected cost to the exact optimum over random small models."""
    ratios = []
    for seed in range(count):
        rng = random.Random(seed)
        model = random_model(
            seed + 900, compounds=rng.randint(5, 8), cues=4, cells=rng.randint(3, 4), density=False, set_cue=False,
            values=(2, 3), splits=False,
        )  # fmt: skip
        game = Game(model)

        def own(state: BeliefState, model: Model = model, game: Game = game) -> str:
            chosen = choose(model, state, [c.id for c in game.cues], workspace=game.work)
            return chosen.proposal.cue if chosen.proposal else ""

        ratios.append(game.cost(own) / game.optimum())
    ratios.sort()
    mean = sum(ratios) / len(ratios)
    print(
        f"small models, {count}: expected cost / exact optimum: mean {mean:.4f}, "
        f"median {ratios[len(ratios) // 2]:.4f}, 95th percentile {ratios[int(0.95 * (len(ratios) - 1))]:.4f}, "
        f"worst {ratios[-1]:.4f}"
    )


def cost(played: Sequence[Played]) -> float:
    return sum(p.minutes + p.loss for p in played) / len(played)


def large(model: Model, count: int, allow: tuple[str, ...], policies: Sequence[str] = OTHERS) -> None:
    """The shipped knowledge: the tool's own choice against the others, each with its own tuned stop."""
    print("shipped knowledge,", "burn tests and solvent allowed" if allow else "no burn test, no solvent")
    own = simulate(model, Order(count, SEED, allow=allow))
    _line("own", "", own, own)
    for policy in policies:
        tuned = {
            stop: cost(
                simulate(model, Order(max(count // 2, 1), TUNING_SEED, allow=allow, policy=policy, stop_below=stop))
            )
            for stop in STOPS
        }
        best = min(tuned, key=lambda stop: tuned[stop])
        print(f"  {policy}: minutes at each stop tried {({stop: round(spent, 1) for stop, spent in tuned.items()})}")
        held = simulate(model, Order(count, SEED, allow=allow, policy=policy, stop_below=best))
        _line(policy, f"stop below {best:g}", held, own)


def _line(name: str, note: str, held: Sequence[Played], own: Sequence[Played]) -> None:
    saved = [(p.minutes + p.loss) - (q.minutes + q.loss) for p, q in zip(held, own, strict=True)]
    mean = sum(saved) / len(saved)
    error = math.sqrt(sum((s - mean) ** 2 for s in saved) / max(len(saved) - 1, 1) / len(saved))
    share = mean / cost(held)
    n = len(held)
    print(
        f"  {name:7} {note:14} {cost(held):6.1f} minutes ({sum(p.minutes for p in held) / n:5.1f} asking, "
        f"{sum(p.loss for p in held) / n:5.1f} wrong calls), {sum(p.answers + p.unsure for p in held) / n:4.1f} "
        f"questions, hazard {sum(p.hazard for p in held) / n:4.1f}, cell right "
        f"{sum(p.cell_right for p in held) / n * 100:4.1f} %; own is {share * 100:+5.1f} % cheaper "
        f"({mean:+.1f} +-{error:.1f})"
    )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    policies = sys.argv[3].split(",") if len(sys.argv) > 3 else OTHERS
    small(int(sys.argv[2]) if len(sys.argv) > 2 else 60)
    shipped = load_model()
    # No conclusion is withheld here: that has its price whoever asks, and is measured in abstaining.py.
    standing = replace(shipped.observer, strange_withholds=1000.0, strange_withholds_for={}, strange_stake_minutes=0.0)
    model = replace(shipped, observer=standing)
    large(model, count, (), policies)
    large(model, count, ("burn", "solvent"), policies)


if __name__ == "__main__":
    main()
