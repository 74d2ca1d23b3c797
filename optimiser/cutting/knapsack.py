"""Knapsack: the pieces of most worth that one stock holds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

NEW = 0
"""Marks a pattern cut from a new length; other marks are the capacity of a stock on hand."""


Pattern = tuple[int, ...]
"""How many pieces of each size are cut from one stock."""


def millimetres(metres: float) -> int:
    """Return a length in whole millimetres."""
    return round(metres * 1000)


def knapsack(
    sizes: Sequence[int], values: Sequence[int], limits: Sequence[int] | None, capacity: int
) -> list[NDArray[np.int64]]:
    """Return the most value within each capacity 0..capacity, after each size is allowed.

    `limits` is the most pieces of each size, None: any number. Item i of the answer has the sizes
    before i; the last has all of them.
    """
    best = np.zeros(capacity + 1, dtype=np.int64)
    tables = [best]
    for index, (size, value) in enumerate(zip(sizes, values, strict=True)):
        fits = capacity // size
        limit = fits if limits is None else min(fits, limits[index])
        if limit == fits and fits > 2:
            # Any number fits: a running maximum along each remainder class of the capacity.
            rows = capacity // size + 1
            padded = np.full(rows * size, np.iinfo(np.int64).min // 4, dtype=np.int64)
            padded[: capacity + 1] = best
            slope = (np.arange(rows, dtype=np.int64) * value)[:, None]
            lifted = np.maximum.accumulate(padded.reshape(rows, size) - slope, axis=0) + slope
            best = lifted.reshape(-1)[: capacity + 1]
        elif limit > 0:
            before, best = best, best.copy()
            for pieces in range(1, limit + 1):
                shift = pieces * size
                np.maximum(best[shift:], before[:-shift] + pieces * value, out=best[shift:])
        tables.append(best)
    return tables


def best_pattern(
    tables: Sequence[NDArray[np.int64]],
    sizes: Sequence[int],
    values: Sequence[int],
    capacity: int,
) -> Pattern:
    """Return the pieces that make the most value in `capacity`, from the tables of `knapsack`."""
    pattern = [0] * len(sizes)
    left = capacity
    for index in range(len(sizes) - 1, -1, -1):
        now, before = int(tables[index + 1][left]), tables[index]
        pieces = 0
        while int(before[left]) + pieces * values[index] != now:
            pieces += 1
            left -= sizes[index]
        pattern[index] = pieces
    return tuple(pattern)
