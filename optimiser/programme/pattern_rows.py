"""Cutting patterns in the programme: pieces wanted, pieces cut, lengths bought.

With every pattern a column the rows say exactly what a cutting list takes. There are far too many
patterns to list, so a relaxation asks for the ones that would pay at its prices (Gilmore and
Gomory, 1961), and a programme that looks for a plan makes do with those.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Floats, Ints
from ...models.goods.item import Item
from ..cutting.knapsack import best_pattern, knapsack, millimetres
from .choice_rows import ChoiceRows
from .families import ColumnFamily, RowFamily

WORTH = 2**40
"""The dearest size in whole numbers, in which patterns are priced."""

MOST_UNITS = 6000
"""Finest comb of a stock on which patterns are priced; on longer ones sizes are rounded down."""

MANY_SIZES, COARSE_PARTS = 300, 200
"""Beyond so many sizes a relaxation may round pieces down to so many parts of a length."""


@dataclass(frozen=True)
class CutPattern:
    """What is cut from one stock: (length of piece, mm; how many)."""

    on_hand: int | None
    """Which of the stocks on hand, from 0; None: a new length."""
    pieces: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class PieceRows:
    """The rows of one item that is cut whole."""

    item: Item
    sizes: Ints
    """Distinct lengths of piece, mm, shortest first."""
    rows: Ints
    """By size: pieces wanted ≤ pieces cut."""
    lengths: int
    """New lengths cut ≤ lengths ordered."""
    once: Ints
    """Every stock on hand is cut once at most."""

    def fits(self, pattern: CutPattern) -> bool:
        """Tell whether a pattern can be cut: one priced on a coarse comb may be a hair too long."""
        stock = dict(self._stocks())[pattern.on_hand]
        return sum(size * number for size, number in pattern.pieces) <= stock

    def terms(self, pattern: CutPattern) -> tuple[list[int], list[float]]:
        """Return rows and coefficients of a pattern's column.

        A piece of a size that has no row serves for the longest shorter one that has.
        """
        row = self.lengths if pattern.on_hand is None else int(self.once[pattern.on_hand])
        cut: dict[int, float] = {row: 1.0}
        for size, number in pattern.pieces:
            at = int(np.searchsorted(self.sizes, size, side="right")) - 1
            if at >= 0:
                piece = int(self.rows[at])
                cut[piece] = cut.get(piece, 0.0) - number
        return list(cut), list(cut.values())

    def one_size(self) -> Iterator[CutPattern]:
        """Yield a pattern for each size alone, from every stock that it fits."""
        for place, stock in self._stocks():
            for size in self.sizes.tolist():
                if size <= stock:
                    yield CutPattern(place, ((size, stock // size),))

    def _stocks(self) -> list[tuple[int | None, int]]:
        return [
            (None, millimetres(self.item.length_sold_m)),
            *((place, millimetres(stock)) for place, stock in enumerate(self.item.on_hand)),
        ]

    def paying(self, duals: Floats, least: float, at_once: int = 1) -> list[CutPattern]:
        """Return, for every stock, the pattern worth most at these prices of rows, where it is
        worth more than the stock by `least`; at_once : up to so many, none with a size of another
        before it."""
        found: list[CutPattern] = []
        worth = -duals[self.rows]
        for _ in range(at_once):
            more = self._paying(worth, duals, least)
            if not more:
                break
            found += more
            for pattern in more:
                used = np.array([size for size, _ in pattern.pieces])
                worth[np.searchsorted(self.sizes, used)] = 0.0
        return found

    def _paying(self, worth: Floats, duals: Floats, least: float) -> list[CutPattern]:
        """Return what `paying` does, one pattern a stock, with these worths of the sizes."""
        dearest = float(worth.max(initial=0.0))
        if dearest <= 0.0:
            return []
        whole = np.floor(np.maximum(worth, 0.0) / dearest * WORTH).astype(np.int64)
        wanted = np.flatnonzero(whole)
        longest = max(stock for _, stock in self._stocks())
        unit = max(math.gcd(*self.sizes.tolist()), -(-longest // MOST_UNITS))
        in_mm = self.sizes[wanted].tolist()
        sizes = [max(size // unit, 1) for size in in_mm]
        values = whole[wanted].tolist()
        stocks = [(place, stock // unit) for place, stock in self._stocks()]
        tables = knapsack(sizes, values, None, max(stock for _, stock in stocks))
        found = []
        for place, stock in stocks:
            row = self.lengths if place is None else int(self.once[place])
            if int(tables[-1][stock]) / WORTH * dearest <= -float(duals[row]) + least:
                continue
            counts = best_pattern(tables, sizes, values, stock)
            found.append(
                CutPattern(
                    place,
                    tuple(
                        (size, number) for size, number in zip(in_mm, counts, strict=True) if number
                    ),
                )
            )
        return found


def rounded_down(item: Item, sizes: Ints) -> Ints:
    """Return sizes, mm, rounded down to parts of a length where they are very many: what pieces so
    long take is a bound on what these take."""
    if len(sizes) <= MANY_SIZES:
        return sizes
    part = -(-millimetres(item.length_sold_m) // COARSE_PARTS)
    return np.asarray(np.maximum(sizes // part, 1) * part if sizes[0] >= part else sizes)


def add_piece_rows(built: ChoiceRows, item: Item, sizes: Ints, rounded: Ints) -> PieceRows:
    """Add the rows of one item for these sizes, mm, shortest first, each counted as its rounded
    one; no pattern yet."""
    link = built.size_link(item)
    counted, which = np.unique(rounded, return_inverse=True)
    rows = built.programme.rows(RowFamily.PIECES_CUT, len(counted), high=0.0)
    row_of = np.full(len(link.sizes) + 1, -1)  # the last answers place −1
    row_of[np.searchsorted(link.sizes, sizes)] = rows[which]
    built.link(row_of, link.place)
    once = built.programme.rows(RowFamily.STOCK_CUT_ONCE, len(item.on_hand), high=1.0)
    lengths = built.programme.row(RowFamily.LENGTHS_CUT, built.order_terms(item, -1.0), high=0.0)
    return PieceRows(item, counted, rows, lengths, once)


def add_patterns(built: ChoiceRows, cut: PieceRows, pool: Sequence[CutPattern]) -> None:
    """Add a column a pattern, and one a size for a longer piece that serves for a shorter."""
    for pattern in pool:
        column = built.programme.column(ColumnFamily.PATTERN, integer=True)
        rows, values = cut.terms(pattern)
        built.programme.terms(np.array(rows), column, np.array(values))
    if len(cut.sizes) > 1:
        shorter = built.programme.columns(ColumnFamily.LONGER_PIECE, len(cut.sizes) - 1)
        built.programme.terms(cut.rows[:-1], shorter, -1.0)
        built.programme.terms(cut.rows[1:], shorter, 1.0)
