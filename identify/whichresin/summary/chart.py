"""The belief over the steps of an interview as an inline SVG picture. Pure: points in, text out.

Lines differ by dash and mark as well as by shade, and each has its name at its end, so that a print in black says
as much as a screen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from whichresin.vocabulary.text import escaped

from . import words
from .sheet import Point

WIDTH = 430
_LEFT, _RIGHT, _TOP, _HIGH, _GAP = 30, 126, 22, 120, 50
_DASHES = ("", "7 3", "2 3", "9 3 2 3", "1 5", "12 4")
_WORTH_A_LINE = 0.05
_MOST_LINES = 5
_LABEL_HIGH = 13

Lines = Mapping[str, Sequence[float]]


def chart(points: Sequence[Point]) -> str:
    """Two panels over the same steps: the class, and the leading polymers."""
    panels = [(words.CLASSES, _classes(points)), (words.POLYMERS, _polymers(points))]
    height = len(panels) * (_TOP + _HIGH + _GAP) - 12
    parts = [
        f'<svg viewBox="0 0 {WIDTH} {height}" role="img" aria-label="{escape(words.PICTURE)}" '
        'xmlns="http://www.w3.org/2000/svg" font-size="11">'
    ]
    for number, (title, lines) in enumerate(panels):
        parts += _panel(title, lines, len(points), number * (_TOP + _HIGH + _GAP) + _TOP)
    return "\n".join([*parts, "</svg>"])


def _classes(points: Sequence[Point]) -> Lines:
    names = list(points[0].classes)
    lines = {name: [point.classes.get(name, 0.0) for point in points] for name in names}
    lines[words.NONE_SHORT] = [point.none_of_these for point in points]
    return {name: line for name, line in lines.items() if max(line) >= _WORTH_A_LINE}


def _polymers(points: Sequence[Point]) -> Lines:
    """Whoever led at some step, and the best of the end; at most a handful."""
    last = points[-1].polymers
    led = {max(point.polymers, key=lambda name: point.polymers[name]) for point in points if point.polymers}
    names = sorted({*led, *last}, key=lambda name: (-last.get(name, 0.0), name not in led, name))[:_MOST_LINES]
    return {
        name: line
        for name in names
        if max(line := [point.polymers.get(name, 0.0) for point in points]) >= _WORTH_A_LINE
    }


def _panel(title: str, lines: Lines, count: int, top: int) -> list[str]:
    right = WIDTH - _RIGHT
    parts = [f'<text x="{_LEFT}" y="{top - 8}" font-weight="bold">{escape(title)}, %</text>']
    for share in (0, 25, 50, 75, 100):
        y = _y(share / 100, top)
        parts.append(f'<line class="grid" x1="{_LEFT}" y1="{y:g}" x2="{right}" y2="{y:g}"/>')
        parts.append(f'<text x="{_LEFT - 4}" y="{y + 4:g}" text-anchor="end">{share}</text>')
    every = max(1, -(-count // 14))
    for step in range(0, count, every):
        parts.append(f'<text x="{_x(step, count):g}" y="{top + _HIGH + 15}" text-anchor="middle">{step}</text>')
    parts.append(f'<text x="{right}" y="{top + _HIGH + 28}" text-anchor="end">{escape(words.STEP)}</text>')
    ends = _spread({name: _y(line[-1], top) for name, line in lines.items()}, top)
    for number, (name, line) in enumerate(lines.items()):
        where = [(_x(step, count), _y(chance, top)) for step, chance in enumerate(line)]
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in where)
        dash = _DASHES[number % len(_DASHES)]
        parts.append(f'<polyline class="line" points="{path}"' + (f' stroke-dasharray="{dash}"/>' if dash else "/>"))
        parts += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2"/>' for x, y in where]
        label = f"{escaped(name)} {_short(line[-1])}"
        parts.append(f'<text x="{right + 8}" y="{ends[name] + 4:.1f}">{escape(label)}</text>')
        parts.append(
            f'<line class="lead" x1="{where[-1][0] + 2:.1f}" y1="{where[-1][1]:.1f}" x2="{right + 6}" '
            f'y2="{ends[name]:.1f}"/>'
        )
    return parts


def _short(chance: float) -> str:
    """A chance in figures; never 0 or 100, which nobody can promise."""
    return ">99 %" if chance >= 0.995 else "<1 %" if chance < 0.005 else f"{chance * 100:.0f} %"


def _x(step: int, count: int) -> float:
    right = WIDTH - _RIGHT - 4
    return _LEFT + (right - _LEFT) * (step / (count - 1) if count > 1 else 0.0)


def _y(chance: float, top: int) -> float:
    return top + _HIGH * (1.0 - chance)


def _spread(wanted: Mapping[str, float], top: int) -> dict[str, float]:
    """Label heights near those wanted, a line apart, inside the panel."""
    names = sorted(wanted, key=lambda name: wanted[name])
    found: dict[str, float] = {}
    least = float(top)
    for name in names:
        found[name] = max(least, wanted[name])
        least = found[name] + _LABEL_HIGH
    most = float(top + _HIGH)
    for name in reversed(names):
        found[name] = min(found[name], most)
        most = found[name] - _LABEL_HIGH
    return found
