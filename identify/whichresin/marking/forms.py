"""The form of every file in knowledge/markings/: which keys, what each holds."""

from __future__ import annotations

from whichresin.knowledge.forms import SOURCE
from whichresin.knowledge.positions import read
from whichresin.knowledge.problems import Report
from whichresin.knowledge.schema import (
    Context,
    Many,
    MapOf,
    Number,
    Raw,
    Record,
    Row,
    Text,
    Word,
    YesNo,
    optional,
    required,
)

TEXT, LONG, SYMBOL = Text(300), Text(1500, lines=True), Text(40)
CHANCE, SHARE, PERCENT = Number(0, 1), Number(0, 1e4), Number(1, 100, whole=True)
NAMES, NAMES_LONG, WEIGHTS = Many(Text(80)), Many(LONG), MapOf(SHARE)
SIGNS = MapOf(CHANCE, Text(8))
CLASS = Word("classes", ("thermoplastic", "thermoset", "elastomer", "unknown"))
ABOUT = optional({"about": LONG, "standard": TEXT, "note": LONG, "how_set": LONG, "sources": MapOf(LONG)})
SOURCED = required({"source": SOURCE})
EXTRA = optional({"note": LONG, "trap": LONG, "edition": TEXT, "example": TEXT})


def _rows(name: str, row: Record) -> Record:
    return Record(name, required({"source": SOURCE, "rows": Many(row, at_least=1)}) | ABOUT)


POLYMERS = _rows(
    "a table of polymers",
    Record(
        "a polymer",
        required({"symbol": SYMBOL, "name": TEXT, "class": CLASS})
        | SOURCED
        | EXTRA
        | optional({"tpe": YesNo(), "monomers": TEXT}),
    ),
)
LETTER = Record(
    "a letter", required({"letter": Text(2)}) | SOURCED | EXTRA | optional({"material": TEXT, "form": TEXT})
)
RANGE = Record("a range of percentages", required({"low": PERCENT, "high": PERCENT, "share": SHARE}))
SHARES = Record("a row of shares", required({"symbols": WEIGHTS, "source": SOURCE}))
PROFILE = Record(
    "a profile",
    required({"id": SYMBOL, "symbols": NAMES, "fillers": WEIGHTS, "source": SOURCE})
    | optional({"percents": MapOf(WEIGHTS), "retardant": CHANCE, "plasticizer": CHANCE}),
)
PRIOR = Record(
    "prior.yaml",
    required(
        {
            "source": SOURCE,
            "floor_share": SHARE,
            "legacy_times": SHARE,
            "polymers": Many(SHARES),
            "blends": Many(SHARES),
            "other_blends": Record(
                "other blends", required({"share": SHARE, "smoothing": SHARE, "symbols": NAMES, "source": SOURCE})
            ),
            "resin_codes": Record("resin codes", required({"share": SHARE, "number_alone": SHARE, "source": SOURCE})),
            "layers": Record("layers", required({"share": CHANCE, "source": SOURCE})),
            "percent": Record(
                "percent", required({"of_five": RANGE, "others": RANGE, "left_out": CHANCE, "source": SOURCE})
            ),
            "filler_spellings": Many(
                Record(
                    "a spelling",
                    required({"letters": SYMBOL, "code": SYMBOL, "times": SHARE, "note": TEXT, "source": SOURCE}),
                )
            ),
            "profiles": Many(PROFILE, at_least=1),
            "other_fillers": SHARE,
            "mixtures": Many(
                Record("mixtures", required({"pairs": WEIGHTS, "times": SHARE, "total_only": CHANCE, "source": SOURCE}))
            ),
            "mixture_percents": Record("steps", required({"low": PERCENT, "high": PERCENT, "step": PERCENT})),
            "retardants": Record(
                "retardants",
                required({"none_given": SHARE, "named": WEIGHTS, "others": SHARE, "pairs": WEIGHTS, "source": SOURCE}),
            ),
            "recyclate": Record(
                "recyclate",
                required({"share": SHARE, "low": PERCENT, "high": PERCENT, "step": PERCENT, "source": SOURCE}),
            ),
        }
    )
    | ABOUT,
)
WEAR = Record(
    "a kind of wear",
    required(
        {
            "id": SYMBOL,
            "share": CHANCE,
            "unreadable": CHANCE,
            "look_alike": CHANCE,
            "random": CHANCE,
            "lost": CHANCE,
            "extra": CHANCE,
        }
    )
    | SOURCED,
)
CHANNEL = Record(
    "channel.yaml",
    required(
        {
            "wear": Many(WEAR, at_least=1),
            "unreadable_signs": Raw(),
            "habits": Many(Record("a habit", required({"sign": Text(1), "becomes": Raw()}) | SOURCED)),
            "breaks": Raw(),
            "brackets": Many(
                Record("a form of brackets", required({"form": SYMBOL, "marking": CHANCE, "other": CHANCE}) | SOURCED)
            ),
            "bracket_letters": Record("bracket letters", required({"open": SIGNS, "close": SIGNS}) | SOURCED),
            "turned": Many(
                Record(
                    "a turn",
                    required({"id": SYMBOL, "share": CHANCE, "same": TEXT, "pairs": MapOf(Text(2), Text(2))}) | SOURCED,
                )
            ),
            "several": Many(
                Record(
                    "run-together characters", required({"true": Text(3), "seen": Text(3), "chance": CHANCE}) | SOURCED
                )
            ),
        }
    )
    | ABOUT,
)
CHAIN = MapOf(CHANCE)
JUNK_KIND = Record(
    "a kind of other text",
    required(
        {
            "id": SYMBOL,
            "share": CHANCE,
            "length": Record("a length", required({"mean": SHARE, "spread": SHARE})),
            "start": CHAIN,
            "next": MapOf(CHAIN),
        }
    )
    | SOURCED,
)
JUNK = Record(
    "junk.yaml",
    required(
        {
            "source": SOURCE,
            "share": CHANCE,
            "kinds": Many(JUNK_KIND, at_least=1),
            "forms": Many(Record("a form", required({"like": NAMES, "is": TEXT, "share": CHANCE}) | SOURCED)),
        }
    )
    | ABOUT,
)
VERDICT = Record(
    "verdict.yaml",
    required(
        {
            "source": SOURCE,
            "clear": CHANCE,
            "likely": CHANCE,
            "readable_at_least": SHARE,
            "not_a_marking": CHANCE,
            "unreadable_share": CHANCE,
        }
    )
    | required(
        {
            "plausible": CHANCE,
            "rest": CHANCE,
            "unseen": Many(CHANCE, at_least=5),
            "list_at_most": SHARE,
            "longest_text": SHARE,
        }
    )
    | ABOUT,
)
FIT = Record(
    "fit.yaml",
    required(
        {
            "source": SOURCE,
            "wrong_insert": CHANCE,
            "fits": Many(
                Record("a fit", required({"id": SYMBOL, "chance": CHANCE, "among": SHARE, "means": TEXT}) | SOURCED)
            ),
            "polymers": Record("polymers", required({"same": CHANCE, "wider": CHANCE, "relative": CHANCE}) | SOURCED),
            "retardant": Record("retardant", required({"same": CHANCE, "differs": CHANCE}) | SOURCED),
            "wider": Many(Record("a wider symbol", required({"symbol": SYMBOL, "covers": NAMES}) | SOURCED)),
            "relatives": Many(Record("relatives", required({"symbols": NAMES}) | SOURCED | optional({"times": SHARE}))),
        }
    )
    | ABOUT,
)
SAY = Record(
    "a name",
    required({"say": NAMES}) | SOURCED | optional({"symbol": SYMBOL, "code": SYMBOL, "filler": SYMBOL, "times": SHARE}),
)
NAME = Record(
    "names.yaml",
    required(
        {
            "source": SOURCE,
            "typo": CHANCE,
            "enough": CHANCE,
            "base": CHANCE,
            "polymers": Many(SAY),
            "fillers": Many(SAY),
        }
    )
    | required({"words": MapOf(NAMES), "numbers": MapOf(Number(0, 1000, whole=True))})
    | ABOUT,
)
FORMS: dict[str, Record] = {
    "sources": Record("sources.yaml", required({"sources": MapOf(LONG, SYMBOL)})),
    "polymers": POLYMERS,
    "polyamides": POLYMERS,
    "thermoplastic_elastomers": POLYMERS,
    "rubbers": POLYMERS,
    "characteristics": _rows(
        "a table of letters", Record("a letter", required({"symbol": SYMBOL, "meanings": NAMES}) | SOURCED | EXTRA)
    ),
    "filler_letters": Record(
        "filler_letters.yaml", required({"source": SOURCE, "materials": Many(LETTER), "forms": Many(LETTER)}) | ABOUT
    ),
    "fillers": _rows(
        "a table of fillers",
        Record("a filler", required({"code": SYMBOL, "material": TEXT, "form": TEXT, "name": TEXT}) | SOURCED | EXTRA),
    ),
    "plasticizers": _rows(
        "a table of plasticizers", Record("a plasticizer", required({"symbol": SYMBOL, "name": TEXT}) | SOURCED | EXTRA)
    ),
    "retardants": _rows(
        "a table of retardants",
        Record(
            "a retardant", required({"code": Number(1, 99, whole=True), "name": TEXT, "group": TEXT}) | SOURCED | EXTRA
        ),
    ),
    "resin_codes": _rows(
        "a table of resin codes",
        Record(
            "a resin code",
            required({"number": Number(1, 99, whole=True), "letters": NAMES, "name": TEXT})
            | SOURCED
            | optional({"polymer": SYMBOL}),
        ),
    ),
    "legacy": _rows(
        "a table of earlier abbreviations",
        Record(
            "an earlier abbreviation",
            required({"symbol": SYMBOL, "today": SYMBOL, "sure": Word("sure", ("sure", "likely", "uncertain"))})
            | SOURCED
            | optional({"meaning": TEXT, "today_in_words": TEXT, "note": LONG}),
        ),
    ),
    "traps": _rows(
        "a table of traps", Record("a trap", required({"trap": TEXT, "reads": NAMES_LONG, "advice": LONG}) | SOURCED)
    ),
    "prior": PRIOR,
    "channel": CHANNEL,
    "look_alikes": Record(
        "look_alikes.yaml",
        required(
            {"rows": Many(Record("a character", required({"true": Text(1), "seen": MapOf(CHANCE, Text(1))}) | SOURCED))}
        )
        | ABOUT,
    ),
    "junk": JUNK,
    "verdict": VERDICT,
    "fit": FIT,
    "names": NAME,
}


def read_form(name: str, path: str, report: Report) -> Row | None:
    """One file as a row; what is wrong goes to `report`."""
    from whichresin.knowledge.paths import shown_path

    root, problems = read(path, shown_path(path))
    report.extend(problems)
    if root is None:
        return None
    return FORMS[name].read(root, Context(report), name)
