"""A cutting list for pieces that may be joined: the fewest joins from the lengths bought.

Draw a line between a piece and each stock that gives it a fragment. Joins are lines less pieces;
in a best list the lines make no ring, so joins are also stocks less groups, a group being the
stocks and pieces that hang together. Any pieces no longer together than some stocks can be cut
from those laid end to end, with a join at most where two stocks meet. So the question is how to
share pieces and stocks among groups: a group of one stock is a pattern of whole pieces.
"""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from collections.abc import Callable, Sequence
from functools import lru_cache

from ...models.arrays import ceil_to_whole
from .cutting_list import Cutting, Stock, fewest_packing, listed_stocks
from .groups import COARSE, FINE, Group, Yard, all_groups, priced_groups
from .knapsack import NEW, millimetres
from .quick_lists import CutPatterns, best_fit, fill_in_turn, new_lengths
from .small_programme import CuttingProgramme

GROUPS_MOST = 10_000
"""With no more possible groups than this the search is over all of them, so exact."""
GROUP_SECONDS = 2.0
"""Longest search among groups."""
MANY_PIECES = 400
"""Of more pieces the coarse grid's list is taken: a finer one takes long, for a join or two."""
ORDERS = 300
"""Orders tried of the pieces and stocks of a group, so that no piece has too many joins."""


def unlimited(_piece_m: float) -> float:
    """Return how many joins a piece may have where nothing limits them."""
    return math.inf


def fewest_joins(
    pieces_m: Sequence[float],
    length_m: float,
    lengths: int,
    on_hand_m: Sequence[float] = (),
    most_joins: Callable[[float], float] = unlimited,
) -> Cutting:
    """Return the cutting list with the fewest joins, from `lengths` new lengths and stock on hand.

    Exact for short lists; for long ones the least of a search among likely groups, with a bound:
    `Cutting.proven` says whether they meet.

    Args:
        pieces_m: the pieces, m; each may be joined from fragments.
        length_m: a length as sold, m.
        lengths: how many new lengths there are; they may not all be cut.
        on_hand_m: stock on hand, m, one a piece.
        most_joins: how many joins a piece of so many metres may have. The bound does not count
            on it; nor is a list with few joins always found that keeps it.

    Raises:
        ValueError: a length not above 0; fewer metres than the pieces need; no list was found that
            keeps `most_joins`.
    """
    return _fewest_joins(tuple(pieces_m), length_m, lengths, tuple(on_hand_m), most_joins)


@lru_cache(maxsize=1000)
def _fewest_joins(
    pieces_m: tuple[float, ...],
    length_m: float,
    lengths: int,
    on_hand_m: tuple[float, ...],
    most_joins: Callable[[float], float],
) -> Cutting:
    """Return what `fewest_joins` does; a farm that is priced again and again asks the same again
    and again."""
    pieces = [millimetres(piece) for piece in pieces_m]
    length = millimetres(length_m)
    stocks = [millimetres(stock) for stock in on_hand_m]
    if length <= 0 or any(piece <= 0 for piece in pieces):
        raise ValueError("pieces and lengths must be longer than nothing")
    there = lengths * length + sum(stocks)
    if sum(pieces) > there:
        raise ValueError(
            f"the pieces need {sum(pieces) / 1000:g} m and {there / 1000:g} m are there"
        )
    packing, whole = fewest_packing(Counter(pieces), length, stocks)
    if packing is not None and new_lengths(packing) <= lengths:
        sizes = sorted(set(pieces), reverse=True)
        listed = listed_stocks(packing, sizes, pieces, length, stocks)
        return Cutting(listed, new_lengths(packing), 0, "joins", 0)
    wanted = Counter(pieces)
    on_hand = Counter(stock for stock in stocks if stock > 0)
    yard = Yard(
        sizes=tuple(sorted(wanted, reverse=True)),
        counts=tuple(wanted[size] for size in sorted(wanted, reverse=True)),
        stocks=(length, *sorted(on_hand)),
        there=(lengths, *(on_hand[stock] for stock in sorted(on_hand))),
    )
    bound = _least_joins(wanted, length, lengths, stocks, whole)
    # The coarse grid is quick, and mostly its list and its bound meet.
    shared, bound = _by_prices(yard, bound, COARSE)
    for look in (_by_all, _by_prices) if len(pieces) <= MANY_PIECES else ():
        if _joins(shared) <= bound:
            break
        other, bound = look(yard, bound)
        shared = min(shared, other, key=_joins)
    cut = _laid_end_to_end(shared, yard, pieces, stocks, most_joins)
    joins = sum(len(stock.cuts) for stock in cut) - len(pieces)
    new = sum(stock.on_hand is None for stock in cut)
    return Cutting(cut, new, joins, "joins", bound)


def _by_prices(yard: Yard, bound: int, cells: int = FINE) -> tuple[list[Group], int]:
    """Return (groups shared out among those that prices ask for, the better bound)."""
    likely, proven = priced_groups(yard, cells)
    bound = max(bound, proven)
    likely = [group for group in likely if group.fits(yard)]
    shared, _ = _share([*likely, *_single_stocks(yard)], yard, bound, run=True)
    return shared, bound


def _by_all(yard: Yard, bound: int) -> tuple[list[Group], int]:
    """Return (groups shared out among all there are, the better bound); of too many, all in one."""
    groups = all_groups(yard, GROUPS_MOST)
    if groups is None:
        return [Group(yard.counts, yard.there)], bound
    shared, proven = _share(groups, yard, bound, run=False)
    return shared, max(bound, proven)


def _least_joins(
    wanted: Counter[int], length: int, lengths: int, stocks: Sequence[int], whole: int
) -> int:
    """Return a number of joins that no list can do without.

    A piece longer than every stock has a join at each stock it must run over. Of the rest, a list
    with j joins becomes one of whole pieces when each joined piece gets a new length for each of
    its joins, so j ≥ fewest lengths of whole pieces − lengths; `whole` bounds that number.
    """
    longest = max([length, *stocks])
    over = sum((-(-piece // longest) - 1) * number for piece, number in wanted.items())
    if any(piece > length for piece in wanted):
        short = Counter({piece: n for piece, n in wanted.items() if piece <= length})
        _, whole = fewest_packing(short, length, stocks)
    return over + max(0, whole - lengths)


def _joins(groups: Sequence[Group]) -> int:
    return sum(group.joins for group in groups)


def _single_stocks(yard: Yard) -> list[Group]:
    """Return well-filled single stocks, of whole pieces."""
    length, *kinds = yard.stocks
    on_hand = Counter(dict(zip(kinds, yard.there[1:], strict=True)))
    unit = math.gcd(*yard.sizes)
    longest = max(yard.stocks)
    short = [n if size <= longest else 0 for size, n in zip(yard.sizes, yard.counts, strict=True)]
    packings: list[CutPatterns] = []
    for quick in (best_fit, fill_in_turn):
        packing = quick(
            [size // unit for size in yard.sizes],
            short,
            length // unit,
            Counter({stock // unit: n for stock, n in on_hand.items() if stock >= unit}),
        )
        packings.append(packing or [])
    groups: dict[Group, None] = {}
    for mark, pattern in itertools.chain(*packings):
        kind = 0 if mark == NEW else 1 + [stock // unit for stock in kinds].index(mark)
        groups[Group(pattern, tuple(int(i == kind) for i in range(len(yard.stocks))))] = None
    return list(groups)


def _share(
    groups: Sequence[Group], yard: Yard, bound: int, *, run: bool
) -> tuple[list[Group], int]:
    """Return (the groups with fewest joins that share out all pieces, a bound over `groups`).

    With `run`, pieces in no group go into one open run of stocks laid end to end.
    """
    programme = CuttingProgramme()
    for count in yard.counts:
        programme.row(low=0 if run else count, high=count)
    for number in yard.there:
        programme.row(high=number)
    first_stock, run_row = len(yard.counts), len(yard.counts) + len(yard.stocks)
    # Metres grouped + metres in the run ≥ all metres; and a run that saves its join has a stock.
    if run:
        programme.row(low=yard.wanted_mm / 1000)
        programme.row(low=0.0)
    for group in groups:
        entries = {i: float(n) for i, n in enumerate((*group.pieces, *group.stocks)) if n}
        if run:
            metres = sum(s * n for s, n in zip(yard.sizes, group.pieces, strict=True)) / 1000
            entries[run_row] = metres
        programme.column(
            float(group.joins), list(entries), list(entries.values()), high=max(yard.counts)
        )
    if run:
        for place, (stock, number) in enumerate(zip(yard.stocks, yard.there, strict=True)):
            rows = [first_stock + place, run_row, run_row + 1]
            programme.column(1.0, rows, [1.0, stock / 1000, 1.0], high=number)
        programme.column(-1.0, [run_row + 1], [-1.0], high=1.0)
    uses, dual = programme.in_whole(GROUP_SECONDS, bound)
    proven = max(0, ceil_to_whole(dual)) if math.isfinite(dual) else 0
    if uses is None:
        return [Group(yard.counts, yard.there)], proven
    chosen = [group for group, use in zip(groups, uses, strict=False) for _ in range(use)]
    left = tuple(
        count - sum(group.pieces[index] for group in chosen)
        for index, count in enumerate(yard.counts)
    )
    if any(left):
        chosen.append(Group(left, tuple(uses[len(groups) : len(groups) + len(yard.stocks)])))
    return chosen, proven


def _laid_end_to_end(
    groups: Sequence[Group],
    yard: Yard,
    pieces: Sequence[int],
    stocks: Sequence[int],
    most_joins: Callable[[float], float],
) -> tuple[Stock, ...]:
    """Return the stocks and their cuts: each group's pieces run over its stocks, in order."""
    waiting = {size: [i for i, piece in enumerate(pieces) if piece == size] for size in yard.sizes}
    places = {mm: [i for i, stock in enumerate(stocks) if stock == mm] for mm in set(stocks)}
    cut: list[Stock] = []
    for group in groups:
        lying: list[tuple[int, int | None]] = []
        for mm, number in zip(yard.stocks[1:], group.stocks[1:], strict=True):
            lying += [(mm, places[mm].pop(0)) for _ in range(number)]
        lying += [(yard.stocks[0], None)] * group.stocks[0]
        wanted = [
            (waiting[size].pop(0), size)
            for size, number in zip(yard.sizes, group.pieces, strict=True)
            for _ in range(number)
        ]
        cut += _in_order(lying, wanted, most_joins)
    cut.sort(key=lambda stock: (stock.on_hand is None, stock.on_hand or 0))
    return tuple(cut)


def _in_order(
    lying: Sequence[tuple[int, int | None]],
    wanted: Sequence[tuple[int, int]],
    most_joins: Callable[[float], float],
) -> list[Stock]:
    """Return a group's stocks and their cuts, in an order in which no piece has too many joins.

    lying : (mm, place on hand). wanted : (piece, mm).
    """
    stocks, order = list(lying), list(wanted)
    draw = random.Random(0)
    for attempt in range(ORDERS):
        cuts: list[list[tuple[int, float]]] = [[] for _ in stocks]
        at, room = 0, stocks[0][0]
        kept = True
        for piece, size in order:
            left, fragments = size, 0
            while left:
                if not room:
                    at += 1
                    room = stocks[at][0]
                fragment = min(left, room)
                cuts[at].append((piece, fragment / 1000))
                left -= fragment
                room -= fragment
                fragments += 1
            kept = kept and fragments - 1 <= most_joins(size / 1000)
        if kept:
            return [
                Stock(mm / 1000, place, tuple(of_stock))
                for (mm, place), of_stock in zip(stocks, cuts, strict=True)
                if of_stock
            ]
        if attempt == 0:
            order.reverse()
        else:
            draw.shuffle(order)
            draw.shuffle(stocks)
    raise ValueError("no list was found in which no piece has too many joins")
