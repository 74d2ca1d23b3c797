"""Cut separation: the rows that a solution breaks, and what a settlement teaches.

Every row holds for any choices at any prices, so that it is kept from one search to the next.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator

import numpy as np

from ...models.arrays import Bools, Floats
from ...models.farm import Farm
from ...models.goods.item import Item
from ..cutting.bound import valid_inequality
from ..cutting.join_bound import join_inequality
from ..programme.choice_rows import ChoiceRows, deck_shares, pieces_of
from ..programme.cutting_rows import CutLesson, CutRow, TripRow
from ..programme.order_programme import OrderProgramme
from ..stowage.deck_packing import in_parts
from .relaxation import Relaxation
from .settlement import Settlement

LEAST_CUT = 1e-6
"""Lines of a choice below which nothing is cut for it."""

MOST_CELLS, COARSE_PARTS = 300_000, 200
"""Sizes × units of a length; beyond it rows are made for pieces rounded down to so many parts of
a length."""

DECK_SIZES, WORTH_A_ROW = 24, 0.1
"""Of lines of more sizes on one deck no row is made: so many fill it nearly. By how many trips one
must be broken where the trips are no whole number."""

BROKEN = 1e-3
"""By how many lengths, or trips, a solution must break a row for it to be added."""

ROUNDINGS, ROUNDED_AT_ONCE, MOST_ROUNDED = 12, 30, 20_000_000
"""Most rounds of roundings on a relaxation, the rows of one, and the terms of all."""

LEAST_PER_JOIN = 0.02
"""Least worth of a join, in lengths, that rows are made for."""


def add_roundings(relaxed: Relaxation, worth: float, enough: Callable[[], bool]) -> bool:
    """Add roundings that a relaxation's solutions break, until a round lifts its bound by less
    than a share; tell whether it has a solution still.

    worth : that share. enough : asked after each round whether to be content with it.
    """
    for _ in range(ROUNDINGS):
        before = relaxed.objective
        room = MOST_ROUNDED // len(relaxed.choices) - len(relaxed.rounded)
        rows = relaxed.broken_roundings(ROUNDED_AT_ONCE) if room >= ROUNDED_AT_ONCE else []
        for row in rows:
            relaxed.add_rounding(row)
        if not rows:
            break
        if not relaxed.solve():
            return False
        if enough() or relaxed.objective < before * (1 + worth):
            break
    return True


def rows_broken(
    built: OrderProgramme, lines: Floats, values: Floats, *, of_trips: bool = True
) -> list[CutRow]:
    """Return the cutting rows that a solution breaks, those of trips too.

    lines : (X,) of every choice. values : of the programme's own columns.
    """
    rows: list[CutRow] = []
    for item in built.farm.items:
        joined = item.name in built.joins
        if not built.most_needed.get(item.name) or not (item.cut_whole or joined):
            continue
        uses, piece = pieces_of(built, item)
        uses &= lines > LEAST_CUT
        piece = _coarse(piece, uses, item.length_sold_m)
        uses &= piece > 0
        ordered = sum(v * float(values[c]) for c, v in built.order_terms(item, 1.0))
        joins = float(values[built.joins[item.name]]) if joined else 0.0
        # A join may be undone by one new length only where the piece fits into one.
        longest = item.length_sold_m if joined else max([item.length_sold_m, *item.on_hand])
        found = [_whole_row(item, uses & (piece <= longest + 1e-6), piece, lines)]
        if joined:
            found.append(_join_row(item, uses, piece, lines))
        for row in found:
            if row is None:
                continue
            counts = _counted(uses, piece, lines)
            worth = sum(each * counts[size] for size, each in row.values)
            if worth - row.free - ordered - row.per_join * joins > BROKEN:
                rows.append(row)
    return [*rows, *_trip_rows(built, lines, values)] if of_trips else rows


def _trip_rows(built: OrderProgramme, lines: Floats, values: Floats) -> Iterator[TripRow]:
    """Yield the rows of whole lines on trips that a solution breaks: each limit of a deck is a
    length from which its lines are cut."""
    shares = [(by_area, deck_shares(built, by_area)) for by_area in (False, True)]
    for number, sailing in enumerate(built.sailings):
        mine = (built.choices.vessel == number) & (lines > LEAST_CUT)
        trips = float(values[sailing.trips])
        over = BROKEN if abs(trips - round(trips)) < BROKEN else WORTH_A_ROW
        for by_area, of_deck in shares:
            share, count = of_deck[mine], lines[mine]
            # Every trip but one is filled but for the largest share; by half at least.
            filled = 1.0 - min(float(share.max(initial=0.0)), 0.5)
            if float(share @ count) / filled + 1.0 <= trips or not share.size:
                continue
            size, deck = in_parts(share)
            sizes, which = np.unique(size, return_inverse=True)
            if len(sizes) > DECK_SIZES:
                continue
            least = np.full(len(sizes), np.inf)
            np.minimum.at(least, which, share)
            counts = np.bincount(which, weights=count)
            there = sizes > 0
            worth, _ = valid_inequality(
                (sizes[there] / 1000).tolist(),
                np.ceil(counts[there] * 8 - 1e-6).astype(int).tolist(),
                deck / 1000,
            )
            if float(np.array(worth) @ counts[there]) - trips > over:
                pairs = zip(least[there].tolist(), worth, strict=True)
                yield TripRow(sailing.vessel.name, tuple(pairs), 0.0, by_area=by_area)


def _coarse(piece: Floats, uses: Bools, length_m: float) -> Floats:
    """Return the pieces, rounded down to parts of a length where they are of very many sizes."""
    sizes = np.unique(np.rint(piece[uses] * 1000).astype(np.int64))
    if len(sizes) * length_m * 1000 <= MOST_CELLS * max(np.gcd.reduce(sizes), 1):
        return piece
    part = math.ceil(length_m * 1000 / COARSE_PARTS) / 1000
    return np.asarray(np.floor(piece / part + 1e-9) * part)


def _counted(uses: Bools, piece: Floats, lines: Floats) -> dict[float, float]:
    """Return the pieces of every size, m; sizes that are not cut have none."""
    sizes, which = np.unique(piece[uses], return_inverse=True)
    counts = np.bincount(which, weights=lines[uses], minlength=len(sizes))
    return dict(zip(sizes.tolist(), counts.tolist(), strict=True))


def _whole_row(item: Item, uses: Bools, piece: Floats, lines: Floats) -> CutRow | None:
    """Return the row of an item cut whole, or of joins that a new length each may undo."""
    counts = _counted(uses, piece, lines)
    cut = {size: count for size, count in counts.items() if count > LEAST_CUT}
    if not cut:
        return None
    # The row is strongest where the counts point; eighths point well enough.
    scaled = [math.ceil(count * 8 - 1e-6) for count in cut.values()]
    worth, free = valid_inequality(list(cut), scaled, item.length_sold_m, item.on_hand)
    return CutRow(item.name, tuple(zip(cut, worth, strict=True)), free)


def _join_row(item: Item, uses: Bools, piece: Floats, lines: Floats) -> CutRow | None:
    """Return the row that weighs joins at what they cost beside a length."""
    counts = _counted(uses, piece, lines)
    cut = {size: count for size, count in counts.items() if count > LEAST_CUT}
    a_length = item.list_price
    if not cut or a_length <= 0:
        return None
    per_join = min(max(item.join_cost / a_length, LEAST_PER_JOIN), 1.0)
    worth, free = join_inequality(
        list(cut), list(cut.values()), item.length_sold_m, item.on_hand, per_join
    )
    return CutRow(item.name, tuple(zip(cut, worth, strict=True)), free, per_join)


def lessons_of(
    farm: Farm, built: ChoiceRows, values: Floats, settled: Settlement
) -> list[CutLesson]:
    """Return what the cutting lists of a settled solution taught, that its rows had missed.

    values : of the columns of the programme that was solved.
    """
    lessons = []
    for name, (cutting, pieces) in settled.cuttings.items():
        item = farm.item_by_name[name]
        ordered = round(sum(v * values[c] for c, v in built.order_terms(item, 1.0)))
        joins = round(values[built.joins[name]]) if name in built.joins else 0
        counted = tuple(sorted(Counter(piece.length_m for piece in pieces).items()))
        if item.cut_whole and cutting.bound > ordered:
            lessons.append(CutLesson(name, counted, cutting.bound - 1, 0))
        elif name in built.joins:
            least = settled.least_joins(farm, name, ordered)
            if least > joins:
                lessons.append(CutLesson(name, counted, ordered, least))
    return lessons
