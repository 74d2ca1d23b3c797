"""Cutting lists by whole programmes: over given patterns, and over a flow that proves the least."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

import numpy as np

from ...models.arrays import ceil_to_whole
from ..solvers.highs import highs_is_there
from .bound import PieceWorth
from .knapsack import NEW
from .quick_lists import CutPatterns
from .small_programme import CuttingProgramme

_COLUMNS_MOST, _COLUMNS_MOST_BY_CBC = 300_000, 30_000
"""A flow network larger than this is not tried."""


def of_these_patterns(
    prices: PieceWorth,
    counts: Sequence[int],
    on_hand: Mapping[int, int],
    bound: int,
    seconds: float,
) -> CutPatterns | None:
    """Return the fewest new lengths by these patterns alone, or None when none was found."""
    programme = CuttingProgramme()
    for count in counts:
        programme.row(low=count)
    stocks = sorted(on_hand)
    for stock in stocks:
        programme.row(high=on_hand[stock])
    for mark, pattern in prices.patterns:
        rows = [index for index, pieces in enumerate(pattern) if pieces]
        entries = [float(pattern[index]) for index in rows]
        if mark != NEW:
            rows.append(len(counts) + stocks.index(mark))
            entries.append(1.0)
        programme.column(float(mark == NEW), rows, entries, high=max(counts))
    uses, _ = programme.in_whole(seconds, bound)
    if uses is None:
        return None
    left = list(counts)
    packing: CutPatterns = []
    for (mark, pattern), use in zip(prices.patterns, uses, strict=True):
        for _ in range(use):
            taken = tuple(min(n, m) for n, m in zip(pattern, left, strict=True))
            if any(taken):
                packing.append((mark, taken))
                left = [m - n for m, n in zip(left, taken, strict=True)]
    return packing


def by_flow(
    sizes: Sequence[int],
    counts: Sequence[int],
    length: int,
    on_hand: Mapping[int, int],
    least: int,
    most: int,
    seconds: float,
) -> tuple[CutPatterns | None, int]:
    """Return (a packing with fewest new lengths or None, a proven bound), by arc flow.

    Each stock is a path along the metres, an arc a piece or waste (Valério de Carvalho, 1999);
    `least` and `most` are what is known already.
    """
    order = sorted(range(len(sizes)), key=lambda index: -sizes[index])
    capacities = sorted({length, *on_hand})
    longest = capacities[-1]
    arcs: list[tuple[int, int, int]] = []
    reached = np.zeros(longest + 1, dtype=bool)
    reached[0] = True
    for index in order:
        size = sizes[index]
        for _ in range(min(counts[index], longest // size)):
            starts = np.flatnonzero(reached[: longest + 1 - size])
            arcs += [(int(start), int(start) + size, index) for start in starts]
            before = reached.copy()
            reached[size:] |= reached[: longest + 1 - size]
            if (before == reached).all():
                break
    arcs = sorted(set(arcs))
    nodes = np.flatnonzero(reached).tolist()
    if len(arcs) > (_COLUMNS_MOST if highs_is_there() else _COLUMNS_MOST_BY_CBC):
        return None, least
    row = {node: place for place, node in enumerate(nodes)}
    end = {capacity: len(nodes) + place for place, capacity in enumerate(capacities)}
    programme = CuttingProgramme()
    many = float(sum(counts))
    # In minus out is nothing at every node but the start, whose outflow is free.
    for node in range(len(nodes) + len(capacities)):
        programme.row(low=-math.inf if node == 0 else 0.0, high=0.0)
    for count in counts:
        programme.row(low=count, high=count)
    programme.row(low=least, high=most)
    first_count = len(nodes) + len(capacities)
    for start, stop, index in arcs:
        rows = [row[start], row[stop], first_count + index]
        programme.column(0.0, rows, [-1.0, 1.0, 1.0], high=counts[index])
    exits: list[tuple[int, int]] = []
    for node in nodes[1:]:
        capacity = next(capacity for capacity in capacities if capacity >= node)
        exits.append((row[node], end[capacity]))
    exits += [(end[a], end[b]) for a, b in itertools.pairwise(capacities)]
    for start, stop in exits:
        programme.column(0.0, [start, stop], [-1.0, 1.0], high=many)
    leaves: list[tuple[int, int]] = []
    for stock, number in on_hand.items():
        leaves.append((end[stock], stock))
        programme.column(0.0, [end[stock]], [-1.0], high=number)
    leaves.append((end[length], NEW))
    total = first_count + len(counts)
    programme.column(1.0, [end[length], total], [-1.0, 1.0], high=most)
    uses, bound = programme.in_whole(seconds, least)
    proven = max(least, ceil_to_whole(bound)) if math.isfinite(bound) else least
    if uses is None:
        return None, proven
    steps: dict[int, list[list[int]]] = {}
    moves = [(row[a], row[b], index) for a, b, index in arcs] + [(a, b, -1) for a, b in exits]
    moves += [(place, -1 - mark, -1) for place, mark in leaves]
    for (start, stop, index), use in zip(moves, uses, strict=True):
        if use:
            steps.setdefault(start, []).append([stop, index, use])
    packing: CutPatterns = []
    while steps.get(0):
        node, pattern = 0, [0] * len(sizes)
        while node >= 0:
            step = steps[node][-1]
            if step[1] >= 0:
                pattern[step[1]] += 1
            step[2] -= 1
            if not step[2]:
                steps[node].pop()
            node = step[0]
        packing.append((-1 - node, tuple(pattern)))
    return packing, proven
