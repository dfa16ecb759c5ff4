"""Time against size as a picture: both axes logarithmic, a fitted line through each kind of point."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

Point = tuple[float, float]  # table cells, milliseconds
Line = tuple[float, float]  # exponent and factor of  ms = factor * cells ** exponent

_WIDE, _TALL, _LEFT, _TOP = 480, 320, 60, 40
_COLOURS = ("#1f4e79", "#a04000")


def fitted(points: Sequence[Point]) -> Line:
    """Exponent and factor by least squares on the logarithms."""
    logs = [(math.log(x), math.log(y)) for x, y in points]
    x, y = (sum(axis) / len(logs) for axis in zip(*logs, strict=True))
    slope = sum((a - x) * (b - y) for a, b in logs) / sum((a - x) ** 2 for a, _ in logs)
    return slope, math.exp(y - slope * x)


def growth_picture(lines: Sequence[tuple[str, Sequence[Point], Line]]) -> str:
    """An SVG; a grey line shows growth in step with the size, from the first point of the first kind."""
    every = [point for _, points, _ in lines for point in points]
    ends = min(x for x, _ in every), max(x for x, _ in every)
    slope, factor = lines[0][2]
    start = factor * ends[0] ** slope
    every += [(ends[0], start), (ends[1], start * ends[1] / ends[0])]
    low = math.floor(math.log10(min(x for x, _ in every))), math.floor(math.log10(min(y for _, y in every)))
    high = math.ceil(math.log10(max(x for x, _ in every))), math.ceil(math.log10(max(y for _, y in every)))

    def place(x: float, y: float) -> tuple[float, float]:
        across = (math.log10(x) - low[0]) / (high[0] - low[0])
        up = (math.log10(y) - low[1]) / (high[1] - low[1])
        return _LEFT + across * _WIDE, _TOP + (1.0 - up) * _TALL

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_LEFT + _WIDE + 40}" height="{_TOP + _TALL + 60}" '
        'font-family="sans-serif" font-size="12">',
        '<rect width="100%" height="100%" fill="white"/>',
        f'<rect x="{_LEFT}" y="{_TOP}" width="{_WIDE}" height="{_TALL}" fill="none" stroke="#888"/>',
        f'<text x="{_LEFT}" y="22" font-size="14">Time to choose a question against the size of the base</text>',
        f'<text x="{_LEFT + _WIDE / 2}" y="{_TOP + _TALL + 42}" text-anchor="middle">compounds x answers of all cues'
        "</text>",
    ]
    for power in range(low[0], high[0] + 1):
        x, _ = place(10.0**power, 10.0 ** low[1])
        parts.append(f'<text x="{x:.1f}" y="{_TOP + _TALL + 18}" text-anchor="middle">{10**power:,}</text>')
    for power in range(low[1], high[1] + 1):
        _, y = place(10.0 ** low[0], 10.0**power)
        parts.append(f'<text x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{10.0**power:g} ms</text>')
    parts.append(_line(place, every[-2], every[-1], "#aaa", ' stroke-dasharray="5 4"'))
    parts.append(f'<text x="{_LEFT + 12}" y="{_TOP + 52}" fill="#777">dashed: in step with the size (1)</text>')
    for k, (name, points, (slope, factor)) in enumerate(lines):
        colour = _COLOURS[k % len(_COLOURS)]
        parts.append(_line(place, *((x, factor * x**slope) for x in ends), colour, ""))
        for point in points:
            x, y = place(*point)
            parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{colour}"/>')
        parts.append(
            f'<text x="{_LEFT + 12}" y="{_TOP + 18 + 17 * k}" fill="{colour}">{name}: exponent {slope:.2f}</text>'
        )
    return "\n".join([*parts, "</svg>", ""])


def _line(place: Callable[[float, float], Point], one: Point, two: Point, colour: str, more: str) -> str:
    (a, b), (c, d) = place(*one), place(*two)
    return f'<line x1="{a:.1f}" y1="{b:.1f}" x2="{c:.1f}" y2="{d:.1f}" stroke="{colour}"{more}/>'
