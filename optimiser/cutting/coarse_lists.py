"""Cutting lists of very many sizes: pieces counted in whole parts of a length.

With pieces rounded up a list holds for the pieces themselves; with pieces rounded down, and lengths
rounded up, what it cannot do without is a bound.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from .bound import price_sizes
from .knapsack import NEW
from .quick_lists import CutPatterns, new_lengths, round_down

PARTS, BOUND_PARTS = 800, 200
"""Parts of a length, for a list and for a bound: on 200 m a quarter of a metre, and one."""


def coarse_bound(
    sizes: Sequence[int], counts: Sequence[int], length: int, on_hand: Mapping[int, int]
) -> int:
    """Return a number of new lengths that these pieces cannot do without."""
    part = -(-length // BOUND_PARTS)
    wanted: Counter[int] = Counter()
    for size, count in zip(sizes, counts, strict=True):
        if size >= part:
            wanted[size // part] += count
    stocks: Counter[int] = Counter()
    for stock, many in on_hand.items():
        stocks[-(-stock // part)] += many
    if not wanted:
        return 0
    rounded = sorted(wanted, reverse=True)
    numbers = [wanted[size] for size in rounded]
    prices = price_sizes(rounded, numbers, -(-length // part), stocks, any_counts=False)
    return prices.bound(numbers)


def coarse_list(
    sizes: Sequence[int], counts: Sequence[int], length: int, on_hand: Mapping[int, int]
) -> CutPatterns | None:
    """Return a packing by the patterns of the linear programme; None where pieces rounded up are
    longer than every stock."""
    part = -(-length // PARTS)
    of_class: dict[int, list[int]] = defaultdict(list)
    for index, (size, count) in enumerate(zip(sizes, counts, strict=True)):
        of_class[-(-size // part)] += [index] * count
    marks: dict[int, list[int]] = defaultdict(list)
    for stock, many in on_hand.items():
        if stock >= part:
            marks[stock // part] += [stock] * many
    rounded = sorted(of_class, reverse=True)
    if rounded[0] > max([length // part, *marks]):
        return None
    numbers = [len(of_class[size]) for size in rounded]
    stocks = {mark: len(there) for mark, there in marks.items()}
    prices = price_sizes(rounded, numbers, length // part, stocks, any_counts=False)
    lists = round_down(prices, rounded, numbers, length // part, stocks)
    if not lists:
        return None
    packing: CutPatterns = []
    for mark, pattern in min(lists, key=new_lengths):
        cut = [0] * len(sizes)
        for size, number in zip(rounded, pattern, strict=True):
            for _ in range(number):
                cut[of_class[size].pop()] += 1
        packing.append((NEW if mark == NEW else marks[mark].pop(), tuple(cut)))
    return packing
