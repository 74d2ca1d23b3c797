"""How time and memory grow, drawn on axes of powers of ten."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from moorledger.io.drawings.drawing import Drawing, Part, Point, Stroke, Words, mark

WIDTH, HEIGHT = 760.0, 420.0
LEFT, RIGHT, TOP, FOOT = 64.0, 150.0, 20.0, 48.0
GRID = "#d0d0d0"

Line = tuple[str, str, Sequence[tuple[float, float]]]
"""Name, unit, points (leg groups, amount)."""


def growth_drawing(lines: Sequence[Line]) -> Drawing:
    """Return the lines, each with marks of its own and its name at its end."""
    across = [x for _, _, points in lines for x, _ in points]
    upwards = [y for _, _, points in lines for _, y in points]
    x_ends = math.floor(math.log10(min(across))), math.ceil(math.log10(max(across)))
    y_ends = math.floor(math.log10(min(upwards))), math.ceil(math.log10(max(upwards)))
    right, foot = WIDTH - RIGHT, HEIGHT - FOOT

    def at(x: float, y: float) -> Point:
        share = (math.log10(x) - x_ends[0]) / (x_ends[1] - x_ends[0])
        up = (math.log10(y) - y_ends[0]) / (y_ends[1] - y_ends[0])
        return LEFT + share * (right - LEFT), foot - up * (foot - TOP)

    parts: list[Part] = [
        *_axis(*x_ends, lambda x: (at(x, 10.0 ** y_ends[0]), at(x, 10.0 ** y_ends[1])), True),
        *_axis(*y_ends, lambda y: (at(10.0 ** x_ends[0], y), at(10.0 ** x_ends[1], y)), False),
        Words(((LEFT + right) / 2, HEIGHT - 8.0), "leg groups, no two alike", 12.0, "middle"),
    ]
    for number, (name, unit, points) in enumerate(lines):
        run = [at(x, y) for x, y in points]
        parts.append(Stroke(tuple(run), 1.5))
        parts += [mark(place, number) for place in run]
        x, y = run[-1]
        parts.append(Words((x + 10.0, y + 4.0), f"{name}, {unit}", 11.0))
    about = "; ".join(
        f"{name}, {unit}: " + ", ".join(f"{y:,.1f} at {x:,.0f} leg groups" for x, y in points)
        for name, unit, points in lines
    )
    return Drawing(WIDTH, HEIGHT, tuple(parts), about)


def _axis(
    low: int, high: int, ends: Callable[[float], tuple[Point, Point]], across: bool
) -> list[Part]:
    """Return the lines of the grid, and the numbers at the powers of ten."""
    parts: list[Part] = []
    for power in range(low, high + 1):
        for times in range(1, 10) if power < high else (1,):
            start, end = ends(times * 10.0**power)
            shade = "#808080" if times == 1 else GRID
            parts.append(Stroke((start, end), 1.0 if times == 1 else 0.5, shade))
        start, _ = ends(10.0**power)
        place = (start[0], start[1] + 16.0) if across else (start[0] - 6.0, start[1] + 4.0)
        anchor = "middle" if across else "end"
        parts.append(Words(place, f"{10.0**power:,g}", 11.0, anchor))
    return parts
