"""Simulated interviews held with two sets of knowledge on the same parts: what a change does on the whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from whichresin.knowledge.model import Cue, Model, PartKind

from .misfit import AS_THE_TABLES_SAY, World, world_of
from .play import Played, Player, Setting
from .tally import mean

LISTED = 10  # interviews that end otherwise, at most so many are kept


@dataclass(frozen=True, slots=True)
class Ended:
    """One interview that ends otherwise."""

    index: int
    material: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PlayedBoth:
    """Means before and after, and how many interviews end otherwise."""

    interviews: int
    seed: int
    before: Mapping[str, float]
    after: Mapping[str, float]
    otherwise: int
    listed: tuple[Ended, ...]


def compare_played(old: Model, new: Model, interviews: int, seed: int = 1) -> PlayedBoth:
    """Parts and answers are drawn as the new knowledge has them; each tool holds the interviews by itself."""
    runs = []
    for tool in (old, new):
        world = replace(world_of(new, AS_THE_TABLES_SAY, seed), true=truth_for(tool, new), tool=tool)
        player = Player(Setting(_known(world), seed))
        runs.append([player.play(index) for index in range(interviews)])
    pairs = [(a, b) for a, b in zip(*runs, strict=True) if _end(a) != _end(b)]
    listed = tuple(Ended(b.index, b.material, _end(a), _end(b)) for a, b in pairs[:LISTED])
    return PlayedBoth(interviews, seed, _means(runs[0]), _means(runs[1]), len(pairs), listed)


def truth_for(tool: Model, truth: Model) -> Model:
    """`truth` with the cues and part kinds that `tool` asks by: its own where `truth` has none with these answers."""
    cues = {
        id: truth.cues[id] if _alike(cue, truth.cues.get(id)) else _moved(cue, tool, truth)
        for id, cue in tool.cues.items()
    }
    parts = {id: truth.parts.get(id) or _tilted(part, tool, truth) for id, part in tool.parts.items()}
    return replace(truth, cues=cues, parts=parts)


def _known(world: World) -> World:
    return replace(world, missing=frozenset(world.true.materials.keys() - world.tool.materials.keys()))


def _alike(cue: Cue, other: Cue | None) -> bool:
    if other is None or (cue.kind, cue.physics, cue.table is None) != (other.kind, other.physics, other.table is None):
        return False
    return [value.id for value in cue.values] == [value.id for value in other.values]


def _moved(cue: Cue, tool: Model, truth: Model) -> Cue:
    """The tool's cue with a row for each compound of the truth; one that the tool lacks answers as none of these."""
    if cue.table is None:
        return cue
    row = {compound.id: index for compound, index in zip(tool.compounds, cue.table.row_of, strict=True)}
    rows = tuple(row.get(compound.id, cue.table.row_of[-1]) for compound in truth.compounds)
    return replace(cue, table=replace(cue.table, row_of=rows))


def _tilted(part: PartKind, tool: Model, truth: Model) -> PartKind:
    tilt = {compound.id: times for compound, times in zip(tool.compounds, part.tilt, strict=True)}
    return replace(part, tilt=tuple(tilt.get(compound.id, 1.0) for compound in truth.compounds))


def _end(one: Played) -> str:
    return (
        f"{one.cell}, treated as {one.action}, {one.polymer} {one.polymer_p:.2f}, {one.answers + one.unsure} questions"
    )


def _means(played: list[Played]) -> dict[str, float]:
    return {
        "cell": mean(played, lambda p: p.cell_right),
        "polymer": mean(played, lambda p: p.polymer_right),
        "wrong_actions": mean(played, lambda p: p.wrong),
        "questions": mean(played, lambda p: p.answers + p.unsure),
        "cost_minutes": mean(played, lambda p: p.minutes + p.loss),
    }
