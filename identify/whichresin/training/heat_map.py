"""The confusion matrix as an SVG picture: rows are what a part truly is, columns what it is believed to be."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from .confusion import Confusion

_BOX, _EDGE, _RIGHT, _TOP, _KEY = 15, 130, 140, 128, 64  # SVG units
_SHOWN = 0.01  # below this a box stays white
# One hue from light to dark, so that the order can be read without colour as well.
_LIGHT, _DARK = (0xF3, 0xE3, 0xC3), (0x2B, 0x2A, 0x5C)


def svg_heat_map(found: Confusion, caption: str) -> str:
    """A square of boxes, the repair cells framed; a box says its figures when pointed at."""
    count = len(found.names)
    side = count * _BOX
    width, height = _EDGE + side + _RIGHT, _TOP + side + _KEY
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="11">',
        f'<rect width="{width}" height="{height}" fill="white"/>',
        f'<text x="12" y="20" font-size="15">{escape(caption)}</text>',
        '<text x="12" y="38" fill="#444">Row: what the part is. Column: what it is taken for. '
        "Frames: repair cells, named on the right.</text>",
        *_names(found),
        *_boxes(found),
        *_frames(found),
        *_key(_TOP + side + 26),
        "</svg>",
        "",
    ]
    return "\n".join(parts)


def colour(p: float) -> str:
    """White below one in a hundred, then darker with the square root of the chance."""
    if p < _SHOWN:
        return "#ffffff"
    share = min(1.0, p) ** 0.5
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in zip(_LIGHT, _DARK, strict=True))


def _names(found: Confusion) -> Iterator[str]:
    for index, name in enumerate(found.names):
        middle = index * _BOX + _BOX - 4
        yield f'<text x="{_EDGE - 6}" y="{_TOP + middle}" text-anchor="end">{escape(name)}</text>'
        x, y = _EDGE + middle + 2, _TOP - 6
        yield f'<text x="{x}" y="{y}" transform="rotate(-60 {x} {y})">{escape(name)}</text>'


def _boxes(found: Confusion) -> Iterator[str]:
    for i, row in enumerate(found.chance):
        for j, p in enumerate(row):
            if p < _SHOWN:
                continue
            said = f"{found.names[i]} taken for {found.names[j]}: {p:.0%}" if i != j else f"{found.names[i]}: {p:.0%}"
            place = f'x="{_EDGE + j * _BOX}" y="{_TOP + i * _BOX}" width="{_BOX}" height="{_BOX}"'
            yield f'<rect {place} fill="{colour(p)}"><title>{escape(said)}</title></rect>'


def _frames(found: Confusion) -> Iterator[str]:
    side = len(found.names) * _BOX
    yield f'<rect x="{_EDGE}" y="{_TOP}" width="{side}" height="{side}" fill="none" stroke="#888"/>'
    start = 0
    for index in range(1, len(found.cells) + 1):
        if index == len(found.cells) or found.cells[index] != found.cells[start]:
            place, size = start * _BOX, (index - start) * _BOX
            yield (
                f'<rect x="{_EDGE + place}" y="{_TOP + place}" width="{size}" height="{size}" fill="none" '
                f'stroke="#b3261e" stroke-width="1.5"/>'
            )
            middle = _TOP + place + size / 2 + 4
            yield f'<text x="{_EDGE + side + 8}" y="{middle:g}" fill="#b3261e">{escape(found.cells[start])}</text>'
            start = index


def _key(y: int) -> Iterator[str]:
    for index, p in enumerate((0.01, 0.03, 0.1, 0.3, 1.0)):
        x = _EDGE + index * 90
        yield f'<rect x="{x}" y="{y}" width="{_BOX}" height="{_BOX}" fill="{colour(p)}" stroke="#888"/>'
        yield f'<text x="{x + _BOX + 6}" y="{y + 12}">{p:.0%}</text>'
    yield f'<text x="{_EDGE}" y="{y + 32}" fill="#444">White: less than 1 % of the belief.</text>'
