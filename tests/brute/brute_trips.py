"""The fewest trips that carry a few lines whole, by trying every way of sharing them out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache

SLACK = 1e-9
NEVER = 1_000_000
"""Trips of a line that no number of them carries."""

Line = tuple[float, float, float, float]
"""Mass (t) of the whole line, its anchors, the mass (t) and the deck (m²) of one of them."""


@cache
def fewest_trips(lines: tuple[Line, ...], deck_t: float, deck_m2: float) -> int:
    """Return the fewest trips; a line that is more than a deck takes goes by itself, in parts."""
    fits = [line for line in lines if _fits([line], deck_t, deck_m2)]
    own = sum(_in_parts(line, deck_t, deck_m2) for line in lines if line not in fits)
    ways = partitions(len(fits))
    shared = min(
        len(way)
        for way in ways
        if all(_fits([fits[place] for place in trip], deck_t, deck_m2) for trip in way)
    )
    return own + shared


def partitions(count: int) -> Iterator[list[list[int]]]:
    """Yield every way of putting `count` things into trips that have no names."""
    if count == 0:
        yield []
        return
    for way in partitions(count - 1):
        for number in range(len(way)):
            yield [*way[:number], [*way[number], count - 1], *way[number + 1 :]]
        yield [*way, [count - 1]]


def _fits(lines: Sequence[Line], deck_t: float, deck_m2: float) -> bool:
    mass = sum(line[0] for line in lines)
    area = sum(line[1] * line[3] for line in lines)
    return mass <= deck_t * (1 + SLACK) + SLACK and area <= deck_m2 * (1 + SLACK) + SLACK


def _in_parts(line: Line, deck_t: float, deck_m2: float) -> int:
    """Return the least number of parts: anchors whole, the rest of the line at will."""
    mass, anchors, anchor_t, anchor_m2 = line
    for parts in range(2, 1000):
        at_once = math.ceil(anchors / parts)
        heavy = at_once * anchor_t > deck_t * (1 + SLACK) or mass / parts > deck_t * (1 + SLACK)
        if not heavy and at_once * anchor_m2 <= deck_m2 * (1 + SLACK):
            return parts
    return NEVER  # an anchor by itself is more than the deck takes: the vessel cannot lay the line
