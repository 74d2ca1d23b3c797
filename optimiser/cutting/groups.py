"""Groups of stocks laid end to end, and the pieces cut from them: what joins are counted in.

A group of n stocks has n − 1 joins at most. The linear programme over groups bounds the joins of
every list; its groups are made as they are needed, up to a longest sum of stocks; longer groups
are let off as an open run, a little too cheap, so that the bound holds for them too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .knapsack import Pattern, best_pattern, knapsack
from .small_programme import CuttingProgramme

ONE_JOIN = 10**9
"""The price of one join; pieces and stocks are priced in whole parts of it."""

COARSE, FINE = 6_000, 60_000
"""Steps in the longest sum of stocks, quick and careful. Work grows with steps × sizes."""
_STOCKS_LEAST = 8
"""The longest sum is never less than so many of the longest stock; the grid coarsens for it."""
LOOKED_AT_MOST = 1_000_000
"""Most ways to take pieces and stock on hand that are looked at for groups: a moment's work."""
_BANDS = 6
_TOLERANCE = ONE_JOIN // 10**6


@dataclass(frozen=True)
class Yard:
    """What is wanted and what is there, all in whole millimetres."""

    sizes: tuple[int, ...]
    """Distinct piece sizes."""
    counts: tuple[int, ...]
    """Pieces of each size."""
    stocks: tuple[int, ...]
    """Distinct stocks, the new length first, if any is there."""
    there: tuple[int, ...]
    """How many there are of each stock."""

    @property
    def wanted_mm(self) -> int:
        """All pieces end to end."""
        return sum(s * n for s, n in zip(self.sizes, self.counts, strict=True))


@dataclass(frozen=True)
class Group:
    """Pieces of each size, and stocks of each kind that they are cut from, end to end."""

    pieces: Pattern
    stocks: Pattern

    @property
    def joins(self) -> int:
        """The joins that its stocks may need."""
        return sum(self.stocks) - 1

    def fits(self, yard: Yard) -> bool:
        """Whether its stocks are as long as its pieces."""
        need = sum(s * n for s, n in zip(yard.sizes, self.pieces, strict=True))
        return need <= sum(s * n for s, n in zip(yard.stocks, self.stocks, strict=True))


def all_groups(yard: Yard, most: int) -> list[Group] | None:
    """Return every group that has no stock to spare; None where they are more than `most`, or too
    many pieces with too many stocks would have to be looked at."""
    choices = [count + 1 for count in yard.counts], [number + 1 for number in yard.there[1:]]
    if math.prod(choices[0]) * math.prod(choices[1]) > LOOKED_AT_MOST:
        return None
    pieces, on_hand = (_every_count(of) for of in choices)
    need, have = pieces @ np.array(yard.sizes), on_hand @ np.array(yard.stocks[1:], dtype=np.int64)
    shortest = np.where(on_hand > 0, yard.stocks[1:], np.iinfo(np.int64).max).min(
        axis=1, initial=np.iinfo(np.int64).max
    )
    length, groups = yard.stocks[0], list[Group]()
    for place in np.flatnonzero(need):
        new = np.maximum(-((have - need[place]) // length), 0)
        spare = have + new * length - need[place]
        for other in np.flatnonzero((new <= yard.there[0]) & (spare < shortest)):
            counts = (int(new[other]), *(int(number) for number in on_hand[other]))
            groups.append(Group(tuple(int(number) for number in pieces[place]), counts))
        if len(groups) > most:
            return None
    return groups


def _every_count(choices: Sequence[int]) -> NDArray[np.int64]:
    """Return (n, kinds) every way to take 0 to choices − 1 of each kind, the last kind fastest."""
    return np.indices(choices).reshape(len(choices), math.prod(choices)).T


def priced_groups(yard: Yard, cells: int) -> tuple[list[Group], int]:
    """Return (groups that the linear programme likes, joins that no list can do without).

    `cells` are the steps of the grid that it may work on: `COARSE` or `FINE`.
    """
    unit, longest = _grid(yard, cells)
    # On a coarser grid pieces round down and stocks up: what fits still fits.
    sizes = [size // unit for size in yard.sizes]
    stocks = [-(-stock // unit) for stock in yard.stocks]
    whole = sum(s * n for s, n in zip(stocks, yard.there, strict=True))
    longest = min(whole, longest)

    programme = CuttingProgramme()
    for count in yard.counts:
        programme.row(low=count)
    for number in yard.there:
        programme.row(high=number)
    programme.row(low=0.0)
    run_row = len(sizes) + len(stocks)
    # The open run: n stocks longer than `longest` together have n − 1 joins, and so at least
    # n − (their sum ÷ longest).
    for place, stock in enumerate(stocks):
        rows, entries = [len(sizes) + place, run_row], [1.0, stock / longest]
        programme.column(1.0 - stock / longest, rows, entries)
    for index, size in enumerate(sizes):
        rows, entries = [index, run_row], [1.0, -size / longest]
        programme.column(0.0, rows, entries)

    groups: dict[Group, None] = {}
    while True:
        duals, _ = programme.in_fractions()
        prices = np.maximum(duals[: len(sizes)], 0.0)
        rents = np.maximum(-duals[len(sizes) : run_row], 0.0)
        values = [int(value) for value in np.floor(prices * ONE_JOIN)]
        costs = [ONE_JOIN + math.ceil(rent * ONE_JOIN) for rent in rents]
        tables = knapsack(sizes, values, yard.counts, longest)
        dearest, takes = _least_costs(stocks, costs, yard.there, longest)
        gain = tables[-1] - dearest + ONE_JOIN
        before = len(groups)
        for band in np.array_split(np.arange(1, longest + 1), min(_BANDS, longest)):
            capacity = int(band[np.argmax(gain[band])])
            if gain[capacity] <= _TOLERANCE:
                continue
            group = Group(
                best_pattern(tables, sizes, values, capacity),
                _stocks_taken(takes, stocks, capacity),
            )
            if group in groups:
                continue
            groups[group] = None
            numbers = (*group.pieces, *group.stocks)
            rows = [row for row, number in enumerate(numbers) if number]
            entries = [float(numbers[row]) for row in rows]
            programme.column(float(group.joins), rows, entries)
        if len(groups) == before:
            break
    # Make the dual solution exactly feasible: rents cover the open run, and each group that could
    # be used is charged what it gains too much.
    density = max(value / size for value, size in zip(values, sizes, strict=True))
    costs = [
        max(cost, math.ceil((density + ONE_JOIN / longest) * stock)) if whole > longest else cost
        for cost, stock in zip(costs, stocks, strict=True)
    ]
    excess = max(0, int(gain[1:].max()))
    most_groups = min(sum(yard.there), sum(yard.counts))
    worth = sum(v * n for v, n in zip(values, yard.counts, strict=True))
    rent = sum((c - ONE_JOIN) * n for c, n in zip(costs, yard.there, strict=True))
    bound = -(-(worth - rent - excess * most_groups) // ONE_JOIN)
    return list(groups), max(0, bound)


def _grid(yard: Yard, cells: int) -> tuple[int, int]:
    """Return (the step in mm, the longest sum of stocks in steps) that the work allows."""
    cells = max(cells, FINE // len(yard.sizes))
    few = _STOCKS_LEAST * max(yard.stocks)
    unit = math.gcd(*yard.sizes, *yard.stocks)
    unit = min(unit * max(1, -(-few // (unit * cells))), min(yard.sizes))
    return unit, max(cells, -(-few // unit))


def _least_costs(
    stocks: Sequence[int], costs: Sequence[int], there: Sequence[int], longest: int
) -> tuple[NDArray[np.int64], list[NDArray[np.int64]]]:
    """Return (the least cost of stocks that sum to each length, how many of each kind it takes).

    A sum that no stocks make costs more than anything is worth.
    """
    never = np.iinfo(np.int64).max // 4
    least = np.full(longest + 1, never, dtype=np.int64)
    least[0] = 0
    takes = []
    for stock, cost, number in zip(stocks, costs, there, strict=True):
        before, least = least, least.copy()
        take = np.zeros(longest + 1, dtype=np.int64)
        for many in range(1, min(number, longest // stock) + 1):
            shift = many * stock
            offer = before[:-shift] + many * cost
            better = offer < least[shift:]
            take[shift:][better] = many
            least[shift:][better] = offer[better]
        takes.append(take)
    return least, takes


def _stocks_taken(takes: Sequence[NDArray[np.int64]], stocks: Sequence[int], total: int) -> Pattern:
    """Return how many of each kind make up `total`, from the tables of `_least_costs`."""
    taken = [0] * len(stocks)
    for place in range(len(stocks) - 1, -1, -1):
        taken[place] = int(takes[place][total])
        total -= taken[place] * stocks[place]
    return tuple(taken)
