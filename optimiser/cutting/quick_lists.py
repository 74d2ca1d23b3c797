"""Patterns for a cutting list of whole pieces: quick ones first, then by a search that proves.

Sizes and capacities are whole units. A packing is a list of (mark, pattern), one entry a stock;
the mark is `NEW` or the capacity of the stock on hand, as in `cutting_bound`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from ...models.arrays import floor_to_whole
from .bound import PieceWorth
from .knapsack import NEW, Pattern, best_pattern, knapsack

CutPatterns = list[tuple[int, Pattern]]


def new_lengths(packing: CutPatterns) -> int:
    """Return how many new lengths a packing cuts."""
    return sum(mark == NEW for mark, _ in packing)


def fill_in_turn(
    sizes: Sequence[int], counts: Sequence[int], length: int, on_hand: Mapping[int, int]
) -> CutPatterns | None:
    """Fill each stock as full as can be, larger pieces first on ties; stock on hand before new.

    Returns None when a piece longer than a new length finds no stock.
    """
    left = list(counts)
    packing: CutPatterns = []
    stocks = sorted(stock for stock, many in on_hand.items() for _ in range(many))
    # A long piece takes the smallest stock on hand that holds it, before the stocks are filled.
    reserved: dict[int, list[int]] = {}
    for index in sorted(range(len(sizes)), key=lambda index: -sizes[index]):
        while sizes[index] > length and left[index]:
            room = [
                place
                for place, stock in enumerate(stocks)
                if stock >= sizes[index] + sum(sizes[i] for i in reserved.get(place, []))
            ]
            if not room:
                return None
            reserved.setdefault(room[0], []).append(index)
            left[index] -= 1
    # One more for each piece makes few large pieces better than many small ones of the same sum.
    scale = sum(counts) + 1
    values = [size * scale - 1 for size in sizes]
    place = 0
    while any(left) or place < len(stocks):
        mark = stocks[place] if place < len(stocks) else NEW
        kept = reserved.get(place, []) if mark != NEW else []
        capacity = (length if mark == NEW else mark) - sum(sizes[index] for index in kept)
        tables = knapsack(sizes, values, left, capacity)
        pattern = list(best_pattern(tables, sizes, values, capacity))
        repeats = 1
        if mark == NEW:
            repeats = min(left[i] // n for i, n in enumerate(pattern) if n)
        for index, pieces in enumerate(pattern):
            left[index] -= pieces * repeats
        for index in kept:
            pattern[index] += 1
        if any(pattern):
            packing += [(mark, tuple(pattern))] * repeats
        place += 1
    return packing


def best_fit(
    sizes: Sequence[int], counts: Sequence[int], length: int, on_hand: Mapping[int, int]
) -> CutPatterns | None:
    """Put each piece, longest first, where it leaves least; a new length only when none holds it.

    Returns None when a piece longer than a new length finds no stock.
    """
    marks = sorted(stock for stock, many in on_hand.items() for _ in range(many))
    room = list(marks)
    held: list[list[int]] = [[0] * len(sizes) for _ in marks]
    for index in sorted(range(len(sizes)), key=lambda index: -sizes[index]):
        for _ in range(counts[index]):
            fits = [place for place, space in enumerate(room) if space >= sizes[index]]
            if fits:
                place = min(fits, key=lambda place: room[place])
            elif sizes[index] > length:
                return None
            else:
                place = len(room)
                marks.append(NEW)
                room.append(length)
                held.append([0] * len(sizes))
            room[place] -= sizes[index]
            held[place][index] += 1
    return [
        (mark, tuple(pattern)) for mark, pattern in zip(marks, held, strict=True) if any(pattern)
    ]


def round_down(
    prices: PieceWorth,
    sizes: Sequence[int],
    counts: Sequence[int],
    length: int,
    on_hand: Mapping[int, int],
) -> list[CutPatterns]:
    """Cut what the linear programme cuts in whole, and the rest by the quick ways."""
    left, stock_left = list(counts), Counter(on_hand)
    packing: CutPatterns = []

    def cut(mark: int, pattern: Pattern) -> None:
        taken = tuple(min(n, m) for n, m in zip(pattern, left, strict=True))
        if any(taken):
            packing.append((mark, taken))
            for index, pieces in enumerate(taken):
                left[index] -= pieces
            if mark != NEW:
                stock_left[mark] -= 1

    for (mark, pattern), use in zip(prices.patterns, prices.uses, strict=True):
        for _ in range(floor_to_whole(use)):
            cut(mark, pattern)
    answers = []
    for quick in (fill_in_turn, best_fit):
        rest = quick(sizes, left, length, +stock_left)
        if rest is not None:
            answers.append(packing + rest)
    return answers
