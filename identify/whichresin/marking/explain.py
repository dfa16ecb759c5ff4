"""Say in plain words what a marking means, part by part, and what class it is."""

from __future__ import annotations

from .composition import Composition, FillerPart, Marking
from .tables import Polymer, Tables

UNKNOWN = "unknown"


def row_of(symbol: str, tables: Tables) -> Polymer | None:
    """The table row of a symbol, or of its base when the characteristics are not listed with it."""
    while symbol not in tables.polymers and "-" in symbol:
        symbol = symbol.rpartition("-")[0]
    return tables.polymers.get(symbol)


def class_of(marking: Marking, tables: Tables) -> str:
    """thermoplastic, thermoset, elastomer or unknown: that of the main layer.

    A blend is what its parts are; rubber in a thermoplastic leaves it one. Parts that differ otherwise: unknown.
    """
    rows = [row_of(symbol, tables) for symbol in marking.leading.polymers]
    classes = {row.klass if row else UNKNOWN for row in rows}
    if classes == {"thermoplastic", "elastomer"}:
        return "thermoplastic"
    return classes.pop() if len(classes) == 1 else UNKNOWN


def meaning(marking: Marking, tables: Tables) -> str:
    """One line for a person."""
    layers = [_composition(layer, tables) for layer in marking.layers]
    if len(layers) > 1:
        main = f"; the main material is layer {marking.main + 1}" if marking.main is not None else ""
        return "layers from the visible side: " + " | ".join(layers) + main
    return layers[0]


def parts(marking: Marking, tables: Tables) -> tuple[tuple[str, str], ...]:
    """Every part of the marking and what it stands for."""
    found: list[tuple[str, str]] = []
    for layer in marking.layers:
        for symbol in layer.polymers:
            row = row_of(symbol, tables)
            extra = symbol[len(row.symbol) :].lstrip("-") if row else ""
            name = row.name if row else "not in the tables"
            if row and row.tpe:
                name += " (a thermoplastic elastomer: it melts and can be welded)"
            if extra:
                name += "; " + characteristics(extra, tables)
            spoken = spoken_name(symbol, tables)
            found.append((symbol, f"{name}; people say {spoken}" if spoken else name))
        found.extend((part.code + _digits(part.percent), filler_words(part, tables)) for part in layer.fillers)
        if layer.total_percent is not None:
            found.append((str(layer.total_percent), f"{layer.total_percent} % of fillers together"))
        if layer.plasticizer:
            found.append((f"P({layer.plasticizer})", f"plasticized with {tables.plasticizers[layer.plasticizer].name}"))
        if layer.recyclate is not None:
            found.append((f"(REC{layer.recyclate})", f"{layer.recyclate} % recycled material"))
        if layer.retarded and not layer.retardants:
            found.append(("FR", "flame-retarded, kind not given"))
        for code in layer.retardants:
            term = tables.retardants.get(code)
            found.append((f"FR({code})", f"flame retardant: {term.name if term else 'number not in the tables'}"))
        if layer.resin_code is not None:
            found.append(
                (str(layer.resin_code), f"resin identification code: {tables.resin_codes[layer.resin_code].name}")
            )
    return tuple(found)


def characteristics(letters: str, tables: Tables) -> str:
    """What the letters of special characteristics stand for, each by its usual meaning."""
    return " ".join(tables.characteristics.get(letter, ("?",))[0] for letter in letters if letter != "-")


def spoken_name(symbol: str, tables: Tables) -> str:
    """What people call a polymer, where the name of the standard does not say it already; empty for nothing."""
    row = row_of(symbol, tables)
    for says, meant, _ in tables.names.polymers:
        if meant == symbol and row is not None:
            return "" if says[0] == says[0].upper() or _letters(says[0]) in _letters(row.name) else says[0]
    return ""


def _letters(text: str) -> str:
    return "".join(c for c in text.lower() if c.isalnum())


def filler_words(part: FillerPart, tables: Tables) -> str:
    """`30 % glass fibre`."""
    row = tables.fillers.get(part.code)
    name = row.name if row else f"{part.material}, {part.form}"
    return f"{part.percent} % {name}" if part.percent is not None else f"{name}, share not given"


def _composition(layer: Composition, tables: Tables) -> str:
    if not layer.polymers:
        code = tables.resin_codes.get(layer.resin_code or 0)
        return code.name if code else "no polymer named"
    names = []
    for symbol in layer.polymers:
        row = row_of(symbol, tables)
        kind = " (thermoplastic elastomer)" if row and row.tpe and "thermoplastic elastomer" not in row.name else ""
        extra = symbol[len(row.symbol) :] if row else ""
        special = f", {characteristics(extra, tables)}" if extra else ""
        names.append((row.name if row else symbol) + kind + special)
    text = " blended with ".join(names)
    if layer.fillers:
        text += " with " + " and ".join(filler_words(part, tables) for part in layer.fillers)
        text += f", {layer.total_percent} % together" if layer.total_percent is not None else ""
    if layer.plasticizer:
        text += f", plasticized ({tables.plasticizers[layer.plasticizer].name})"
    if layer.recyclate is not None:
        text += f", {layer.recyclate} % recycled"
    if layer.retarded:
        kinds = [tables.retardants[code].name for code in layer.retardants if code in tables.retardants]
        text += ", flame-retarded" + (f" ({'; '.join(kinds)})" if kinds else "")
    return text


def _digits(percent: int | None) -> str:
    return "" if percent is None else f"{percent:02d}"
