"""A pool of cutting patterns: ways to cut one stock so that little is left over.

A programme over few choices may only cut by patterns of the pool. Its plans then need no length
more than it thinks, which cutting rows alone cannot promise before they have all been met.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .cutting_bound import millimetres

SAMPLES = 120
"""Patterns sought for one stock: each the fullest by its own slightly shuffled worth of sizes."""

MOST_UNITS = 3000
"""Finest comb of a stock; on longer combs sizes are rounded up, which leaves patterns valid."""

SHUFFLE = 0.35
"""How far, as a share, the worth of a size is shuffled from its length."""


@dataclass(frozen=True)
class CutPattern:
    """What is cut from one stock: (length of piece, m; how many)."""

    on_hand: int | None
    """Which of the stocks on hand, from 0; None: a new length."""
    pieces: tuple[tuple[float, int], ...]


def pool_of(
    sizes_m: Sequence[float], length_m: float, on_hand_m: Sequence[float]
) -> tuple[CutPattern, ...]:
    """Return patterns of these sizes for a new length and for every stock on hand."""
    sizes = sorted({millimetres(size) for size in sizes_m})
    patterns: dict[CutPattern, None] = {}
    for place, stock_m in ((None, length_m), *enumerate(on_hand_m)):
        stock = millimetres(stock_m)
        fitting = [size for size in sizes if size <= stock]
        if not fitting:
            continue
        for pieces in (*_alike(fitting, stock), *_full(fitting, stock)):
            patterns[CutPattern(place, pieces)] = None
    return tuple(patterns)


def _alike(sizes: Sequence[int], stock: int) -> list[tuple[tuple[float, int], ...]]:
    """Return the patterns of one size alone."""
    return [((size / 1000, stock // size),) for size in sizes]


def _full(sizes: Sequence[int], stock: int) -> list[tuple[tuple[float, int], ...]]:
    """Return full patterns: the best fillings of a stock by shuffled worths, all at once."""
    unit = max(math.gcd(*sizes), -(-stock // MOST_UNITS))
    units = np.array([-(-size // unit) for size in sizes])
    capacity = stock // unit
    random = np.random.default_rng(len(sizes) * 7919 + stock)
    shuffled = 1.0 + SHUFFLE * (random.random((len(sizes), SAMPLES)) - 0.5)
    worth = np.array(sizes, dtype=float)[:, None] * shuffled
    best = np.zeros((capacity + 1, SAMPLES))
    taken = np.full((capacity + 1, SAMPLES), -1)
    samples = np.arange(SAMPLES)
    for room in range(int(units.min()), capacity + 1):
        fits = np.flatnonzero(units <= room)
        made = best[room - units[fits]] + worth[fits]
        top = made.argmax(axis=0)
        better = made[top, samples] > best[room - 1]
        best[room] = np.where(better, made[top, samples], best[room - 1])
        taken[room] = np.where(better, fits[top], -1)
    patterns = []
    for sample in range(SAMPLES):
        room = capacity
        counts: Counter[int] = Counter()
        while room > 0:
            size = int(taken[room, sample])
            if size < 0:
                room -= 1
                continue
            counts[size] += 1
            room -= int(units[size])
        patterns.append(
            tuple((sizes[size] / 1000, number) for size, number in sorted(counts.items()))
        )
    return patterns
