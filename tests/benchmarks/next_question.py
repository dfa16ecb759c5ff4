"""How long the next question takes, over whole simulated interviews; prints figures, asserts nothing.

    python tests/benchmarks/next_question.py [INTERVIEWS] [PICTURE.svg]

The peer, run in the same process on the same beliefs, is the plain way: one-step value of information over the
dense table, each answer's posterior computed compound by compound. Growth is measured on invented bases of up
to 10 times the compounds and 5 times the cues, as the slope of log time over log table cells. Times are
processor time of this process, so that a busy machine disturbs them less; beside every choice a fixed loop of plain
Python is timed, and the figures are given in such loops too. PICTURE.svg is written with the growth.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "belief"))

from growth_picture import Point, fitted, growth_picture
from small_models import shop_like_model

from whichresin.belief.decision import action_losses, part_masses, target_of
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import BeliefState, Workspace, weigh
from whichresin.belief.questions import can_be_ranked, cost_of
from whichresin.belief.sampling import draw_answer, draw_bench
from whichresin.belief.stopping import choose
from whichresin.knowledge.liquids import shipped_shelf
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.physics.liquids import Bench
from whichresin.session.designed import liquids_at

LOOPS, LOOP = 120, [0.5 * k for k in range(300)]


def fixed_loop() -> float:
    """36,000 products added up: 1.9 to 2 ms at the usual pace of the small machine that README was measured on."""
    return sum(sum([a * b for a, b in zip(LOOP, LOOP, strict=True)]) for _ in range(LOOPS))


def peer(model: Model, state: BeliefState, candidates: list[str]) -> dict[str, float]:
    """One-step worth of every candidate, from the dense table and the full loss table."""
    target, weights, worth = target_of(model), state.belief.compounds, {}
    now = min(action_losses(target, part_masses(target, weights)))
    for name in candidates:
        cue = model.cues[name]
        if cue.table is None or name in state.answered:
            continue
        after = 0.0
        for value in range(len(cue.values)):
            seen = [w * cue.table.rows[r][value] for w, r in zip(weights, cue.table.row_of, strict=True)]
            after += min(action_losses(target, part_masses(target, seen)))
        worth[name] = now - after - cost_of(model, cue)
    return worth


def timed(work: Callable[[], object]) -> float:
    """Milliseconds of processor time."""
    start = time.process_time()
    work()
    return (time.process_time() - start) * 1e3


def quantile(values: list[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def asked_of(model: Model) -> list[str]:
    return [c.id for c in model.cues.values() if can_be_ranked(c) and not c.locked and c.topic not in ("gate", "part")]


def interviews(model: Model, count: int, target: str, shop: tuple[str, ...], longest: int = 12) -> None:
    """Whole interviews, each question answered by a simulated observer, past the stop up to `longest`."""
    rng, candidates = random.Random(1), asked_of(model)
    weighing, choosing, making, plain, loops = [], [], [], [], []
    made = liquids_at(shipped_shelf(), Bench())
    for _ in range(count):
        bench, told, work = draw_bench(model, rng.random), [], Workspace()
        while len(told) < longest:
            weighing.append(timed(lambda told=told, work=work: weigh(model, told, workspace=work)))
            state = weigh(model, told, workspace=work)
            choosing.append(
                timed(lambda state=state, work=work: choose(model, state, candidates, target, shop, workspace=work))
            )
            loops.append(timed(fixed_loop))
            making.append(
                timed(
                    lambda state=state, work=work: choose(
                        model, state, candidates, target, shop, workspace=work, liquids=lambda: made
                    )
                )
            )
            if len(told) % 3 == 0:
                plain.append(timed(lambda state=state: peer(model, state, candidates)))
            ranked = choose(model, state, candidates, target, shop, workspace=work).ranked
            if not ranked:
                break
            name = ranked[0].cue
            told.append(Observation(name, draw_answer(bench, model.cues[name], rng.random)))
    print(
        f"  {target:8} {'with a welder' if shop else '':13} choose median {quantile(choosing, 0.5):5.2f} ms, "
        f"p99 {quantile(choosing, 0.99):5.2f} ms; with float liquids to be made {quantile(making, 0.5):5.2f} ms, "
        f"p99 {quantile(making, 0.99):5.2f} ms; posterior median {quantile(weighing, 0.5):.2f} ms; "
        f"plain {quantile(plain, 0.5):.1f} ms: ratio {quantile(choosing, 0.5) / quantile(plain, 0.5):.2f}"
    )
    in_loops = [took / loop for took, loop in zip(choosing, loops, strict=True)]
    print(
        f"           in fixed loops of {quantile(loops, 0.5):.2f} ms: median {quantile(in_loops, 0.5):.2f}, "
        f"p99 {quantile(in_loops, 0.99):.2f}"
    )


def growth(picture: Path | None) -> None:
    """Time of a question against table cells, by least squares on logarithms: the first, and all on the way."""
    first: list[Point] = []
    later: list[Point] = []
    for materials, cues in ((60, 44), (120, 44), (60, 110), (300, 110), (600, 220)):
        model = shop_like_model(materials, cues)
        cells = len(model.compounds) * sum(len(c.values) for c in model.cues.values())
        opening, mean = course(model)
        first.append((cells, opening))
        later.append((cells, mean))
        print(
            f"  {len(model.compounds):5} compounds x {len(model.cues):3} cues: {cells:8} cells, "
            f"first {opening:7.1f} ms, mean of seven {mean:7.1f} ms"
        )
    lines = [("first question", first, fitted(first)), ("mean of the first seven", later, fitted(later))]
    for name, points, (slope, _) in lines:
        print(f"  {name}: growth exponent {slope:.2f} (1 is linear in table cells), over {len(points)} bases")
    if picture is not None:
        picture.write_text(growth_picture(lines), encoding="utf-8")
        print(f"  drawn in {picture}")


def course(model: Model, asked: int = 7) -> tuple[float, float]:
    """Milliseconds of the first choice, and the mean of the first `asked` along one simulated interview; best of 3."""
    rng, candidates, work = random.Random(2), asked_of(model), Workspace()
    bench, told, took = draw_bench(model, rng.random), [], []
    while len(told) < asked:
        state = weigh(model, told, workspace=work)
        choose(model, state, candidates, workspace=work)
        took.append(min(timed(lambda s=state: choose(model, s, candidates, workspace=work)) for _ in range(3)))
        ranked = choose(model, state, candidates, workspace=work).ranked
        told.append(Observation(ranked[0].cue, draw_answer(bench, model.cues[ranked[0].cue], rng.random)))
    return took[0], sum(took) / len(took)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    picture = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    shipped = load().model
    bases = [("invented base", shop_like_model())]
    if shipped is not None:
        bases.insert(0, ("shipped knowledge", shipped))
    for name, model in bases:
        print(f"{name}: {len(model.compounds)} compounds, {len(asked_of(model))} cues to choose from")
        for target, shop in (("decision", ()), ("decision", ("welder",)), ("polymer", ())):
            interviews(model, count, target, shop)
    print("growth of an invented base")
    growth(picture)


if __name__ == "__main__":
    main()
