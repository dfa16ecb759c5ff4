"""Small invented models for the belief tests: random, seeded, and shaped like the shipped one."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import replace

from whichresin.knowledge.model import (
    Cell,
    Compound,
    Cue,
    CueValue,
    Losses,
    Material,
    Model,
    Observer,
    Range,
    Skill,
    SplitLoss,
    Table,
)

SKILLS = (
    Skill("careful", 0.3, 0.02, 0.02),
    Skill("ordinary", 0.5, 0.06, 0.06),
    Skill("hasty", 0.2, 0.16, 0.15),
)
CLASSES = ("thermoplastic", "thermoset", "elastomer")
FILLER_KINDS = ("none", "none", "fibre", "mineral")


def observer(skills: Sequence[Skill] = SKILLS) -> Observer:
    return Observer(
        skills=tuple(skills),
        sure={"high": 0.6, "medium": 1.0, "low": 3.0},
        doubt={"slight": 0.25, "strong": 0.75},
        neutral_within_g_cm3=0.004,
        liquid_uncertainty_g_cm3=0.004,
        water_uncertainty_g_cm3=0.0015,
        density_uncertainty_g_cm3=0.015,
        slip_follows_usual=0.4,
    )


def compound(
    name: str,
    cell: str,
    prior: float = 1.0,
    density: float = 1.1,
    sd: float = 0.02,
    klass: str = "thermoplastic",
    filler_kind: str = "none",
    material: str = "",
) -> Compound:
    filler = {"none": "none", "fibre": "GF", "mineral": "TD", "bead": "GB"}[filler_kind]
    return Compound(
        id=name, symbol=name, name=name, material=material or name, klass=klass, family=cell, cell=cell,
        filler=filler, filler_kind=filler_kind, percent=0 if filler_kind == "none" else 20, retarded=False,
        prior=prior, density_g_cm3=density, density_sd_g_cm3=sd, density_from="published",
        source=("from memory",),
    )  # fmt: skip


def none_of_these(prior: float = 0.02) -> Compound:
    none = compound("none of these", "none", prior, density=1.5, sd=0.4, klass="none", material="none of these")
    return replace(none, filler="none")


def table(rows_per_compound: Sequence[Sequence[float]]) -> Table:
    """A table whose equal rows are shared."""
    rows: dict[tuple[float, ...], int] = {}
    row_of = tuple(rows.setdefault(tuple(row), len(rows)) for row in rows_per_compound)
    usual = [sum(column) / len(rows_per_compound) for column in zip(*rows_per_compound, strict=True)]
    return Table(tuple(rows), row_of, tuple(usual))


def cue(
    name: str,
    values: Sequence[str],
    rows: Sequence[Sequence[float]] | None = None,
    *,
    kind: str = "choice",
    group: str = "",
    physics: str = "",
    minutes: float = 1.0,
    hazard: str = "none",
    marks_part: bool = False,
    topic: str = "bench",
) -> Cue:
    return Cue(
        id=name, kind=kind, topic=topic, group=group or name, physics=physics, question=f"{name}?",
        how="Look.",
        fooled_by="", lesson="", values=tuple(CueValue(v, v) for v in values), minutes=minutes,
        marks_part=marks_part, tools=(), hazard=hazard, wear="", cautions=(), opt_in="", locked=False,
        askable=True, table=table(rows) if rows is not None else None, source=("from memory",),
    )  # fmt: skip


def density_cues() -> list[Cue]:
    return [
        cue(
            "float_in_water",
            ("floats", "sinks", "neutral"),
            physics="float_water",
            group="density",
            minutes=2.0,
        ),
        cue("float_liquids", (), kind="liquids", physics="float_liquids", group="density", minutes=4.0),
        cue("density_measured", (), kind="number", physics="density", group="density", minutes=6.0),
    ]


def losses(cells: Iterable[str], *, wrong: float = 60.0, defer: float = 25.0, splits: bool = False) -> Losses:
    names = tuple(cells)
    rows = tuple(
        (*(0.0 if true == act else wrong * (1.0 + 0.5 * (k % 2)) for k, act in enumerate(names)), defer)
        for true in names
    )
    return Losses(
        cells=names,
        actions=(*names, "defer"),
        table=rows,
        splits=(SplitLoss("welder", "fibre", 90.0, 10.0),) if splits else (),
        polymer_wrong=45.0,
        polymer_defer=20.0,
        settled_below=2.0,
        hazard_minutes={"none": 0.0, "low": 0.5, "medium": 3.0, "high": 15.0},
        marks_part_minutes=1.0,
        source=("from memory",),
    )


def model(
    compounds: Sequence[Compound],
    cues: Sequence[Cue],
    loss: Losses | None = None,
    skills: Sequence[Skill] = SKILLS,
) -> Model:
    """A model of these compounds; the last one must be none of these."""
    cells = tuple(dict.fromkeys(c.cell for c in compounds))
    total = sum(c.prior for c in compounds)
    shared = tuple(replace(c, prior=c.prior / total) for c in compounds)
    materials = {
        c.material: Material(
            c.material, c.material, c.material, c.klass, c.family, c.cell, c.prior,
            Range(c.density_g_cm3, c.density_g_cm3), None, None, None, "yes", (), "", "", ("from memory",),
        )
        for c in reversed(shared)
    }  # fmt: skip
    return Model(
        key=f"test-{random.random()}", materials=materials, fillers={}, compounds=shared,
        cues={c.id: c for c in cues}, parts={},
        cells={cell: Cell(cell, cell, cell, ("from memory",)) for cell in cells},
        losses=loss or losses(cells), cautions={}, rules=(), against={}, facts={}, observer=observer(skills),
        how_sure=((0.9, "very likely"), (0.0, "possible")), sources={},
    )  # fmt: skip


def random_row(rng: random.Random, size: int, sharpness: float = 0.35) -> tuple[float, ...]:
    """A distribution over `size` values; smaller sharpness puts more on one value. Nothing is ever 0."""
    weights = [rng.gammavariate(sharpness, 1.0) + 0.004 for _ in range(size)]
    total = sum(weights)
    return tuple(w / total for w in weights)


def random_model(
    seed: int,
    compounds: int = 6,
    cues: int = 5,
    cells: int = 3,
    density: bool = True,
    set_cue: bool = True,
    values: tuple[int, int] = (2, 4),
    shared_group: bool = True,
    skills: Sequence[Skill] = SKILLS,
    rows: int | None = None,
    splits: bool = False,
) -> Model:
    """A seeded random model: choice cues (two of them in one group), a set cue, and the density group."""
    rng = random.Random(seed)
    known = [
        compound(
            f"M{i}",
            f"cell-{i % cells}",
            rng.uniform(0.5, 5.0),
            rng.uniform(0.9, 1.6),
            rng.choice((0.006, 0.02, 0.1)),
            klass=rng.choice(CLASSES),
            filler_kind=rng.choice(FILLER_KINDS),
            material=f"P{i // 2}",
        )
        for i in range(compounds - 1)
    ]
    asked: list[Cue] = density_cues() if density else []
    for k in range(cues):
        size = rng.randint(*values)
        kinds = [random_row(rng, size) for _ in range(rows or compounds - 1)]
        table_rows = [kinds[i % len(kinds)] if rows is None else rng.choice(kinds) for i in range(compounds - 1)]
        table_rows.append(tuple(1.0 / size for _ in range(size)))
        group = "pair" if shared_group and k < 2 else ""
        names = [f"v{j}" for j in range(size)]
        asked.append(cue(f"c{k}", names, table_rows, group=group, minutes=rng.uniform(0.5, 8.0)))
    if set_cue:
        names = [f"s{j}" for j in range(4)]
        marks = [tuple(rng.choice((0.02, 0.25, 0.8)) for _ in names) for _ in range(compounds)]
        asked.append(cue("look", names, marks, kind="set", minutes=0.5))
    everything = [*known, none_of_these()]
    names = tuple(dict.fromkeys(c.cell for c in everything))
    return model(everything, asked, losses(names, splits=splits), skills)


def shop_like_model(materials: int = 60, cues: int = 44, seed: int = 1, sharpness: float = 0.45) -> Model:
    """An invented base of the shipped one's shape and size: families share rows, fillers and cells matter.

    Three compounds a material (plain, fibre, mineral), up to 17 values a cue, about nine cells.
    """
    rng = random.Random(seed)
    families = [f"family-{k}" for k in range(max(9, materials // 4))]
    known: list[Compound] = []
    for m in range(materials):
        family = families[m % len(families)]
        density, klass = rng.uniform(0.9, 1.5), rng.choice((*CLASSES, "thermoplastic", "thermoplastic"))
        for kind, extra, share in (("none", 0.0, 0.7), ("fibre", 0.2, 0.2), ("mineral", 0.14, 0.1)):
            one = compound(
                f"M{m}-{kind}", f"cell-{int(family[7:]) % 9}", share * rng.lognormvariate(0.0, 1.2), density + extra,
                rng.choice((0.006, 0.012, 0.03, 0.1)), klass, kind, f"M{m}",
            )  # fmt: skip
            known.append(replace(one, family=family))
    asked = density_cues()
    hazards = ("none", "none", "none", "low", "low", "medium", "high")
    for k in range(cues - 4):
        size = rng.choice((2, 2, 3, 3, 4, 5, 6, 8, 9))
        by_family = {family: random_row(rng, size, sharpness) for family in families}
        by_kind = {kind: random_row(rng, size, sharpness) for kind in ("fibre", "mineral")}
        by_material = {m: random_row(rng, size, sharpness) for m in rng.sample(range(materials), materials // 10)}
        rows = []
        for i, one in enumerate(known):
            row = by_material.get(i // 3, by_family[one.family])
            rows.append(by_kind.get(one.filler_kind, row) if k % 3 == 0 else row)
        rows.append(tuple(1.0 / size for _ in range(size)))
        group = "burn" if k < 7 else ("grind" if k < 9 else "")
        asked.append(
            cue(f"c{k}", [f"v{j}" for j in range(size)], rows, group=group, minutes=rng.uniform(0.5, 6.0),
                hazard=hazards[k % len(hazards)], marks_part=k % 4 == 0)
        )  # fmt: skip
    words = [f"s{j}" for j in range(17)]
    marks = {family: tuple(rng.choice((0.004, 0.02, 0.08, 0.25, 0.55)) for _ in words) for family in families}
    seen = [marks[one.family] for one in known] + [(0.1,) * 17]
    asked.append(cue("look", words, seen, kind="set", minutes=0.5))
    everything = [*known, none_of_these(0.02 * sum(c.prior for c in known))]
    cells = dict.fromkeys(c.cell for c in everything)
    return model(everything, asked, losses(cells, wrong=80.0, defer=30.0, splits=True))
