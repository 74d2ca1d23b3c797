"""What no cutting list can beat: prices on piece sizes that bound the lengths needed.

Prices are dual feasible: no length sold holds pieces worth more than one length. Every packing of
any pieces then needs at least (worth of the pieces − worth that the stock on hand can hold) new
lengths. The prices come from the linear programme over cutting patterns, its patterns made as they
are needed (Gilmore and Gomory, 1961), and are whole numbers, so that the bound holds exactly.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .knapsack import NEW, Pattern, best_pattern, knapsack, millimetres
from .small_programme import CuttingProgramme

ONE_LENGTH = 10**9
"""The price of one whole length; sizes are priced in whole parts of it."""


_TOLERANCE = ONE_LENGTH // 10**6


@dataclass(frozen=True)
class PieceWorth:
    """Prices of sizes, and the patterns that the linear programme was left with."""

    values: tuple[int, ...]
    """A price a size, in parts of `ONE_LENGTH`."""
    free: int
    """The most worth that the stock on hand can hold, in parts of `ONE_LENGTH`."""
    patterns: tuple[tuple[int, Pattern], ...]
    """(mark, pattern): mark is `NEW`, or the capacity of the stock on hand."""
    uses: tuple[float, ...]
    """How often the linear programme cuts each pattern."""

    def bound(self, counts: Sequence[int]) -> int:
        """Return a number of new lengths that pieces so many of each size cannot do without."""
        worth = sum(v * n for v, n in zip(self.values, counts, strict=True)) - self.free
        return max(0, -(-worth // ONE_LENGTH))


def price_sizes(
    sizes: Sequence[int],
    counts: Sequence[int],
    length: int,
    on_hand: Mapping[int, int],
    *,
    any_counts: bool,
) -> PieceWorth:
    """Return the prices that bound most the lengths for these counts (all above 0).

    Args:
        sizes: distinct whole sizes; one longer than `length` can only be cut from stock on hand.
        length: capacity of a new length, in the units of the sizes.
        on_hand: capacity of a stock on hand → how many there are.
        any_counts: whether the prices must hold for any other counts too; if not, no pattern
            has more of a size than is wanted, which can bound a little more.
    """
    if not sizes:
        return PieceWorth((), 0, (), ())
    stocks = sorted(on_hand)
    longest = max([length, *stocks])
    limits = None if any_counts else list(counts)
    # A piece that only stock on hand can give: going without must cost more than all that its
    # stock could have saved.
    unmet = 2.0 * math.ceil(longest / max(1, length)) + 1.0
    programme = CuttingProgramme()
    for count in counts:
        programme.row(low=count)
    for stock in stocks:
        programme.row(high=on_hand[stock])
    patterns: list[tuple[int, Pattern]] = []
    known: set[tuple[int, Pattern]] = set()

    def add(mark: int, pattern: Pattern) -> None:
        known.add((mark, pattern))
        patterns.append((mark, pattern))
        rows = [index for index, pieces in enumerate(pattern) if pieces]
        entries = [float(pattern[index]) for index in rows]
        if mark != NEW:
            rows.append(len(sizes) + stocks.index(mark))
            entries.append(1.0)
        programme.column(float(mark == NEW), rows, entries)

    for index, size in enumerate(sizes):
        single = [0] * len(sizes)
        if size <= length:
            single[index] = length // size if any_counts else min(length // size, counts[index])
            add(NEW, tuple(single))
    absent = [index for index, size in enumerate(sizes) if size > length]
    for index in absent:
        programme.column(unmet, [index], [1.0])
    first_columns = len(patterns)
    while True:
        duals, uses = programme.in_fractions()
        raw = np.maximum(duals[: len(sizes)], 0.0)
        values = [int(value) for value in np.floor(raw * ONE_LENGTH)]
        tables = knapsack(sizes, values, limits, longest)
        before = len(patterns)
        for mark, capacity, price in [
            (NEW, length, ONE_LENGTH),
            *(
                (stock, stock, math.ceil(-duals[len(sizes) + row] * ONE_LENGTH))
                for row, stock in enumerate(stocks)
            ),
        ]:
            if tables[-1][capacity] > price + _TOLERANCE:
                pattern = best_pattern(tables, sizes, values, capacity)
                if (mark, pattern) not in known:
                    add(mark, pattern)
        if len(patterns) == before:
            break
    worth = int(tables[-1][length])
    if worth > ONE_LENGTH:
        values = [value * ONE_LENGTH // worth for value in values]
        tables = knapsack(sizes, values, limits, longest)
    free = sum(int(tables[-1][stock]) * many for stock, many in on_hand.items())
    # Take out the columns of pieces gone without: they stand after the first patterns.
    kept = [*uses[:first_columns], *uses[first_columns + len(absent) :]]
    return PieceWorth(tuple(values), free, tuple(patterns), tuple(float(use) for use in kept))


def _raised(
    sizes: Sequence[int], values: list[int], index: int, length: int, stocks: Sequence[int]
) -> int:
    """Return the largest price of one size at which no stock holds more worth than it did."""
    others = list(values)
    others[index] = 0
    longest = max([length, *stocks])
    without = knapsack(sizes, others, None, longest)[-1]
    before = knapsack(sizes, values, None, longest)[-1]
    size = sizes[index]
    room = [(length, ONE_LENGTH), *((stock, int(before[stock])) for stock in stocks)]
    prices = [
        (most - int(without[capacity - pieces * size])) // pieces
        for capacity, most in room
        for pieces in range(1, capacity // size + 1)
    ]
    return min(prices, default=0)


def valid_inequality(
    sizes_m: Sequence[float],
    counts: Sequence[int],
    length_m: float,
    on_hand_m: Sequence[float] = (),
) -> tuple[tuple[float, ...], float]:
    """Return (pi, constant): pieces n of these sizes need ≥ Σ pi·n − constant new lengths.

    It holds for every n, and is the strongest that the linear programme over patterns gives at
    `counts`. Sizes with no count get the largest price that leaves it valid.

    Args:
        sizes_m: distinct sizes, m.
        counts: pieces of each size that the bound should be strong for.
        length_m: a length as sold, m.
        on_hand_m: stock on hand, m, which is free.

    Raises:
        ValueError: a size that is not positive, or stated twice; counts of another number.
    """
    sizes_mm = [millimetres(size) for size in sizes_m]
    if len(set(sizes_mm)) != len(sizes_mm) or any(size <= 0 for size in sizes_mm):
        raise ValueError("the sizes must be distinct and longer than nothing")
    if len(counts) != len(sizes_mm):
        raise ValueError(f"{len(counts)} counts for {len(sizes_mm)} sizes")
    if not sizes_mm:
        return (), 0.0
    unit = math.gcd(*sizes_mm)
    sizes = [size // unit for size in sizes_mm]
    length = millimetres(length_m) // unit
    on_hand = Counter(millimetres(stock) // unit for stock in on_hand_m)
    wanted = [index for index, count in enumerate(counts) if count > 0]
    priced = price_sizes(
        [sizes[index] for index in wanted],
        [counts[index] for index in wanted],
        length,
        on_hand,
        any_counts=True,
    )
    values = [0] * len(sizes)
    for index, value in zip(wanted, priced.values, strict=True):
        values[index] = value
    usable = [stock for stock in on_hand if stock > 0]
    wanted_most_first = sorted(wanted, key=lambda index: (-counts[index], -sizes[index]))
    unwanted = sorted(set(range(len(sizes))) - set(wanted), key=lambda index: -sizes[index])
    for index in [*wanted_most_first, *unwanted]:
        values[index] = max(values[index], _raised(sizes, values, index, length, usable))
    free = knapsack(sizes, values, None, max([length, *usable]))[-1]
    constant = sum(int(free[stock]) * many for stock, many in on_hand.items())
    return tuple(value / ONE_LENGTH for value in values), constant / ONE_LENGTH
