"""Numbers of materials that physics does not allow, or allows only with a reason."""

from __future__ import annotations

from collections.abc import Iterator

from whichresin.knowledge.compile import Compiled
from whichresin.knowledge.schema import Row
from whichresin.physics.mixtures import mixture_density
from whichresin.vocabulary.text import shown

from .base import Finding, check

# 63 published grades without flame retardant lie 0.013 g/cm3 from the rule of mixtures on average and 0.05 at
# the farthest (physics/mixtures.py); a range farther off than that is a slip of the pen or a grade with something else.
FAR_G_CM3 = 0.05


@check(
    "density-off",
    "warning",
    "the density given for a compound disagrees with the rule of mixtures",
    "Check the percent and the two numbers; leave the density out to have it worked out; a note says why it is right.",
)
def density_off(compiled: Compiled) -> Iterator[Finding]:
    """Volumes add, so polymer, filler and share fix the density to a few hundredths of a g/cm3. Grades with
    foam, hollow beads or flame retardant may lie elsewhere: a row with a note is left alone."""
    fillers = compiled.tree.fillers
    for name, entry in compiled.tree.polymers.items():
        base = _range(entry.row)
        for row in entry.row.rows("compounds"):
            given, filler = _range(row), fillers.get(row.text("filler"))
            extra = _range(filler.row) if filler is not None else None
            percent = row.number("percent")
            if base is None or given is None or extra is None or not percent or row.flag("integral") or "note" in row:
                continue
            low, high = (mixture_density(one, other, percent / 100.0) for one, other in zip(base, extra, strict=True))
            if given[1] < low - FAR_G_CM3 or given[0] > high + FAR_G_CM3:
                sentence = (
                    f"{shown(name)} with {percent:g} % {row.text('filler')} is given {given[0]:g} to {given[1]:g} "
                    f"g/cm3; the rule of mixtures says {low:.2f} to {high:.2f}"
                )
                yield Finding(row.at("density_g_cm3"), sentence)


def _range(row: Row) -> tuple[float, float] | None:
    inner = row.row("density_g_cm3")
    low, high = (inner.number("low"), inner.number("high")) if inner is not None else (0.0, 0.0)
    return (low, high) if 0.0 < low <= high else None


@check(
    "melts-below-glass",
    "error",
    "a material melts below the temperature at which it leaves the glassy state",
    "Look the two temperatures up again; they may have changed places.",
)
def melts_below_glass(compiled: Compiled) -> Iterator[Finding]:
    """Crystals can melt only where chains already move: the melting point lies above the glass transition."""
    for name, entry in compiled.tree.polymers.items():
        melt, glass = entry.row.row("melt_c"), entry.row.row("glass_c")
        if melt is None or glass is None or "low" not in glass.values or "high" not in melt.values:
            continue
        if melt.number("high") <= glass.number("low"):
            sentence = (
                f"{shown(name)} is said to melt at {melt.number('high'):g} C and to be glassy up to "
                f"{glass.number('low'):g} C"
            )
            yield Finding(entry.row.at("melt_c"), sentence)


@check(
    "welds-yet-cured",
    "error",
    "a cross-linked material is said to weld",
    "Write weldable: no, or correct the class.",
)
def welds_yet_cured(compiled: Compiled) -> Iterator[Finding]:
    """Chains tied to each other by cure cannot flow into a joint; heat only chars them. A person who trusts the
    entry burns the part and breathes the smoke."""
    for name, entry in compiled.tree.polymers.items():
        klass = entry.row.text("class")
        if klass in ("thermoset", "elastomer") and entry.row.text("weldable") == "yes":
            yield Finding(entry.row.at("weldable"), f"{shown(name)} is of class {klass} and said to weld")
