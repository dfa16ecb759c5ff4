"""A small plan made by hand, for tests of what comes after a plan: sheet, timers, records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from whichresin.knowledge.model import Model
from whichresin.repair.plan import Damage, Identified, Plan, Reading, Reason, Share, Step, Understood


def step(id: str, do: str, cautions: Sequence[str] = (), timer: str | None = None, hold: str | None = None) -> Step:
    minutes = None if timer in ("work", "cure") else (5.0, 10.0)
    return Step(
        id, do, f"why {id}", minutes, tuple(cautions), hold, (f"{id} done",), timer, ("common practice",), "Bond"
    )


def bonded(model: Model) -> Plan:
    """A polyolefin cover to be bonded with promoter: wash, coat, flash off, mix and spread, cure, check."""
    steps = (
        step("wash", "Wash both sides with soap and hot water."),
        step("coat", "One light coat of promoter.", ["promoter-spray", "solvent-flash"]),
        step("flash_off", "Let it flash off.", ["promoter-spray"], "flash_off", "No wet shine left?"),
        step("spread", "Press a thin coat into the scratches.", ["iso-adhesive"], "work"),
        step("film", "Lay film over it.", ["iso-adhesive"], "work"),
        step("cure", "Leave it alone.", (), "cure", "Hard under a nail?"),
        step("check", "Press with a nail, tap with a coin.", hold="No soft spot?"),
    )
    understood = Understood(
        Reading("engine cover <left>"), "engine-cover", "engine cover", "clear", (), (), Reading("crack 150 mm"),
        Damage("crack", "a crack", 150.0, None, 3.0), Reading("workshop, 20 C"), (),
        {"flexible_products": ("yes",)},
    )  # fmt: skip
    seen = Identified(
        "thermoplastic", "nearly certain", (Share("polyolefin", "polyolefin", 0.93, "very likely"),),
        (Share("PP", "PP", 0.81, "likely"),), 0.1, 0.6, 0.01, "concluded", ("the filler",),
        (Reason("It floats in water.", ("physics",)),),
    )  # fmt: skip
    cautions = ("ref-root-cause", "promoter-spray", "solvent-flash", "iso-adhesive")
    return Plan(
        understood, "repair", "two_part_adhesive", "", "required", Reason("A polyolefin rejects adhesive."), steps,
        cautions, {one: model.cautions[one] for one in cautions}, (Reason("Do not open it to a sharp V."),),
        (Reason("Bonding fits what is believed."),), (), None, (), None, "", ("tape",), "open", seen, model.key,
    )  # fmt: skip


def referred(model: Model) -> Plan:
    """A part in front of a sensor: nothing to do here."""
    cautions = ("ref-sensor",)
    return replace(
        bonded(model),
        decision="refer",
        process="none",
        steps=(),
        cautions=cautions,
        caution_texts={one: model.cautions[one] for one in cautions},
        because=(Reason("A sensor looks through this area."),),
        gate="shut",
        needs=(),
    )
