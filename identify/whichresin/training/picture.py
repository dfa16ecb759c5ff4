"""The reliability of stated confidence as a picture: lines of text, or an SVG file."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from .reliability import Bin, Reliability

_WIDE = 40  # characters of a bar in the text picture
_SIDE, _EDGE, _GAP, _STRIP = 260, 46, 40, 44  # SVG units


def text_picture(name: str, found: Reliability) -> list[str]:
    """A line for each bin: `=` up to what came true, `|` where it was stated to be."""
    lines = [f"{name}: stated (|) and come true (=)"]
    for b in found.bins:
        if not b.count:
            continue
        bar = ["=" if place < round(b.right * _WIDE) else "." for place in range(_WIDE + 1)]
        bar[round(b.stated * _WIDE)] = "|"
        lines.append(
            f"  {b.low:3.1f}-{b.high:3.1f} {''.join(bar)} {b.count:6d} said {b.stated * 100:5.1f} % "
            f"true {b.right * 100:5.1f} % +-{b.error * 100:4.1f}"
        )
    return lines


def svg_picture(charts: Sequence[tuple[str, Reliability]], caption: str) -> str:
    """One square chart for each name: what was stated across, what came true upwards, counts below."""
    width = _EDGE + len(charts) * (_SIDE + _GAP)
    height = _EDGE + _SIDE + _STRIP + 60
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="12">',
        f'<rect width="{width}" height="{height}" fill="white"/>',
    ]
    for place, (name, found) in enumerate(charts):
        parts += _chart(name, found, _EDGE + place * (_SIDE + _GAP), _EDGE)
    parts.append(f'<text x="{_EDGE}" y="{height - 8}" fill="#444">{escape(caption)}</text>')
    return "\n".join([*parts, "</svg>", ""])


def _chart(name: str, found: Reliability, left: int, top: int) -> list[str]:
    bottom = top + _SIDE
    title = f"{name}: ECE {found.ece:.3f} (error {found.ece_error:.3f})"
    parts = [
        f'<text x="{left}" y="{top - 12}" font-size="14">{escape(title)}</text>',
        f'<rect x="{left}" y="{top}" width="{_SIDE}" height="{_SIDE}" fill="none" stroke="#888"/>',
        f'<line x1="{left}" y1="{bottom}" x2="{left + _SIDE}" y2="{top}" stroke="#888" stroke-dasharray="4 4"/>',
    ]
    middle = top + _SIDE // 2
    parts += [
        f'<text x="{left + _SIDE - 4}" y="{bottom - 6}" text-anchor="end" fill="#666">stated</text>',
        f'<text x="{left + 14}" y="{middle}" text-anchor="middle" fill="#666" '
        f'transform="rotate(-90 {left + 14} {middle})">came true</text>',
    ]
    for tick in (0.0, 0.5, 1.0):
        parts.append(f'<text x="{left - 6}" y="{bottom - tick * _SIDE + 4}" text-anchor="end">{tick:g}</text>')
        parts.append(f'<text x="{left + tick * _SIDE}" y="{bottom + 14}" text-anchor="middle">{tick:g}</text>')
    used = [b for b in found.bins if b.count]
    points = " ".join(f"{left + b.stated * _SIDE:.1f},{bottom - b.right * _SIDE:.1f}" for b in used)
    parts.append(f'<polyline points="{points}" fill="none" stroke="#1f4e79" stroke-width="1.5"/>')
    most = max((b.count for b in used), default=1)
    for b in used:
        parts += _mark(b, left, bottom, most)
    return parts


def _mark(b: Bin, left: int, bottom: int, most: int) -> list[str]:
    """The point of a bin with two standard errors either way, and its count as a bar under the chart."""
    x, y, reach = left + b.stated * _SIDE, bottom - b.right * _SIDE, 2.0 * b.error * _SIDE
    high, low = max(y - reach, bottom - _SIDE), min(y + reach, bottom)
    tall = b.count / most * (_STRIP - 16)
    base = bottom + 18 + _STRIP - 16
    return [
        f'<line x1="{x:.1f}" y1="{high:.1f}" x2="{x:.1f}" y2="{low:.1f}" stroke="#1f4e79"/>',
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="#1f4e79"/>',
        f'<rect x="{left + b.low * _SIDE + 1:.1f}" y="{base - tall:.1f}" width="{_SIDE / 10 - 2:.1f}" '
        f'height="{tall:.1f}" fill="#9ab3c9"/>',
    ]
