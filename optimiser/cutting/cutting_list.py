"""A cutting list: which piece is cut from which stock, and how sure it is of being least."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from .bound import price_sizes
from .coarse_lists import coarse_bound, coarse_list
from .exact_lists import by_flow, of_these_patterns
from .knapsack import NEW, millimetres
from .quick_lists import CutPatterns, best_fit, fill_in_turn, new_lengths, round_down

MOST_CELLS, FEW_SIZES = 500_000, 200
"""Sizes × units of a length; beyond it each piece goes where it leaves least and the bound is the
metres alone, or, of more sizes, pieces are counted in whole parts of a length too."""

PATTERN_SECONDS = 1.0
"""Longest search among the patterns of the linear programme."""
FLOW_SECONDS = 10.0
"""Longest search among all patterns; few lists need it at all."""


@dataclass(frozen=True)
class Stock:
    """One new length, or one stock on hand, and what is cut from it in order."""

    length_m: float
    on_hand: int | None
    """Which of the stocks on hand, counted from 0 as given; None: a new length."""
    cuts: tuple[tuple[int, float], ...]
    """(piece, metres): pieces counted from 0 as given; a joined piece is in several stocks."""

    @property
    def pieces(self) -> tuple[int, ...]:
        """The pieces cut from it, in order."""
        return tuple(piece for piece, _ in self.cuts)

    @property
    def offcut_m(self) -> float:
        """What is left, m."""
        return (millimetres(self.length_m) - sum(millimetres(m) for _, m in self.cuts)) / 1000


@dataclass(frozen=True)
class Cutting:
    """A cutting list; stock that nothing is cut from is not in it."""

    stocks: tuple[Stock, ...]
    """Stock on hand in the order given, then the new lengths."""
    lengths: int
    """New lengths cut."""
    joins: int
    """Joins made; a piece in n fragments has n − 1."""
    counted: str
    """What was to be least: "lengths" or "joins"."""
    bound: int
    """No cutting list has less of what was counted."""

    @property
    def proven(self) -> bool:
        """Whether no list can be better."""
        return self.bound == (self.lengths if self.counted == "lengths" else self.joins)


def fewest_lengths(
    pieces_m: Sequence[float],
    length_m: float,
    on_hand_m: Sequence[float] = (),
    most: int | None = None,
) -> Cutting:
    """Return the cutting list of whole pieces with the fewest new lengths.

    Lengths count in whole millimetres. Quick lists and the bound of the linear programme over
    patterns agree for most lists; else a search among its patterns, then among all patterns,
    each with a time limit: `Cutting.proven` says whether the list is least.

    Args:
        pieces_m: the pieces, m, each to be one continuous length.
        length_m: a length as sold, m.
        on_hand_m: stock on hand, m, one a piece; free.
        most: how many new lengths there are; None: no limit.

    Raises:
        ValueError: a length not above 0; pieces longer than every stock; no list was found for
            the long pieces on the stock on hand, or within `most` lengths.
    """
    pieces = [millimetres(piece) for piece in pieces_m]
    length = millimetres(length_m)
    stocks = [millimetres(stock) for stock in on_hand_m]
    if length <= 0 or any(piece <= 0 for piece in pieces):
        raise ValueError("pieces and lengths must be longer than nothing")
    too_long = sorted({piece for piece in pieces if piece > max([length, *stocks])})
    if too_long:
        metres = ", ".join(f"{piece / 1000:g} m" for piece in too_long)
        raise ValueError(f"no stock is long enough for a piece of {metres}")
    packing, bound = fewest_packing(Counter(pieces), length, stocks)
    if packing is None or (most is not None and bound > most):
        there = f"; {most} are there" if most is not None and packing is not None else ""
        raise ValueError(
            f"the pieces need at least {bound} lengths of {length_m:g} m{there}"
            if packing is not None
            else "the stock on hand does not hold the pieces longer than a length"
        )
    if most is not None and new_lengths(packing) > most:
        raise ValueError(
            f"no list was found within {most} lengths of {length_m:g} m: the least number is "
            f"between {bound} and {new_lengths(packing)}"
        )
    listed = listed_stocks(packing, sorted(set(pieces), reverse=True), pieces, length, stocks)
    return Cutting(listed, new_lengths(packing), 0, "lengths", bound)


def fewest_packing(
    pieces: Counter[int], length_mm: int, stocks_mm: Sequence[int]
) -> tuple[CutPatterns | None, int]:
    """Return (the packing with fewest new lengths, a bound); patterns by size, longest first."""
    if not pieces:
        return [], 0
    unit = math.gcd(*pieces)
    sizes = [size // unit for size in sorted(pieces, reverse=True)]
    counts = [pieces[size * unit] for size in sizes]
    length = length_mm // unit
    on_hand = Counter(stock // unit for stock in stocks_mm if stock // unit >= sizes[-1])
    needed = sum(size * count for size, count in zip(sizes, counts, strict=True))
    bound = -(-max(needed - sum(on_hand.elements()), 0) // max(length, 1))
    packing = best_fit(sizes, counts, length, on_hand)
    if packing is not None and new_lengths(packing) == bound:
        return packing, bound
    if packing is not None and len(sizes) * length > MOST_CELLS:
        if len(sizes) <= FEW_SIZES:
            return packing, bound
        bound = max(bound, coarse_bound(sizes, counts, length, on_hand))
        other = coarse_list(sizes, counts, length, on_hand)
        return min(packing, other or packing, key=new_lengths), bound
    found = [packing] if packing is not None else []
    prices = price_sizes(sizes, counts, length, on_hand, any_counts=False)
    bound = prices.bound(counts)
    packing = fill_in_turn(sizes, counts, length, on_hand)
    if packing is not None:
        found.append(packing)
    if not found or min(map(new_lengths, found)) > bound:
        found += round_down(prices, sizes, counts, length, on_hand)
    if not found or min(map(new_lengths, found)) > bound:
        packing = of_these_patterns(prices, counts, on_hand, bound, PATTERN_SECONDS)
        if packing is not None:
            found.append(packing)
    if not found or min(map(new_lengths, found)) > bound:
        most = min(map(new_lengths, found)) if found else sum(counts)
        packing, bound = by_flow(sizes, counts, length, on_hand, bound, most, FLOW_SECONDS)
        if packing is not None:
            found.append(packing)
    return (min(found, key=new_lengths) if found else None), bound


def listed_stocks(
    packing: CutPatterns,
    sizes: Sequence[int],
    pieces: Sequence[int],
    length: int,
    stocks: Sequence[int],
) -> tuple[Stock, ...]:
    """Return the stocks with their pieces named, from a packing by sizes in millimetres."""
    unit = math.gcd(*sizes) if sizes else 1
    waiting: dict[int, list[int]] = defaultdict(list)
    for piece in reversed(range(len(pieces))):
        waiting[pieces[piece]].append(piece)
    places: dict[int, list[int]] = defaultdict(list)
    for place in reversed(range(len(stocks))):
        places[stocks[place] // unit].append(place)
    listed = []
    for mark, pattern in packing:
        cuts = tuple(
            (waiting[size].pop(), size / 1000)
            for size, number in zip(sizes, pattern, strict=True)
            for _ in range(number)
        )
        if mark == NEW:
            listed.append(Stock(length / 1000, None, cuts))
        else:
            at = places[mark].pop()
            listed.append(Stock(stocks[at] / 1000, at, cuts))
    listed.sort(key=lambda stock: (stock.on_hand is None, stock.on_hand or 0))
    return tuple(listed)
