"""The form of every kind of file: which keys, what each holds, what may be left out."""

from __future__ import annotations

from .schema import Ident, Many, MapOf, Number, Raw, Record, Text, Word, YesNo, optional, required

MATERIAL_ID = Ident(
    r"[A-Z][A-Za-z0-9]*([+/-][A-Za-z0-9]+)*( [A-Za-z0-9]+)*", "a polymer's symbol, such as PP or PC+ABS"
)
FILLER_ID = Ident(r"none|[A-Z]{1,4}(\+[A-Z]{1,4})*", "none or an ISO 1043-2 code, such as GF")
SOURCE_ID = Text(60)
SOURCE = Many(SOURCE_ID, 1, single=True, says="ids of shared/sources.yaml, or common practice, or from memory")
NAMES = Many(Text(80), single=True)
SELECTOR = Raw("a mapping such as {family: polyolefin}")
SHARE = Number(0.0, 1e6)


def range_of(low: float, high: float) -> Record:
    """A published range in one unit, with its sources."""
    number = Number(low, high)
    return Record("a range", required({"low": number, "high": number}) | optional({"source": SOURCE}))


OWN_EXPECT = Record(
    "what a material says of a cue",
    required({"cue": Ident(), "seen": MapOf(Raw("how often, in words or as a number")), "source": SOURCE})
    | optional({"for": SELECTOR, "note": Text(600, lines=True)}),
)
COMPOUND = Record(
    "a compound",
    required({"filler": FILLER_ID, "share": SHARE, "source": SOURCE})
    | optional(
        {
            "percent": Number(1, 85, whole=True),
            "retarded_share": Number(0.0, 1.0),
            "density_g_cm3": range_of(0.5, 4.0),
            "integral": YesNo(),
            "note": Text(600, lines=True),
        }
    ),
)

MATERIAL = Record(
    "a material",
    required(
        {
            "id": MATERIAL_ID,
            "symbol": Text(40),
            "name": Text(80),
            "class": Word("classes"),
            "family": Ident(),
            "cell": Ident(),
            "share": SHARE,
            "share_source": SOURCE,
            "density_g_cm3": range_of(0.5, 4.0),
            "weldable": Word("weldable"),
            "source": SOURCE,
            "compounds": Many(COMPOUND, at_least=1),
        }
    )
    | optional(
        {
            "melt_c": range_of(-150, 500),
            "glass_c": range_of(-150, 500),
            "surface_energy_mn_m": range_of(5, 100),
            "synonyms": Many(Text(60), single=True),
            "typical_parts": Text(400, lines=True),
            "expect": Many(OWN_EXPECT, at_least=1),
            "note": Text(1000, lines=True),
        }
    ),
)

FILLER = Record(
    "a filler",
    required({"id": FILLER_ID, "name": Text(80), "kind": Word("filler_kinds"), "source": SOURCE})
    | optional({"density_g_cm3": range_of(0.1, 8.0), "conductive": YesNo(), "note": Text(600, lines=True)}),
)

CUE_VALUE = Record("an answer", required({"id": Ident(r"[a-z0-9][a-z0-9_]*", "a lower-case word"), "text": Text(60)}))
EXPECT = Record(
    "an expectation",
    required({"for": SELECTOR, "seen": MapOf(Raw("how often, in words or as a number")), "source": SOURCE})
    | optional({"note": Text(600, lines=True)}),
)
CUE = Record(
    "a cue",
    required(
        {
            "id": Ident(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", "lower-case words joined by _"),
            "kind": Word("cue_kinds"),
            "topic": Word("topics"),
            "question": Text(90),
            "how": Text(400, lines=True),
            "minutes": Number(0, 240),
            "hazard": Word("hazards"),
            "source": SOURCE,
        }
    )
    | optional(
        {
            "group": Ident(),
            "physics": Word("physics"),
            "fooled_by": Text(400, lines=True),
            "lesson": Text(300, lines=True),
            "values": Many(CUE_VALUE, at_least=1),
            "marks_part": YesNo(),
            "tools": NAMES,
            "wear": Text(200),
            "cautions": Many(Ident(), single=True),
            "opt_in": Word("opt_ins"),
            "locked": YesNo(),
            "askable": YesNo(),
            "expect": Many(EXPECT, at_least=1),
            "note": Text(600, lines=True),
        }
    ),
)

TILT = Record("a tilt", required({"for": SELECTOR, "times": Number(0.001, 1000)}) | optional({"source": SOURCE}))
PART = Record(
    "a part kind",
    required(
        {
            "id": Ident(),
            "name": Text(80),
            "words": Many(Text(60), single=True),
            "gate": Word("gates"),
            "source": SOURCE,
        }
    )
    | optional(
        {
            "gate_reason": Text(300, lines=True),
            "cautions": Many(Ident(), single=True),
            "tilt": Many(TILT),
            "note": Text(600, lines=True),
        }
    ),
)
PARTS = Record(
    "a list of part kinds",
    required({"parts": Many(Raw(), says="a list of part kinds")}) | optional({"about": Text(600, lines=True)}),
)

CELL = Record(
    "a repair cell",
    required({"id": Ident(), "name": Text(80), "means": Text(400, lines=True), "source": SOURCE}),
)
CELLS = Record("cells.yaml", required({"cells": Many(CELL, at_least=1)}) | optional({"about": Text(600, lines=True)}))
SPLIT = Record(
    "a split",
    required({"shop": Text(60), "by": Word("splits", ("fibre", "filled", "class"))})
    | required({"miss": Number(0, 1e5), "false_alarm": Number(0, 1e5)}),
)
MINUTES = Number(0, 1e5)
LOSSES = Record(
    "losses.yaml",
    required(
        {
            "actions": Many(Ident(), at_least=1),
            "table": MapOf(MapOf(MINUTES)),
            "polymer_wrong": MINUTES,
            "polymer_defer": MINUTES,
            "settled_below": MINUTES,
            "hazard_minutes": MapOf(MINUTES),
            "marks_part_minutes": MINUTES,
            "source": SOURCE,
        }
    )
    | optional({"splits": Many(SPLIT), "about": Text(1000, lines=True)}),
)

RULE = Record(
    "a rule",
    required(
        {
            "id": Ident(),
            "when": Raw("conditions"),
            "conclude": Many(Raw(), 1, says="a list of conclusions, such as [{withhold: grind}]"),
            "because": Text(300, lines=True),
            "source": SOURCE,
        }
    )
    | optional({"examples": Many(Raw()), "near_misses": Many(Raw()), "note": Text(600, lines=True)}),
)
RULES = Record(
    "a file of rules",
    required({"rules": Many(Raw(), says="a list of rules")}) | optional({"about": Text(600, lines=True)}),
)

EXAMPLE = Record(
    "an example",
    required({"given": Raw("facts")})
    | optional(
        {
            "each": Raw("one name with a list of values"),
            "expect": Raw("conclusions"),
            "because": Text(300, lines=True),
            "known_miss": YesNo(),
        }
    ),
)

FACT = Record(
    "a fact",
    required({"name": Ident(), "values": MapOf(Text(200))})
    | optional({"source": SOURCE, "note": Text(600, lines=True)}),
)
FACTS = Record(
    "facts.yaml",
    required({"facts": Many(FACT)}) | optional({"about": Text(600, lines=True), "source": SOURCE}),
)
CAUTION = Record(
    "a caution",
    required(
        {
            "id": Ident(),
            "level": Word("caution_levels"),
            "hazard": Text(120),
            "text": Text(900, lines=True),
            "source": SOURCE,
        }
    )
    | optional(
        {
            "tests": NAMES,
            "processes": NAMES,
            "materials": NAMES,
            "parts": NAMES,
            "numbers": Raw(),
            "note": Text(600, lines=True),
        }
    ),
)
CAUTIONS = Record(
    "cautions.yaml",
    required({"cautions": Many(CAUTION)}) | optional({"about": Text(1000, lines=True), "source": SOURCE}),
)
SOURCES = Record(
    "sources.yaml",
    required({"sources": MapOf(Text(600, lines=True), Text(60))}) | optional({"about": Text(600, lines=True)}),
)

PACK_VERSION = Ident(r"[0-9]+(\.[0-9]+){0,2}", "one to three numbers with points between, such as 1.2")
PACK_NEEDS = Record("what a pack needs", optional({"whichresin": PACK_VERSION, "packs": Many(Ident(), single=True)}))
PACK = Record(
    "pack.yaml",
    required(
        {
            "pack": Ident(),
            "version": PACK_VERSION,
            "authors": Many(Text(80), 1, single=True, says="roles, such as trainer, not people"),
            "licence": Text(80),
        }
    )
    | optional({"needs": PACK_NEEDS, "about": Text(1000, lines=True)}),
)

LISTS = Record("lists.yaml", required({"lists": MapOf(MapOf(Text(200)))}) | optional({"source": SOURCE}))
HOW_SURE = Record("a step", required({"at_least": Number(0, 1), "word": Text(40)}))
WORDS = Record(
    "words.yaml",
    required({"how_often": MapOf(Number(0.0001, 1.0)), "how_sure": Many(HOW_SURE, at_least=1), "source": SOURCE}),
)
SKILL = Record(
    "a skill", required({"id": Ident(), "share": Number(0, 1), "slip": Number(0, 1), "muddled": Number(0, 1)})
)
_GRAMS = Number(1e-6, 1.0)
OBSERVER = Record(
    "observer.yaml",
    required(
        {
            "skills": Many(SKILL, at_least=1),
            "sure": MapOf(Number(0, 100)),
            "doubt": MapOf(Number(0, 1)),
            "none_of_these": Number(0.0001, 0.5),
            "slip_follows_usual": Number(0, 0.95),
            "likelihood_counts": Number(0.5, 1),
            "strange_stake_minutes": Number(0, 10000),
            "strange_withholds": Number(-50, 50),
            "neutral_within_g_cm3": _GRAMS,
            "liquid_uncertainty_g_cm3": _GRAMS,
            "water_uncertainty_g_cm3": _GRAMS,
            "density_uncertainty_g_cm3": _GRAMS,
            "source": SOURCE,
        }
    )
    | optional({"strange_withholds_for": MapOf(Number(-50, 50), Text(80))}),
)
