"""The form of the files in `knowledge/repair/` that say how a part is mended: processes, decisions, words, work."""

from __future__ import annotations

from .forms import SELECTOR, SOURCE
from .schema import Ident, Many, MapOf, Number, Raw, Record, Text, Word, YesNo, optional, required

WHEN = Raw("conditions")
STEP_ID = Ident(r"[a-z][a-z0-9]*([-_][a-z0-9]+)*", "lower-case words joined by - or _")
STEP_USE = Text(100)
MINUTES = Number(0, 1e5)

STEP = Record(
    "a step",
    optional(
        {
            "id": STEP_ID,
            "use": STEP_USE,
            "stage": Text(40),
            "do": Text(600, lines=True),
            "why": Text(400, lines=True),
            "minutes": Many(Number(0, 1e5), at_least=2),
            "work": Many(Ident(), single=True),
            "cautions": Many(Ident(), single=True),
            "hold": Text(200, lines=True),
            "record": Many(Text(80), single=True),
            "timer": Word("timers"),
            "when": WHEN,
            "source": SOURCE,
            "note": Text(600, lines=True),
        }
    ),
)
MUST_NOT = Record(
    "a thing that must not be done",
    required({"text": Text(200, lines=True), "because": Text(300, lines=True), "source": SOURCE})
    | optional({"when": WHEN}),
)
NEED = Record("a need", required({"text": Text(200, lines=True)}) | optional({"item": Ident(), "when": WHEN}))
ASK = Record(
    "a question to ask first",
    required({"cue": Ident(), "because": Text(300, lines=True)}) | optional({"when": WHEN}),
)
LOSES = Record("a loss", required({"for": SELECTOR, "minutes": MINUTES}) | optional({"note": Text(300, lines=True)}))
COSTS = Record("costs", required({"outside": MINUTES, "loses": Many(LOSES, at_least=1)}))
PROCESS = Record(
    "a process",
    required(
        {
            "id": Ident(),
            "name": Text(80),
            "process": Word("processes"),
            "decision": Word("plan_decisions", ("repair", "replace")),
            "because": Text(300, lines=True),
            "source": SOURCE,
            "steps": Many(STEP, at_least=1),
        }
    )
    | optional(
        {
            "about": Text(600, lines=True),
            "when": WHEN,
            "treat_as": Many(Ident(), single=True),
            "one_unfilled_plastic": YesNo(),
            "ask_first": Many(ASK),
            "needs": Many(NEED),
            "must_not": Many(MUST_NOT),
            "costs": COSTS,
        }
    ),
)

OPTION = Record(
    "an option",
    required({"process": Ident(), "outside": MINUTES, "loses": Many(LOSES, at_least=1)}),
)
ADDS = Record(
    "an addition",
    required(
        {
            "to": Many(Ident(), at_least=1, single=True),
            "when": WHEN,
            "minutes": Number(-1e5, 1e5),
            "because": Text(300, lines=True),
        }
    ),
)
FLIP = Record("a what-if", required({"tell": MapOf(Text(60)), "text": Text(120)}) | optional({"when": WHEN}))
DECISIONS = Record(
    "decisions.yaml",
    required(
        {
            "options": Many(OPTION, at_least=1),
            "weld_from": Number(0.5, 1.0),
            "matters_from": Number(0.0, 0.5),
            "ask_if_it_saves_minutes": MINUTES,
            "source": SOURCE,
        }
    )
    | optional(
        {
            "adds": Many(ADDS),
            "must_not": Many(MUST_NOT),
            "flips": Many(FLIP),
            "about": Text(1500, lines=True),
        }
    ),
)

SAID = Record(
    "a value",
    required({"id": Ident(r"[a-z0-9][a-z0-9_]*", "a lower-case word"), "text": Text(80), "words": Many(Text(60), 1)}),
)
GROUP = Record(
    "a group of words",
    required({"name": Ident(), "reads": Many(Word("plan_words"), 1), "values": Many(SAID, at_least=1)})
    | optional({"negated": YesNo(), "source": SOURCE}),
)
VOCABULARY = Record(
    "vocabulary.yaml",
    required(
        {
            "groups": Many(GROUP, at_least=1),
            "lengths_mm": MapOf(Number(0.01, 1e4)),
            "longest_mm": Number(1, 1e6),
            "sizes_mm": MapOf(Number(0, 1e6)),
            "denials": Many(Text(40), at_least=1),
            "fillers": Many(Text(40)),
            "source": SOURCE,
        }
    )
    | optional({"about": Text(1000, lines=True)}),
)

KIND_OF_WORK = Record(
    "a kind of work",
    required({"id": Ident(), "name": Text(80), "words": Many(Text(40), 1), "hazardous": YesNo(), "source": SOURCE}),
)
STUFF = Record("a material word", required({"word": Text(60), "when": WHEN}))
WORK = Record(
    "work.yaml",
    required({"work": Many(KIND_OF_WORK, at_least=1), "source": SOURCE})
    | optional({"stuff": Many(STUFF), "about": Text(1000, lines=True)}),
)
