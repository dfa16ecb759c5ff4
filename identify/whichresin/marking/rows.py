"""From rows that were read to the frozen values of `tables.py`; references between tables are checked here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from whichresin.knowledge.positions import Mapping as MappingNode
from whichresin.knowledge.positions import Node, Scalar
from whichresin.knowledge.problems import Report, did_you_mean
from whichresin.knowledge.schema import Row, number

from .tables import (
    ChannelTable,
    FillerCode,
    FillerSpelling,
    FitTable,
    JunkKind,
    JunkTable,
    Legacy,
    NameRows,
    PercentRule,
    Polymer,
    Prior,
    Profile,
    Turn,
    Verdicts,
    Wear,
)


def unknown(node: Node, what: str, found: str, known: Iterable[str], report: Report) -> None:
    """Report a symbol that no table knows."""
    hint = did_you_mean(found, known)
    report.add(
        "error",
        "unknown-symbol",
        node.file,
        node.line,
        node.column,
        f"'{found}' is no {what} of the marking tables",
        hint,
    )


def polymers_of(files: Iterable[Row], report: Report) -> dict[str, Polymer]:
    """All polymers of several tables; a symbol may stand in one table only."""
    found: dict[str, Polymer] = {}
    for file in files:
        for row in file.rows("rows"):
            symbol = row.text("symbol")
            if symbol in found:
                at = row.at("symbol")
                report.add(
                    "error",
                    "repeated-symbol",
                    at.file,
                    at.line,
                    at.column,
                    f"'{symbol}' stands in the marking tables twice",
                )
            note = "; ".join(text for text in (row.text("note"), row.text("trap")) if text)
            found[symbol] = Polymer(
                symbol, row.text("name"), row.text("class"), row.flag("tpe"), note, row.words("source")
            )
    return found


def legacy_of(
    file: Row, polymers: Mapping[str, Polymer], fillers: Mapping[str, FillerCode], report: Report
) -> dict[str, Legacy]:
    """Earlier abbreviations; what they are called today must be in the tables."""
    found: dict[str, Legacy] = {}
    for row in file.rows("rows"):
        today, filler = row.text("today"), ""
        if today not in polymers and "-" in today and today.rpartition("-")[2] in fillers:
            today, _, filler = today.rpartition("-")
        if today not in polymers:
            unknown(row.at("today"), "polymer", today, polymers, report)
            continue
        key = row.text("symbol").upper().replace(" ", "")  # blanks are taken out before reading
        if key in polymers and " " in row.text("symbol"):
            continue
        in_words = row.text("today_in_words") or row.text("today")
        found[key] = Legacy(
            row.text("symbol"),
            (today,),
            filler,
            row.text("meaning"),
            row.text("sure"),
            in_words,
            row.text("note"),
            row.words("source"),
        )
    return found


def prior_of(file: Row, polymers: Mapping[str, Polymer], fillers: Mapping[str, FillerCode], report: Report) -> Prior:
    """The prior; every polymer and filler it names must be in the tables."""
    for row in file.rows("blends"):
        for blend in row.numbers("symbols"):
            for symbol in blend.split("+"):
                if symbol not in polymers:
                    unknown(row.at("symbols"), "polymer", symbol, polymers, report)
    other, percent, steps, rec = (
        _row(file, key) for key in ("other_blends", "percent", "mixture_percents", "recyclate")
    )
    for row in (*file.rows("profiles"), other):
        for symbol in row.words("symbols"):
            if symbol not in polymers:
                unknown(row.at("symbols"), "polymer", symbol, polymers, report)
    for row in file.rows("profiles"):
        for code in row.numbers("fillers"):
            if code != "none" and code not in fillers:
                unknown(row.at("fillers"), "filler", code, fillers, report)
    retardants, resin = _row(file, "retardants"), _row(file, "resin_codes")
    return Prior(
        floor_share=file.number("floor_share"),
        legacy_times=file.number("legacy_times"),
        polymers=_merged(file, "polymers"),
        blends=_merged(file, "blends"),
        other_share=other.number("share"),
        other_smoothing=other.number("smoothing"),
        other_symbols=other.words("symbols"),
        resin_share=resin.number("share"),
        resin_alone=resin.number("number_alone"),
        layers=_row(file, "layers").number("share"),
        percent=PercentRule(
            _span(_row(percent, "of_five")), _span(_row(percent, "others")), percent.number("left_out")
        ),
        spellings=tuple(
            FillerSpelling(r.text("letters"), r.text("code"), r.number("times"), r.text("note"))
            for r in file.rows("filler_spellings")
        ),
        profiles=tuple(_profile(row) for row in file.rows("profiles")),
        other_fillers=file.number("other_fillers"),
        mixtures=tuple((r.numbers("pairs"), r.number("times"), r.number("total_only")) for r in file.rows("mixtures")),
        mixture_percents=(int(steps.number("low")), int(steps.number("high")), int(steps.number("step"))),
        retardants=retardants.numbers("named"),
        retardants_other=retardants.number("others"),
        retardants_none=retardants.number("none_given"),
        retardant_pairs=retardants.numbers("pairs"),
        recyclate=(rec.number("share"), int(rec.number("low")), int(rec.number("high")), int(rec.number("step"))),
    )


def channel_of(file: Row, look_alikes: Row) -> ChannelTable:
    """The damage channel."""
    letters = _row(file, "bracket_letters")
    return ChannelTable(
        wear=tuple(
            Wear(r.text("id"), *(r.number(k) for k in ("share", "unreadable", "look_alike", "random", "lost", "extra")))
            for r in file.rows("wear")
        ),
        look_alikes={r.text("true"): r.numbers("seen") for r in look_alikes.rows("rows")},
        signs=_signs(file.raw("unreadable_signs")),
        habits={r.text("sign"): _signs(r.raw("becomes")) for r in file.rows("habits")},
        breaks=_signs(file.raw("breaks")),
        brackets={r.text("form"): (r.number("marking"), r.number("other")) for r in file.rows("brackets")},
        bracket_open=letters.numbers("open"),
        bracket_close=letters.numbers("close"),
        turned=tuple(
            Turn(r.text("id"), r.number("share"), {**{c: c for c in r.text("same")}, **r.texts("pairs")})
            for r in file.rows("turned")
        ),
        several=tuple((r.text("true"), r.text("seen"), r.number("chance")) for r in file.rows("several")),
    )


def junk_of(file: Row) -> JunkTable:
    """What other text looks like."""
    kinds = []
    for row in file.rows("kinds"):
        length = _row(row, "length")
        chain = row.values.get("next")
        following = {k: v for k, v in chain.items() if isinstance(v, dict)} if isinstance(chain, dict) else {}
        kinds.append(
            JunkKind(
                row.text("id"),
                row.number("share"),
                length.number("mean"),
                length.number("spread"),
                row.numbers("start"),
                following,
            )
        )
    forms = tuple((r.text("is"), r.number("share"), r.words("like")) for r in file.rows("forms"))
    return JunkTable(file.number("share"), tuple(kinds), forms)


def verdicts_of(file: Row) -> Verdicts:
    """When which word is used."""
    n = file.number
    shares = file.values.get("unseen")
    unseen = tuple(v for v in shares if isinstance(v, float)) if isinstance(shares, tuple) else (0.0,)
    return Verdicts(
        n("clear"), n("likely"), int(n("readable_at_least")), n("not_a_marking"), n("unreadable_share"), n("plausible"),
        n("rest"), unseen,
        int(n("list_at_most")), int(n("longest_text")),
    )  # fmt: skip


def fit_of(file: Row) -> FitTable:
    """How a marking fits a compound."""
    return FitTable(
        file.number("wrong_insert"),
        {r.text("id"): (r.number("chance"), r.number("among", 1.0)) for r in file.rows("fits")},
        {k: _row(file, "polymers").number(k) for k in ("same", "wider", "relative")},
        {k: _row(file, "retardant").number(k) for k in ("same", "differs")},
        {r.text("symbol"): r.words("covers") for r in file.rows("wider")},
        tuple((frozenset(r.words("symbols")), r.number("times", 1.0)) for r in file.rows("relatives")),
    )


def names_of(file: Row, polymers: Mapping[str, Polymer], fillers: Mapping[str, FillerCode], report: Report) -> NameRows:
    """Spoken names; what they stand for must be in the tables."""
    said = []
    for row in file.rows("polymers"):
        if row.text("symbol") not in polymers:
            unknown(row.at("symbol"), "polymer", row.text("symbol"), polymers, report)
        filler = row.text("filler")
        said.append((row.words("say"), row.text("symbol") + (f"-{filler}" if filler else ""), row.number("times", 1.0)))
    for row in file.rows("fillers"):
        if row.text("code") not in fillers:
            unknown(row.at("code"), "filler", row.text("code"), fillers, report)
    words = file.values.get("words")
    return NameRows(
        {k: v for k, v in words.items() if isinstance(v, tuple)} if isinstance(words, dict) else {},
        tuple(said),
        tuple((r.words("say"), r.text("code"), r.number("times", 1.0)) for r in file.rows("fillers")),
        {k: int(v) for k, v in file.numbers("numbers").items()},
        file.number("enough"),
        file.number("typo"),
        file.number("base"),
    )


def _profile(row: Row) -> Profile:
    percents = row.values.get("percents")
    levels = {k: {int(p): w for p, w in v.items()} for k, v in percents.items()} if isinstance(percents, dict) else {}
    return Profile(
        row.text("id"),
        row.words("symbols"),
        row.numbers("fillers"),
        levels,
        row.number("retardant"),
        row.number("plasticizer"),
    )


def _span(row: Row) -> tuple[int, int, float]:
    return int(row.number("low")), int(row.number("high")), row.number("share")


def _merged(file: Row, key: str) -> dict[str, float]:
    return {symbol: share for row in file.rows(key) for symbol, share in row.numbers("symbols").items()}


def _row(row: Row, key: str) -> Row:
    found = row.row(key)
    return found if found is not None else Row(row.node, {}, {})


def _signs(node: Node | None) -> dict[str, float]:
    """A mapping from a sign (which may be a blank or nothing) to a number; blanks are kept as they stand."""
    if not isinstance(node, MappingNode):
        return {}
    pairs = ((key.text, number(value.text)) for key, value in node.pairs if isinstance(value, Scalar))
    return {sign: value for sign, value in pairs if value is not None}
