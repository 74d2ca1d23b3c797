"""The cost as bars: each option stacked of what it is made of."""

from __future__ import annotations

from collections.abc import Sequence

from ..words.case import BARS, OptionCost
from .drawing import Area, Drawing, Part, Stroke, Words

WIDTH = 760.0
LEFT, RIGHT = 190.0, 96.0
"""Room for the options' names, and for their totals."""
BAR, GAP, TOP = 26.0, 14.0, 30.0

FILLS = (("#595959", ""), ("#ffffff", ""), ("#ffffff", "#000000"), ("#c8c8c8", ""))
"""Fill and stripes of each of `BARS`."""


def cost_drawing(options: Sequence[OptionCost], currency: str, total: str) -> Drawing:
    """Return a bar an option, the totals written at their ends, the parts explained above.

    total : what the whole is called.
    """
    most = max([option.cost for option in options] + [1.0])
    scale = (WIDTH - LEFT - RIGHT) / most
    parts: list[Part] = []
    x = 8.0
    for (name, _), (fill, stripes) in zip(BARS, FILLS, strict=True):
        parts.append(Area(_bar(x, 4.0, 14.0, 12.0), fill, stripes=stripes))
        parts.append(Words((x + 19.0, 14.0), name, 11.0))
        x += 40.0 + len(name) * 6.4
    y = TOP
    for option in options:
        parts.append(Words((LEFT - 8.0, y + BAR / 2 + 4.0), _short(option.name), 11.0, "end"))
        x = LEFT
        for value, (fill, stripes) in zip(option.grouped(), FILLS, strict=True):
            if value > 0:
                parts.append(Area(_bar(x, y, value * scale, BAR), fill, stripes=stripes))
            x += value * scale
        parts.append(Words((x + 6.0, y + BAR / 2 + 4.0), f"{option.cost:,.0f}", 11.0))
        y += BAR + GAP
    parts.append(Stroke(((LEFT, TOP - 4.0), (LEFT, y - GAP + 4.0)), 1.0))
    about = f"{total}, {currency}: " + "; ".join(
        f"{option.name} {option.cost:,.0f}" for option in options
    )
    return Drawing(WIDTH, y, tuple(parts), about)


def _bar(x: float, y: float, width: float, height: float) -> tuple[tuple[float, float], ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def _short(name: str) -> str:
    return name if len(name) <= 30 else name[:29] + "…"
