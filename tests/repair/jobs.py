"""Jobs of an invented training workshop that mends farm machinery, small boats and playground parts."""

from __future__ import annotations

from dataclasses import dataclass, field

from whichresin.knowledge.model import Model
from whichresin.repair.plan import Plan
from whichresin.session.answers import shop_word
from whichresin.session.events import Answered, AnswerValue
from whichresin.session.planned import plan_for
from whichresin.session.state import State

SAFE = {"duty": "none_of_these", "condition": "sound"}


@dataclass(frozen=True)
class Job:
    """What somebody tells of a part on the bench."""

    part: str = ""
    damage: str = ""
    context: str = ""
    shop: tuple[str, ...] = ()
    answers: dict[str, AnswerValue] = field(default_factory=dict)
    declined: tuple[str, ...] = ()

    def state(self) -> State:
        """The state that these answers lead to."""
        state = State(shop=tuple(map(shop_word, self.shop)), declined=self.declined)
        told = {**({"part": self.part} if self.part else {}), **self.answers}
        for cue, value in told.items():
            state = state.with_answer(Answered(cue, value))
        return state


def planned(model: Model, job: Job) -> Plan:
    """The plan for a job."""
    return plan_for(model, job.state(), job.damage, job.context)


TALC_COVER = Job(
    "engine cover",
    "crack 40 mm from the edge",
    "moulded cover of a mower, no sensor",
    ("adhesive", "promoter", "mesh", "clamps"),
    {**SAFE, "float_in_water": "sinks", "grind": "powder_and_smear", "hot_needle": "melts_strings",
     "marking": ">PP-TD20<"},
)  # fmt: skip
GLASS_BRACKET = Job(
    "bracket",
    "crack 60 mm",
    "holds a hose clip",
    ("adhesive", "mesh", "welder", "PA66 rod"),
    {**SAFE, "marking": ">PA66-GF30<", "float_in_water": "sinks", "fibres_at_edge": "short_needles",
     "hot_needle": "melts_strings_late"},
)  # fmt: skip
LAMINATE_HOOD = Job(
    "laminate hood",
    "hole 120 x 80 mm",
    "combine, both sides reachable",
    (),
    {**SAFE, "fibres_at_edge": "weave_or_plies", "gel_coat": "yes", "grind": "powder", "float_in_water": "sinks",
     "hot_needle": "no_melt_chars"},
)  # fmt: skip
PLAIN_BOX = Job(
    "storage box",
    "crack 15 cm",
    "",
    ("welder", "PP rod", "clamps", "adhesive"),
    {**SAFE, "float_in_water": "floats", "marking": ">PP<", "grind": "smears", "hot_needle": "melts_strings",
     "fibres_at_edge": "none_seen", "painted": "no", "density_measured": 0.905},
)  # fmt: skip
FUEL_TANK = Job("fuel tank", "crack 3 cm", "", (), {"duty": "fuel", "float_in_water": "floats", "marking": ">PE-HD<"})
LAMP = Job("headlamp lens", "crack 3 cm", "", (), {**SAFE, "clarity": "clear", "marking": ">PC<"})
UNKNOWN_PART = Job("thingamajig", "crack 5 cm", "", (), {**SAFE, "float_in_water": "sinks"})
RIM_SKIN = Job(
    "bumper skin",
    "tear 80 mm",
    "no radar, no sensors",
    ("welder", "PP rod"),
    {**SAFE, "marking": ">PUR-RIM<", "flex": "rubbery", "grind": "powder", "hot_needle": "chars_bubbles_no_melt",
     "float_in_water": "sinks"},
)  # fmt: skip
CARBON_LEVER = Job(
    "cover",
    "crack 4 cm",
    "",
    (),
    {**SAFE, "marking": ">PA66-CF30<", "magnet_or_conductive": "conductive", "fibres_at_edge": "short_needles",
     "moulding_marks": ("gate_mark",)},
)  # fmt: skip
PVC_COVER = Job(
    "pipe cover", "crack 15 cm", "no load", ("solvent cement",),
    {**SAFE, "float_in_water": "sinks", "marking": ">PVC-U<", "grind": "smears", "beilstein": "green"},
)  # fmt: skip
ALL_JOBS = {
    "talc cover": TALC_COVER, "glass bracket": GLASS_BRACKET, "laminate hood": LAMINATE_HOOD, "plain box": PLAIN_BOX,
    "fuel tank": FUEL_TANK, "lamp": LAMP, "unknown part": UNKNOWN_PART, "RIM skin": RIM_SKIN,
    "carbon lever": CARBON_LEVER, "PVC cover": PVC_COVER,
}  # fmt: skip
