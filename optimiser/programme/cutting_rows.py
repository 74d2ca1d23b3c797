"""Cutting in the programme: joins, and the rows that a cutting list imposes; lines are shared out
among trips as pieces are among lengths, so those rows are here too."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ...models.arrays import ROUNDING, Floats
from ..cutting.knapsack import millimetres
from .choice_links import SizeLink
from .choice_rows import WHOLE_DECK, ChoiceRows, pieces_of
from .families import ColumnFamily, RowFamily


@dataclass(frozen=True)
class CutRow:
    """A valid inequality of a cutting list: Σ value(piece) ≤ lengths ordered + per join × joins
    + free."""

    item: str
    values: tuple[tuple[float, float], ...]
    """(length of piece, m; worth); one of another length is worth what the next shorter is."""
    free: float
    """What the pieces on hand are worth."""
    per_join: float = 1.0
    """At 1, a join may be undone by one new length."""


@dataclass(frozen=True)
class TripRow(CutRow):
    """A valid inequality of a vessel's trips: Σ value(line) ≤ trips, as no deck carries lines worth
    more than one. The item is the vessel, a size what a line takes of its deck, as a share."""

    by_area: bool = False
    """Whether lines are measured by area; else by mass."""


@dataclass(frozen=True)
class CutLesson:
    """What one cutting list taught: with at least these pieces, at most `lengths` new lengths
    will not do without `joins` joins (cut whole: will not do at all)."""

    item: str
    counts: tuple[tuple[float, int], ...]
    """(length of piece, m; how many)."""
    lengths: int
    joins: int


def add_joins(built: ChoiceRows) -> dict[str, int]:
    """A column of joins for every joinable chain whose joins cost something; where connectors are
    on hand, one more of those that must be bought: joins − connectors on hand ≤ bought.

    A piece longer than every stock is joined at least ⌈piece ÷ longest stock⌉ − 1 times.
    """
    joins: dict[str, int] = {}
    for item in built.farm.items:
        if item.join_cost <= 0 or not built.most_needed.get(item.name):
            continue
        there = item.connectors
        paid = 0.0 if there else item.join_cost
        column = built.programme.column(ColumnFamily.JOINS, integer=True, cost=paid)
        joins[item.name] = column
        if there:
            bought = built.programme.column(
                ColumnFamily.CONNECTORS, integer=True, cost=item.join_cost
            )
            terms = [(column, 1.0), (bought, -1.0)]
            built.programme.row(RowFamily.CONNECTORS, terms, high=float(there))
        uses, piece = pieces_of(built, item)
        longest = max([item.length_sold_m, *item.on_hand])
        least = np.ceil(piece / longest - 1e-9) - 1.0
        if (least[uses] > 0).any():
            row = built.programme.row(RowFamily.LONG_PIECES, [(column, -1.0)], high=0)
            built.link_some(row, uses & (least > 0), least)
    return joins


def plain_cuts(built: ChoiceRows) -> list[CutRow]:
    """Return, for every item cut whole, the row that says no length gives two pieces longer
    than its half."""
    rows = []
    for item in built.farm.items:
        if not (item.cut_whole and built.most_needed.get(item.name)):
            continue
        uses, piece = pieces_of(built, item)
        half = item.length_sold_m / 2.0
        long = [size for size in np.unique(piece[uses]).tolist() if size > half + 1e-6]
        if long:
            free = sum(math.floor(stock / long[0] + 1e-9) for stock in item.on_hand)
            rows.append(CutRow(item.name, ((long[0], 1.0),), float(free)))
    return rows


def add_cut(built: ChoiceRows, cut: CutRow) -> int:
    """Add a cutting row to the programme; return its index."""
    family = RowFamily.DECK_TRIPS if isinstance(cut, TripRow) else RowFamily.CUTTING
    row = built.programme.row(family, wide_terms(built, cut), high=cut.free)
    link = link_of(built, cut)
    link.add(row, worth_of(cut, link))
    return row


def wide_terms(built: ChoiceRows, cut: CutRow) -> list[tuple[int, float]]:
    """Return the terms of a cutting row in the farm-wide columns."""
    if isinstance(cut, TripRow):
        return [(built.sailings[_vessel(built, cut)].trips, -1.0)]
    terms = built.order_terms(built.farm.item_by_name[cut.item], -1.0)
    if cut.item in built.joins:
        terms.append((built.joins[cut.item], -cut.per_join))
    return terms


def link_of(built: ChoiceRows, cut: CutRow) -> SizeLink:
    """Return the link of the choices by the sizes that a cutting row tells apart."""
    if isinstance(cut, TripRow):
        return built.deck_link(_vessel(built, cut), cut.by_area)
    return built.size_link(built.farm.item_by_name[cut.item])


def _vessel(built: ChoiceRows, cut: TripRow) -> int:
    return [vessel.name for vessel in built.farm.vessels].index(cut.item)


def worth_of(cut: CutRow, link: SizeLink) -> Floats:
    """Return (sizes,) what a cutting row says that a piece of each size is worth."""
    if isinstance(cut, TripRow):
        # A share that falls short by rounding alone counts: rows leave room for that.
        sizes = np.array([round((size - ROUNDING) * WHOLE_DECK) for size, _ in cut.values])
    else:
        sizes = np.array([millimetres(size) for size, _ in cut.values])
    # A longer piece takes up at least what a shorter one does, so it is worth as much.
    worth = np.maximum.accumulate([worth for _, worth in cut.values])
    return np.append(0.0, worth)[np.searchsorted(sizes, link.sizes, side="right")]


def add_lesson(built: ChoiceRows, lesson: CutLesson) -> None:
    """z_s = 1 wherever the pieces of size s are at least as many as the lesson had; with all
    of them 1, there are more lengths, or at least so many joins."""
    item = built.farm.item_by_name[lesson.item]
    uses, piece = pieces_of(built, item)
    counts = np.array([leg.count for leg in built.farm.legs])
    as_many: list[tuple[int, float]] = []
    for size, number in lesson.counts:
        hit = uses & (np.abs(piece - size) < 1e-6)
        most = int(counts[np.unique(built.choices.make_ups.leg[hit])].sum())
        reached = built.programme.column(ColumnFamily.PIECES_REACHED, high=1, integer=True)
        row = built.programme.row(
            RowFamily.PIECES_REACHED, [(reached, -float(most - number + 1))], high=number - 1
        )
        built.link_some(row, hit)
        as_many.append((reached, -1.0))
    more = built.programme.column(ColumnFamily.MORE_LENGTHS, high=1, integer=True)
    built.programme.row(
        RowFamily.MORE_LENGTHS,
        [*built.order_terms(item, 1.0), (more, -float(lesson.lengths + 1))],
        low=0,
    )
    missing = float(len(as_many))
    if lesson.item not in built.joins:
        built.programme.row(RowFamily.LESSON, [(more, 1.0), *as_many], low=1.0 - missing)
        return
    joins = float(lesson.joins)
    built.programme.row(
        RowFamily.LESSON,
        [
            (built.joins[lesson.item], 1.0),
            (more, joins),
            *((column, joins * value) for column, value in as_many),
        ],
        low=joins * (1.0 - missing),
    )
