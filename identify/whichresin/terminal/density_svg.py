"""A density picture as an SVG file. Shapes and words carry the meaning; nothing hangs on a colour."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from whichresin.session.density_picture import DensityPicture

from .lines import percent

_WIDE, _RIGHT, _ROW, _BAR = 760, 90, 26, 14
_LETTER = 9  # units that a letter of a label takes
_TEXT, _LINE = 14, 18  # size of letters, height of a line of them
_INK, _SPAN, _FAINT, _BAND = "#222", "#8a8a8a", "#bbb", "#e4e4e4"
_STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
_MEASURED = "measured"
_KEY = "density, g/cm3; a bar holds nearly all pieces of a material; a dashed line is a liquid"
_LABEL_ROOM = 130  # units that a liquid's name takes


def density_svg(picture: DensityPicture, title: str) -> str:
    """The picture as the text of an SVG file, `title` above it."""
    low, high = picture.ends
    longest = max((len(span.label) for span in picture.spans), default=0)
    left = 24 + _LETTER * max(longest, len(_MEASURED) if picture.measured else 0)
    scale = (_WIDE - left - _RIGHT) / (high - low)

    def x(density: float) -> float:
        return left + (density - low) * scale

    lanes = _lanes([x(mark.density) for mark in picture.liquids])
    top = 44 + _LINE * (max(lanes, default=-1) + 1)
    rows = len(picture.spans) + (1 if picture.measured else 0)
    bottom = top + rows * _ROW
    height = bottom + 62
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE}" height="{height}" viewBox="0 0 {_WIDE} {height}" '
        f'font-family="sans-serif" font-size="{_TEXT}" fill="{_INK}" role="img">',
        f"<title>{escape(title)}</title>",
        f"<desc>{escape(description(picture))}</desc>",
        f'<rect width="{_WIDE}" height="{height}" fill="white"/>',
        f'<text x="12" y="24" font-size="16" font-weight="bold">{escape(title)}</text>',
    ]
    if picture.measured is not None:
        first, _, last = picture.measured
        wide = max(2.0, x(last) - x(first))
        parts.append(
            f'<rect x="{x(first):.1f}" y="{top}" width="{wide:.1f}" height="{bottom - top}" fill="{_BAND}"/>'
        )
    parts += _axis(low, high, left, scale, top, bottom)
    for place, span in enumerate(picture.spans):
        middle = top + place * _ROW + _ROW / 2
        wide = max(2.0, x(span.high) - x(span.low))
        parts.append(f'<text x="{left - 10}" y="{middle + 5:.1f}" text-anchor="end">{escape(span.label)}</text>')
        parts.append(
            f'<rect x="{x(span.low):.1f}" y="{middle - _BAR / 2:.1f}" width="{wide:.1f}" height="{_BAR}" '
            f'fill="{_SPAN}" stroke="{_INK}"/>'
        )
        if span.probability is not None:
            chance = percent(span.probability)
            parts.append(f'<text x="{_WIDE - 8}" y="{middle + 5:.1f}" text-anchor="end">{chance}</text>')
    for lane, mark in zip(lanes, picture.liquids, strict=True):
        at, y = x(mark.density), 44 + _LINE * lane + 4
        anchor, text_at = ("end", at - 4) if at > _WIDE - _RIGHT - _LABEL_ROOM / 2 else ("start", at + 4)
        parts.append(
            f'<line x1="{at:.1f}" y1="{y - 12}" x2="{at:.1f}" y2="{bottom}" stroke="{_INK}" stroke-width="2" '
            'stroke-dasharray="7 4"/>'
        )
        said = escape(f"{mark.density:.3f} {mark.label}")
        parts.append(f'<text x="{text_at:.1f}" y="{y}" text-anchor="{anchor}">{said}</text>')
    if picture.measured is not None:
        parts += _measured(picture.measured, x, left, top, bottom - _ROW / 2)
    parts.append(f'<text x="{left}" y="{height - 10}">{escape(_KEY)}</text>')
    return "\n".join([*parts, "</svg>", ""])


def description(picture: DensityPicture) -> str:
    """The picture in words, for those who do not see it."""
    said = [f"{span.label} {span.low:.3f} to {span.high:.3f}" for span in picture.spans]
    said += [f"liquid {mark.label} {mark.density:.3f}" for mark in picture.liquids]
    if picture.measured is not None:
        first, value, last = picture.measured
        said.append(f"measured {value:.3f}, between {first:.3f} and {last:.3f}")
    return "Densities in g/cm3: " + "; ".join(said) + "."


def _lanes(places: list[float]) -> list[int]:
    """For each liquid, left to right, the line on which its name has room."""
    ends: list[float] = []
    found = []
    for place in places:
        lane = next((k for k, end in enumerate(ends) if place >= end), len(ends))
        if lane == len(ends):
            ends.append(0.0)
        ends[lane] = place + _LABEL_ROOM
        found.append(lane)
    return found


def _axis(low: float, high: float, left: int, scale: float, top: float, bottom: float) -> list[str]:
    step = next(s for s in _STEPS if s * scale >= 52.0 or s == _STEPS[-1])
    parts = [f'<line x1="{left}" y1="{bottom}" x2="{_WIDE - _RIGHT}" y2="{bottom}" stroke="{_INK}"/>']
    tick = -int(-low / step // 1)
    while tick * step <= high + 1e-9:
        at = left + (tick * step - low) * scale
        parts.append(f'<line x1="{at:.1f}" y1="{top}" x2="{at:.1f}" y2="{bottom + 5}" stroke="{_FAINT}"/>')
        parts.append(f'<text x="{at:.1f}" y="{bottom + 22}" text-anchor="middle">{tick * step:.2f}</text>')
        tick += 1
    return parts


def _measured(
    measured: tuple[float, float, float], x: Callable[[float], float], left: int, top: float, y: float
) -> list[str]:
    first, value, last = (x(density) for density in measured)
    return [
        f'<line x1="{value:.1f}" y1="{top}" x2="{value:.1f}" y2="{y:.1f}" stroke="{_INK}" stroke-width="1"/>',
        f'<text x="{left - 10}" y="{y + 5:.1f}" text-anchor="end" font-weight="bold">{_MEASURED}</text>',
        f'<line x1="{first:.1f}" y1="{y:.1f}" x2="{last:.1f}" y2="{y:.1f}" stroke="{_INK}" stroke-width="3"/>',
        f'<circle cx="{value:.1f}" cy="{y:.1f}" r="6" fill="{_INK}"/>',
        f'<text x="{max(value, last) + 12:.1f}" y="{y + 5:.1f}" font-weight="bold">{measured[1]:.3f}</text>',
    ]
