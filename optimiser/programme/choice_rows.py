"""Rows over the choices: what every part of the whole programme is built upon.

Rows over choices are kept as links, so that choices left out of the programme can be priced.
"""

from __future__ import annotations

import numpy as np

from ...models.arrays import Bools, Floats, Ints, whole_counts
from ...models.farm import Farm
from ...models.goods.item import Item, ItemKind, OfferKey
from ..choices.choices import Choices, rope_pieces_m
from ..solvers.matrix import Programme
from .campaigns import Sailing
from .choice_links import Link, RowLink, SizeLink
from .purchase import Order

MOST_BLOCKS = 120
"""Leg groups up to so many have gates of their own; of more, neighbours share them."""

WHOLE_DECK = 10**12
"""Parts of a deck in which shares of it are compared."""


class ChoiceRows:
    """A programme under way over some (`active`) or all of a farm's choices."""

    def __init__(self, farm: Farm, choices: Choices, active: Ints | None = None) -> None:
        self.farm = farm
        self.choices = choices
        self.active = np.arange(len(choices)) if active is None else active
        self.programme = Programme()
        counts = np.array([leg.count for leg in farm.legs])
        alike = np.array([farm.project.most_choices(leg.count) == 1 for leg in farm.legs])
        self.lines_each: Floats = np.where(alike, counts, 1.0)[choices.make_ups.leg]
        """(X,) lines that one unit of a choice's column stands for: all of its leg group, where
        those are built alike, else one."""
        self._one_each = bool((self.lines_each == 1.0).all())
        self.units = np.where(alike, 1, counts).astype(float)
        """(legs,) units that every leg group lays."""
        blocks = min(len(counts), MOST_BLOCKS)
        block_of_leg = np.arange(len(counts)) * blocks // len(counts)
        self.block: Ints = block_of_leg.astype(np.int16)[choices.make_ups.leg]
        """(X,) the block of leg groups that each choice belongs to. A gate, units ≤ count × gate,
        is a row a block: tightest where a block is one group, and few where groups are many."""
        self.block_units: Floats = np.zeros(blocks)
        np.add.at(self.block_units, block_of_leg, self.units)
        """(blocks,) units that its leg groups lay together."""
        self.links: list[Link] = []
        self.size_links: dict[str, SizeLink] = {}
        self._deck_links: dict[tuple[int, bool], SizeLink] = {}
        self.most_needed: dict[str, int] = {}
        """By item, units as sold that the hungriest choice of every leg would need."""
        self.orders: dict[OfferKey, Order] = {}
        """By item and supplier."""
        self.sailings: list[Sailing] = []
        """In the order of the farm's vessels."""
        self.joins: dict[str, int] = {}
        """By chain whose joins cost something, the column of their number."""

    def link(
        self,
        rows: Ints,
        *keys: Ints,
        worth: Floats | None = None,
        amount: Floats | None = None,
    ) -> None:
        """Add a link: the row of each choice by its keys (−1: none), and what one line has there,
        by its keys too (`worth`) or by choice (`amount`); neither: 1."""
        lines = None if self._one_each else self.lines_each
        self.links.append(RowLink(rows.astype(np.int32), keys, worth, amount, lines))

    def link_units(self, rows: Ints, *keys: Ints) -> None:
        """Add a link in which every choice counts its units, not its lines."""
        self.links.append(RowLink(rows.astype(np.int32), keys))

    def link_some(self, row: int, which: Bools, amount: Floats | None = None) -> None:
        """Add a link of one row in which some choices have a term."""
        self.link(np.array([-1, row]), which.astype(np.int8), amount=amount)

    def counts_of(self, values: Floats, chosen: Ints | None = None) -> Ints:
        """Return the lines of some choices (None: the active); values : of their columns."""
        return whole_counts(values * self.lines_each[self.active if chosen is None else chosen])

    def size_link(self, item: Item) -> SizeLink:
        """Return the link of an item's pieces by size, made the first time that it is wanted."""
        link = self.size_links.get(item.name)
        if link is None:
            uses, piece = pieces_of(self, item)
            size = np.where(uses, np.rint(piece * 1000).astype(np.int64), -1)
            sizes = np.unique(size[uses])
            place = np.where(uses, np.searchsorted(sizes, size), -1).astype(np.int32)
            link = self.size_links[item.name] = SizeLink(sizes, place, self.lines_each)
            self.links.append(link)
        return link

    def deck_link(self, vessel: int, by_area: bool) -> SizeLink:
        """Return the link of what one vessel's lines take of its deck, by mass or by area, made the
        first time that it is wanted; its sizes are shares, in parts of `WHOLE_DECK`."""
        link = self._deck_links.get((vessel, by_area))
        if link is None:
            mine = self.choices.vessel == vessel
            share = np.rint(deck_shares(self, by_area) * WHOLE_DECK).astype(np.int64)
            sizes = np.unique(share[mine])
            place = np.where(mine, np.searchsorted(sizes, share), -1).astype(np.int32)
            link = self._deck_links[vessel, by_area] = SizeLink(sizes, place, self.lines_each)
            self.links.append(link)
        return link

    def order_terms(self, item: Item, per_unit: float) -> list[tuple[int, float]]:
        """Return per_unit × the quantity ordered of an item, over all its offers, as terms; none
        if it has no order."""
        return [term for order in self.orders_of(item) for term in order.scaled(per_unit)]

    def orders_of(self, item: Item) -> list[Order]:
        """Return the orders of an item, one for each of its offers that can be ordered from."""
        keys = (offer.key for offer in item.offers)
        return [self.orders[key] for key in keys if key in self.orders]


def pieces_of(rows: ChoiceRows, item: Item) -> tuple[Bools, Floats]:
    """Return which choices use a chain or rope, and the length of their piece, m:
    of a rope with its eyes."""
    made = rows.choices.make_ups
    if item.kind is ItemKind.ROPE:
        index = [rope.name for rope in rows.farm.ropes].index(item.name)
        return made.rope == index, rope_pieces_m(rows.farm, made)
    index = [chain.name for chain in rows.farm.chains].index(item.name)
    return made.chain == index, made.chain_m


def deck_shares(rows: ChoiceRows, by_area: bool) -> Floats:
    """Return (X,) what a line of each choice takes of its vessel's deck, by mass or by area: all
    of it where it is more."""
    choices, vessels = rows.choices, rows.farm.vessels
    amount = choices.area_m2 if by_area else choices.mass_t
    room = [vessel.deck_area_m2 if by_area else vessel.deck_load_t for vessel in vessels]
    return np.asarray(np.minimum(amount / np.array(room)[choices.vessel], 1.0))
