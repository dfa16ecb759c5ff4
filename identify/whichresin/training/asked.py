"""Which cues a number of simulated interviews ask, and what stands in the way of the others."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from whichresin.knowledge.model import Cue, Model

from .checks.expectations import told_bits
from .misfit import AS_THE_TABLES_SAY, world_of
from .play import Move, Player, Setting, Turn, own_policy


@dataclass(frozen=True, slots=True)
class Asked:
    """How many of the interviews asked a cue; `why` says in words why none did."""

    cue: str
    interviews: int
    why: str


def asked(model: Model, interviews: int, seed: int = 1, allow: tuple[str, ...] = ()) -> tuple[Asked, ...]:
    """Every cue that is evidence, most asked first; those never asked come last, each with the reason."""
    counts: Counter[str] = Counter()
    seen: set[str] = set()
    own = own_policy("decision", ())

    def listening(at: Turn) -> Move:
        move = own(at)
        seen.update((move[0],) if move[0] else ())
        return move

    player = Player(Setting(world_of(model, AS_THE_TABLES_SAY, seed), seed, allow=allow), listening)
    for index in range(interviews):
        seen.clear()
        player.play(index)
        counts.update(seen)
    cues = [cue for cue in model.cues.values() if cue.table is not None or cue.physics]
    found = [Asked(cue.id, counts[cue.id], "" if counts[cue.id] else _why(model, cue, allow)) for cue in cues]
    return tuple(sorted(found, key=lambda one: (-one.interviews, one.cue)))


def _why(model: Model, cue: Cue, allow: tuple[str, ...]) -> str:
    if not cue.askable:
        return "it may be told and is never proposed"
    if cue.opt_in and cue.opt_in not in allow:
        return f"it needs the user's leave for {cue.opt_in}"
    if cue.locked:
        return "it is locked, and no rule unlocked it"
    if cue.kind == "liquids":
        return "floats in made liquids are proposed one by one, each with its recipe"
    if cue.physics:
        return "another test of its weight was worth more"
    bits = told_bits(model, cue)
    return f"other cues were worth more: it tells {bits:.2f} bit and takes {cue.minutes:g} min"
