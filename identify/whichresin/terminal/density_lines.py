"""A density picture in plain signs: `=` a material, `|` a liquid, `<*>` what was measured. Readable without colour."""

from __future__ import annotations

from whichresin.session.density_picture import DensityPicture

from .lines import Line, percent, wrap

_STEPS = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
_TICK_ROOM = 7  # columns that a figure on the axis needs
_LABEL_MOST = 12
_NARROW = 60  # below it chances are left out
_MEASURED = "measured"


def density_lines(picture: DensityPicture, width: int) -> list[Line]:
    """The picture in lines of less than `width` columns, then what its signs mean."""
    if not picture.spans:
        return []
    low, high = picture.ends
    names = [span.label for span in picture.spans] + ([_MEASURED] if picture.measured else [])
    label = min(_LABEL_MOST, max(len(name) for name in names)) + 1
    said = width >= _NARROW and any(span.probability is not None for span in picture.spans)
    room = max(12, width - label - 3 - (11 if said else 0))

    def column(density: float) -> int:
        return min(room - 1, max(0, round((density - low) / (high - low) * (room - 1))))

    bars = {column(mark.density): "|" for mark in picture.liquids}
    if picture.measured is not None:
        bars.setdefault(column(picture.measured[1]), ":")
    lines = []
    for span in picture.spans:
        row = [bars.get(place, " ") for place in range(room)]
        for place in range(column(span.low), column(span.high) + 1):
            row[place] = "=" if row[place] == " " else "#" if row[place] == "|" else "*"
        chance = f" {percent(span.probability):>10}" if said and span.probability is not None else ""
        lines.append(Line(f"{span.label[:_LABEL_MOST]:<{label}} {''.join(row)}{chance}".rstrip()))
    if picture.measured is not None:
        first, value, last = (column(density) for density in picture.measured)
        row = [bars.get(place, " ") for place in range(room)]
        for place in range(first, last + 1):
            row[place] = "-"
        row[first], row[last], row[value] = "<", ">", "*"
        lines.append(Line(f"{_MEASURED[:_LABEL_MOST]:<{label}} {''.join(row)}".rstrip(), "strong"))
    lines += _axis(low, high, room, label)
    return lines + _legend(picture, width)


def _axis(low: float, high: float, room: int, label: int) -> list[Line]:
    step = next((s for s in _STEPS if (high - low) / s * _TICK_ROOM <= room), _STEPS[-1])
    ruler, figures = ["-"] * room, [" "] * (room + 4)
    tick = -int(-low / step // 1)
    while tick * step <= high + 1e-9:
        place = round((tick * step - low) / (high - low) * (room - 1))
        ruler[place] = "+"
        text = f"{tick * step:.2f}"
        start = min(place, room - len(text) + 1)
        figures[start : start + len(text)] = list(text)
        tick += 1
    pad = " " * (label + 1)
    return [Line(f"{pad}{''.join(ruler)}", "faint"), Line(f"{pad}{''.join(figures)}".rstrip(), "faint")]


def _legend(picture: DensityPicture, width: int) -> list[Line]:
    said = ["g/cm3; = nearly all pieces of a material"]
    if picture.liquids:
        told = ", ".join(f"{mark.density:.3f} {mark.label}" for mark in picture.liquids)
        said.append(f"| a liquid (# inside a material): {told}")
    if picture.measured is not None:
        first, value, last = picture.measured
        said.append(f"<*> measured {value:.3f}, 95 in 100 from {first:.3f} to {last:.3f}")
    lines: list[Line] = []
    for text in said:
        lines += wrap(text, width, "faint", "", "  ")
    return lines
