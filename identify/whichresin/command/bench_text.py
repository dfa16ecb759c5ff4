"""The documents of `weigh` and `liquid` as lines of text; pure, nothing is computed here."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from typing import Any

from whichresin.terminal.lines import Line, doubt, percent, wrap
from whichresin.terminal.render import heading
from whichresin.terminal.words import LEVELS

_RESULTS = {"floats": "It floats", "neutral": "It hangs", "sinks": "It sinks"}
_INDENT = " " * 13
_LEAST_PERCENT = 3.0  # less filler than this is nothing that anybody mixes in


def columns() -> int:
    """The width to write for."""
    return max(20, min(100, shutil.get_terminal_size((80, 24)).columns - 1))


def weighed_lines(document: Mapping[str, Any], width: int) -> list[Line]:
    """The density, what it can be, what to watch for."""
    density, spread = document["density_g_cm3"], document["uncertainty_g_cm3"]
    if density is None:
        ends = (document["low_g_cm3"], document["high_g_cm3"])
        parts = [f"{word} {end:.3f}" for word, end in zip(("above", "below"), ends, strict=True) if end is not None]
        lines = heading(f"Density {' and '.join(parts)} g/cm3", width)
    else:
        lines = heading(f"Density {density:.3f} g/cm3, give or take {doubt(spread)}", width)
    lines += wrap(f"By {document['method']}.", width, "faint")
    if document["liquid_density_g_cm3"] is not None:
        liquid = f"Liquid {document['liquid_density_g_cm3']:.4f} g/cm3"
        lift = f"; {document['air_buoyancy']['correction_g_cm3']:+.5f} g/cm3 for the buoyancy of air"
        lines += wrap(f"{liquid}{lift}.", width, "faint")
    for warning in document["warnings"]:
        lines += wrap(warning, width, "plain", "  ! ", "    ")
    lines += heading("What weighs that", width)
    for one in document["polymers"][:8]:
        name = f"{percent(one['probability']):>11}  {one['symbol']}, {one['name']}"
        lines += wrap(name, width, "strong", "", _INDENT)
        named = ", ".join(compound["symbol"] for compound in one["compounds"])
        lines += wrap(f"most like {named}", width, "plain", _INDENT, _INDENT)
        shares = [
            f"{f['name']} {f['percent']:.0f} % ({f['low_percent']:.0f} to {f['high_percent']:.0f})"
            for f in one["filled_with"]
            if f["percent"] >= _LEAST_PERCENT
        ]
        if shares:
            lines += wrap(f"if filled: {'; '.join(shares[:4])}", width, "faint", _INDENT, _INDENT)
    lines += wrap(f"{percent(document['none_of_these']):>11}  none of the plastics known here", width, "faint")
    return lines


def liquid_lines(document: Mapping[str, Any], width: int) -> list[Line]:
    """Cautions first, then the recipe, what it separates and how to check it."""
    lines: list[Line] = []
    if document["cautions"]:
        lines += heading("Before you mix", width)
        for caution in document["cautions"]:
            word = LEVELS.get(caution["level"], caution["level"].upper())
            lines += wrap(f"{word}: {caution['text']}", width, "caution", "  ", "  ")
    lines += recipe_lines(document, width)
    lines += separates_lines(document["separates"], width)
    return lines


def recipe_lines(document: Mapping[str, Any], width: int) -> list[Line]:
    """The recipe itself, its reach, how to use and check it."""
    density, spread = document["density_g_cm3"], document["uncertainty_g_cm3"]
    at = f"at {document['temperature_c']:g} C"
    lines = heading(f"A liquid of {density:.3f} g/cm3 {at}, give or take {doubt(spread)}", width)
    if document["solute"] == "water":
        lines += wrap("Plain water.", width, "strong", "  ", "  ")
    else:
        grams = document["grams_per_100_g_water"]
        text = f"{grams:.1f} g of {document['solute_name']} in 100 g of water"
        strength = document["strength_percent"]
        bought = "" if strength == 100.0 else f" ({document['solute_name']} of {strength:g} % by mass)"
        lines += wrap(f"{text}, both by weight{bought}.", width, "strong", "  ", "  ")
        low, high = document["range_g_cm3"]
        reach = f"With {document['solute_name']} one reaches {low:.3f} to {high:.3f} g/cm3."
        lines += wrap(reach, width, "faint", "  ", "  ")
    for text in document["how"]:
        lines += wrap(text, width, "plain", "  ", "  ")
    return lines


def separates_lines(separates: Mapping[str, Any], width: int) -> list[Line]:
    """What floats and what sinks in it, and how sure that is."""
    lines = heading("What it tells apart", width)
    for word, text in (("floats", "Floats"), ("either", "Either way"), ("sinks", "Sinks")):
        if separates.get(word):
            lines += wrap(f"{text}: {', '.join(separates[word])}", width, "plain", "  ", "    ")
    if "right" in separates:
        lines += wrap(f"Right in {percent(separates['right'])} of pieces of these two.", width, "plain", "  ", "    ")
    for answer in separates.get("answers", ()):
        text = f"{_RESULTS[answer['result']]} ({percent(answer['probability'])}): then most like {answer['leader']}"
        lines += wrap(f"{text} ({percent(answer['leader_probability'])})", width, "plain", "  ", "    ")
    if "saves_minutes" in separates:
        text = f"Saves about {separates['saves_minutes']:.1f} minutes of wrong work; the test costs"
        lines += wrap(f"{text} {separates['costs_minutes']:.0f}.", width, "plain", "  ", "    ")
    if separates.get("note"):
        lines += wrap(separates["note"], width, "plain", "  ", "    ")
    return lines


def ladder_lines(document: Mapping[str, Any], width: int) -> list[Line]:
    """Every liquid of a ladder in a few lines, and what stays together."""
    lines: list[Line] = []
    if document["cautions"]:
        lines += heading("Before you mix", width)
        for caution in document["cautions"]:
            word = LEVELS.get(caution["level"], caution["level"].upper())
            lines += wrap(f"{word}: {caution['text']}", width, "caution", "  ", "  ")
    lines += heading(f"{len(document['liquids'])} liquids, light to heavy", width)
    for one in document["liquids"]:
        what = "plain water"
        if one["solute"] != "water":
            what = f"{one['grams_per_100_g_water']:.1f} g of {one['solute_name']} in 100 g of water"
        lines += wrap(f"{one['density_g_cm3']:.3f} g/cm3: {what}", width, "strong", "  ", "    ")
        floats, sinks = ", ".join(one["floats"]), ", ".join(one["sinks"])
        lines += wrap(f"floats: {floats or 'nothing'}; sinks: {sinks or 'nothing'}", width, "plain", "    ", "      ")
        (low, high), (cold, warm) = one["room_g_cm3"], one["holds_c"]
        text = f"does as well from {low:.3f} to {high:.3f} g/cm3, and as made from {cold} to {warm} C"
        lines += wrap(text, width, "faint", "    ", "      ")
    for name, text in (
        ("not_separated", "No liquid tells these apart surely"),
        ("out_of_reach", "Only liquids that cannot be made here would tell these apart; weigh the piece instead"),
    ):
        pairs = [f"{a} and {b}" for a, b in document[name]]
        if pairs:
            lines += wrap(f"{text}: {'; '.join(pairs)}.", width, "plain", "  ", "    ")
    return lines
