"""How sure the cost is, drawn: a bar for the sum and one a source, and the curve of the sum."""

from __future__ import annotations

from itertools import pairwise

from ...models.answer.spread import Spread
from .drawing import Area, Drawing, Part, Point, Stroke, Words

WIDTH = 760.0
LEFT, RIGHT = 230.0, 96.0
"""Room for the sources' names, and for their P80."""
BAR, GAP, TOP = 20.0, 12.0, 44.0
CURVE_HEIGHT = 240.0
MOST_SOURCES = 12
"""Bars beside the sum's; narrower ones are left out."""

BANDS = (
    ("P10 to P50", "#ffffff", ""),
    ("P50 to P80", "#ffffff", "#000000"),
    ("P80 to P90", "#595959", ""),
)
"""What a bar is made of: name, fill, stripes."""


def risk_bars(spread: Spread, currency: str, what: str) -> Drawing:
    """Return the sum and each source alone as bars from P10 to P90, the cost as priced a line."""
    rows = [("All together", spread.total)]
    rows += [(source.name, source.cost) for source in spread.sources[:MOST_SOURCES]]
    low, high = _ends(spread)
    scale = (WIDTH - LEFT - RIGHT) / (high - low)

    def across(cost: float) -> float:
        return LEFT + (cost - low) * scale

    parts: list[Part] = []
    x = 8.0
    for name, fill, stripes in BANDS:
        parts.append(Area(_box(x, 4.0, x + 14.0, 16.0), fill, stripes=stripes))
        parts.append(Words((x + 19.0, 14.0), name, 11.0))
        x += 105.0
    y = TOP
    for name, cost in rows:
        parts.append(Words((LEFT - 8.0, y + BAR / 2 + 4.0), _short(name), 11.0, "end"))
        ends = [across(each) for each in (cost.p10, cost.p50, cost.p80, cost.p90)]
        for (start, end), (_, fill, stripes) in zip(pairwise(ends), BANDS, strict=True):
            if end > start:
                parts.append(Area(_box(start, y, end, y + BAR), fill, stripes=stripes))
        parts.append(Words((across(high) + 6.0, y + BAR / 2 + 4.0), f"{cost.p80:,.0f}", 11.0))
        y += BAR + GAP
    foot = y - GAP + 6.0
    at = across(spread.cost)
    parts.append(Stroke(((at, TOP - 8.0), (at, foot)), 1.5, dash=(5.0, 3.0)))
    parts.append(Words((at, TOP - 12.0), f"as priced {spread.cost:,.0f}", 11.0, "middle"))
    parts.append(Words((across(high) + 6.0, TOP - 12.0), "P80", 11.0, bold=True))
    about = f"{what} from P10 to P90, {currency}: " + "; ".join(
        f"{name} {cost.p10:,.0f} to {cost.p90:,.0f}, P80 {cost.p80:,.0f}" for name, cost in rows
    )
    return Drawing(WIDTH, foot + 4.0, tuple(parts), about)


def risk_curve(spread: Spread, currency: str, what: str) -> Drawing:
    """Return the chance that the cost is no more, against the cost."""
    low, high = spread.curve[0][0], spread.curve[-1][0]
    left, right, top, foot = 60.0, WIDTH - 40.0, 24.0, CURVE_HEIGHT - 34.0
    scale = (right - left) / max(high - low, 1e-9)

    def at(cost: float, chance: float) -> Point:
        return left + (cost - low) * scale, foot - chance * (foot - top)

    parts: list[Part] = []
    for chance in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0):
        y = at(low, chance)[1]
        parts.append(Stroke(((left, y), (right, y)), 0.5, "#b0b0b0"))
        parts.append(Words((left - 6.0, y + 4.0), f"{chance:.0%}", 11.0, "end"))
    parts.append(Stroke(tuple(at(cost, chance) for cost, chance in spread.curve), 2.0))
    total = spread.total
    marks = ((total.p50, 0.5, "P50"), (total.p80, 0.8, "P80"), (total.p90, 0.9, "P90"))
    for cost, chance, name in marks:
        x, y = at(cost, chance)
        parts.append(Stroke(((x, y), (x, foot)), 1.0, dash=(4.0, 3.0)))
        parts.append(Words((x + 5.0, y + 12.0), f"{name} {cost:,.0f}", 11.0))
    for cost, anchor in ((low, "start"), (high, "end")):
        parts.append(Words((at(cost, 0.0)[0], foot + 16.0), f"{cost:,.0f}", 11.0, anchor))
    middle = (left + right) / 2
    parts.append(Words((middle, foot + 30.0), f"{what}, {currency}", 11.0, "middle"))
    parts.append(Words((left, 12.0), "Chance that it is no more", 11.0))
    about = f"{what}, chance that it is no more: " + ", ".join(
        f"{chance:.0%} at {cost:,.0f}" for cost, chance, _ in marks
    )
    return Drawing(WIDTH, CURVE_HEIGHT, tuple(parts), about)


def _ends(spread: Spread) -> tuple[float, float]:
    """Return the ends of the scale of the bars."""
    ranges = [spread.total, *(source.cost for source in spread.sources)]
    low = min([spread.cost, *(each.p10 for each in ranges)])
    high = max([spread.cost, *(each.p90 for each in ranges)])
    room = 0.02 * (high - low) or 1.0
    return low - room, high + room


def _box(left: float, top: float, right: float, foot: float) -> tuple[Point, ...]:
    return ((left, top), (right, top), (right, foot), (left, foot))


def _short(name: str) -> str:
    return name if len(name) <= 38 else name[:37] + "…"
