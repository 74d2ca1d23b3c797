"""What joins cannot save: prices on pieces that bound lengths and joins together.

Any pieces no longer together than a lengths can be cut from those laid end to end, with at most
a − 1 joins; and a best cutting list is made of such groups. So with the prices of a group at most
a + b(a − 1), for every a, the worth of any pieces is at most lengths + b × joins: a packing into
bins of a lengths, priced like those of one length (Gilmore and Gomory, 1961).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from ...models.arrays import Floats
from .knapsack import best_pattern, knapsack, millimetres
from .small_programme import CuttingProgramme

ONE_LENGTH = 10**9
"""The price of one whole length; sizes are priced in whole parts of it."""

TOLERANCE = ONE_LENGTH // 10**6

MOST_UNITS = 3000
"""Finest comb of the longest group on which it is priced; sizes are rounded down on it."""

FEWEST_LENGTHS = 8
"""Lengths of the longest group that is priced by itself; longer ones by what a metre is worth."""

MOST_STOCKS = 5
"""Stocks on hand of which every way to share them among groups is looked at."""

MOST_ROUNDS = 60
"""Most rounds of pricing; prices are made valid whenever it ends."""


def join_inequality(
    sizes_m: Sequence[float],
    counts: Sequence[float],
    length_m: float,
    on_hand_m: Sequence[float],
    per_join: float,
) -> tuple[tuple[float, ...], float]:
    """Return (worth, free): Σ worth·pieces ≤ new lengths + per_join × joins + free, for any pieces
    of these sizes, as strong as it can be at `counts`.

    sizes_m : distinct, m. counts : pieces of each, all above 0. length_m : a length as sold.
    """
    most = max(FEWEST_LENGTHS, math.ceil(max(sizes_m) / length_m) + 2)
    length, longest = millimetres(length_m), most * millimetres(length_m)
    exact = [millimetres(size) for size in sizes_m]
    unit = max(math.gcd(*exact), -(-longest // MOST_UNITS))
    sizes = [max(size // unit, 1) for size in exact]
    lengths = np.arange(1, most + 1)
    capacity = lengths * length // unit
    dearest = lengths + per_join * (lengths - 1)
    # No metre is worth more than one of the shortest group that is not priced by itself.
    per_unit = (1 + per_join - per_join / (most + 1)) / (length / unit)
    programme = CuttingProgramme()
    for count in counts:
        programme.row(low=count)
    for index, size in enumerate(sizes):
        programme.column(per_unit * size, [index], [1.0])
    for _ in range(MOST_ROUNDS):
        duals, _ = programme.in_fractions()
        values = [int(value) for value in np.floor(np.maximum(duals, 0.0) * ONE_LENGTH)]
        tables = knapsack(sizes, values, None, int(capacity[-1]))
        over = tables[-1][capacity] - np.floor(dearest * ONE_LENGTH).astype(np.int64)
        broken = np.flatnonzero(over > TOLERANCE)
        if not broken.size:
            break
        for at in broken.tolist():
            pieces = best_pattern(tables, sizes, values, int(capacity[at]))
            rows = [row for row, number in enumerate(pieces) if number]
            programme.column(float(dearest[at]), rows, [float(pieces[row]) for row in rows])
    worth = np.array(values, dtype=float) / ONE_LENGTH
    worth /= max(1.0, float((tables[-1][capacity] / ONE_LENGTH / dearest).max())) * (1 + 1e-9)
    worth = np.minimum(worth, per_unit * np.array(sizes))
    stocks = [millimetres(stock) for stock in on_hand_m]
    free = _free(worth, sizes, stocks, length, unit, most, per_join)
    return tuple(worth.tolist()), free


def _free(
    worth: Floats,
    sizes: Sequence[int],
    stocks: Sequence[int],
    length: int,
    unit: int,
    most: int,
    per_join: float,
) -> float:
    """Return the most that stock on hand can be worth to a cutting list, beyond the new lengths
    and the joins that its groups take: over every way to share the stock among groups.

    worth, sizes : of the pieces, on the comb. stocks, length : mm.
    """
    if not stocks:
        return 0.0
    a_unit = float((worth / np.array(sizes)).max())
    if len(stocks) > MOST_STOCKS:  # laid first, its metres are worth what a metre is at most, and
        # the piece that leaves it a join besides
        leaving = max(float(worth.max()) - per_join, 0.0)
        return a_unit * sum(stocks) / unit + leaving * len(stocks)
    values = [math.ceil(one * ONE_LENGTH) for one in worth.tolist()]
    best = knapsack(sizes, values, None, (most * length + sum(stocks)) // unit)[-1] / ONE_LENGTH
    lengths = np.arange(1, most + 1)

    def of_group(group: Sequence[int]) -> float:
        there, joins = sum(group), per_join * len(group)
        alone = float(best[there // unit]) - joins + per_join
        dear = lengths + per_join * (lengths - 1) + joins
        along = float((best[(lengths * length + there) // unit] - dear).max())
        return max(alone, along, a_unit * there / unit - joins)

    def of_stocks(left: tuple[int, ...]) -> float:
        if not left:
            return 0.0
        first, rest = left[0], left[1:]
        ways = []
        for others in itertools.product((False, True), repeat=len(rest)):
            group = [first, *itertools.compress(rest, others)]
            apart = tuple(itertools.compress(rest, (not other for other in others)))
            ways.append(of_group(group) + of_stocks(apart))
        return max(ways)

    return of_stocks(tuple(stocks)) + 1e-6
