"""How often the tool holds back where it should: parts of a plastic that is not in the base; asserts nothing.

    python tests/benchmarks/abstaining.py [EACH] [KNOWN] [SEED] [MISFIT]

Every material is left out of the knowledge in turn, and EACH parts of it come in, so that common and rare plastics
count alike. Beside them stand KNOWN interviews with the whole base. What counts as a confident wrong answer is said
in `whichresin.training.tally.confidently_wrong`. The frontier shows other limits of strangeness on the same
interviews: what the outside gains by it, and how many known parts lose their conclusion.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace

from whichresin.knowledge.model import Model
from whichresin.session.load import load_model
from whichresin.training.misfit import Misfit, read_misfit, without, world_of
from whichresin.training.play import Played, Player, Setting
from whichresin.training.tally import confidently_wrong, ends, held_back

LIMITS = (-0.5, -0.3, 0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0, 50.0)


def known_parts(model: Model, count: int, seed: int, misfit: Misfit) -> list[Played]:
    player = Player(Setting(world_of(model, misfit, seed), seed))
    return [one for one in map(player.play, range(count)) if one.known]


def strangers(model: Model, each: int, seed: int, misfit: Misfit) -> dict[str, list[Played]]:
    """Parts of each material, held with knowledge that lacks it."""
    found, base = {}, world_of(model, misfit, seed)
    for place, material in enumerate(sorted(model.materials)):
        left_out = frozenset((material,))
        world = replace(
            base, tool=without(model, left_out), missing=left_out, misfit=replace(misfit, missing=1, strangers=1.0)
        )
        player = Player(Setting(world, seed + place))
        found[material] = [player.play(index) for index in range(each)]
    return found


def line(name: str, played: Sequence[Played]) -> None:
    cost = sum(p.minutes + p.loss for p in played) / len(played)
    said = ", ".join(f"{key.replace('_', ' ')} {share * 100:.1f} %" for key, share in ends(played).items())
    print(f"{name} ({len(played)}): {said}; cost {cost:.1f} minutes, {sum(p.answers for p in played) / len(played):.1f}"
          f" answers, polymer right {sum(p.polymer_right for p in played) / len(played) * 100:.1f} %")  # fmt: skip


def withheld(played: Sequence[Played], limit: float) -> list[Played]:
    """The same interviews under another limit; those that ended strange get their conclusion back above it."""
    found = []
    for one in played:
        if one.stop == "strange" and one.strangeness is not None and one.strangeness <= limit:
            one = replace(one, stop="not_worth", status="concluded", action=one.cell)
        elif one.status == "concluded" and one.strangeness is not None and one.strangeness > limit:
            one = replace(one, stop="strange", status="unknown", action="defer")
        found.append(one)
    return found


def main() -> None:
    numbers = [int(word) for word in sys.argv[1:4]]
    each, known, seed = [*numbers, *(12, 500, 7000)[len(numbers) :]]
    misfit = read_misfit(sys.argv[4] if len(sys.argv) > 4 else "")
    model = load_model()
    inside = known_parts(model, known, seed - 1, misfit)
    by_material = strangers(model, each, seed, misfit)
    outside = [one for played in by_material.values() for one in played]
    line("parts in the base", inside)
    line("parts outside the base", outside)
    print("limit of strangeness: outside confidently wrong, held back; known parts held back, confidently wrong")
    for limit in LIMITS:
        out, own = withheld(outside, limit), withheld(inside, limit)
        print(f"  {limit:5.1f}: {share(out, confidently_wrong)} {share(out, held_back)}; {share(own, held_back)} "
              f"{share(own, confidently_wrong)}")  # fmt: skip
    worst = sorted(by_material.items(), key=lambda pair: -sum(map(confidently_wrong, pair[1])))
    print("most often confidently wrong: " + ", ".join(
        f"{name} {sum(map(confidently_wrong, played))} of {len(played)}" for name, played in worst[:10]))  # fmt: skip
    lost: dict[str, list[Played]] = {}
    for one in inside:
        lost.setdefault(one.material, []).append(one)
    rows = [(sum(p.stop == "strange" for p in played), len(played), name) for name, played in lost.items()]
    print("known parts withheld: " + ", ".join(f"{name} {n} of {of}" for n, of, name in sorted(rows)[::-1][:10]))


def share(played: Sequence[Played], what: object) -> str:
    return f"{sum(map(what, played)) / len(played) * 100:5.1f} %"  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
