"""The whole programme of a farm's order in columns and rows: what DEVELOPERS.md calls the model."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from ...models.arrays import Floats, Ints
from ...models.farm import Farm
from ...models.goods.duty import goods_duty
from ...models.goods.item import Item, ItemKind, OfferKey
from ..choices.choices import Choices, fittings_needed, fittings_tables, rope_pieces_m
from ..solvers.matrix import Matrix, with_columns, with_row
from ..stowage.load_lessons import LoadLesson
from .campaigns import MostWork, add_campaigns, whole_lines
from .choice_links import terms_of
from .choice_rows import ChoiceRows
from .consignments import Service, add_consignments, add_load_lesson
from .cutting_rows import CutLesson, CutRow, add_cut, add_joins, add_lesson, plain_cuts
from .families import ColumnFamily, RowFamily
from .item_columns import add_items
from .pattern_rows import CutPattern, PieceRows, add_patterns, add_piece_rows, rounded_down
from .purchase import Order, add_order, supplier_columns


class OrderProgramme(ChoiceRows):
    """The programme of one farm over some (`active`) or all of its choices.

    `choices` are all that the farm has. The farm-wide columns come first, then those of load and
    cut lessons, patterns and items; the lines of the active choices come last, in the order of
    `active`. Rows over choices are kept as links, so that columns can be made of choices left out,
    or those be priced. `at_most` are the largest orders, by item, that any plan worth having
    makes, where known; `patterns` restrict how items that are cut whole may be cut; `loads` is
    what was learnt of containers without a load plan. `relaxed` leaves out what binds whole
    numbers only, and gives sizes that no active choice has a row too; `items` adds a column for
    every item and vessel that a leg group built alike may use.
    """

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        active: Ints | None = None,
        cut_rows: tuple[CutRow, ...] = (),
        lessons: tuple[CutLesson, ...] = (),
        at_most: Mapping[str, int] | None = None,
        patterns: Mapping[str, Sequence[CutPattern]] | None = None,
        relaxed: bool = False,
        loads: tuple[LoadLesson, ...] = (),
        items: bool = False,
    ) -> None:
        super().__init__(farm, choices, active)
        self.relaxed, self.cut_rows, self.lessons = relaxed, cut_rows, lessons
        self._lay_every_line()
        self.sailings = add_campaigns(farm, self.programme, self._most_work())
        self.most_needed = self._most_needed()
        self.at_most = at_most or {}
        self.suppliers = supplier_columns(farm, self.programme)
        self.orders = self._add_orders()
        self.joins = add_joins(self)
        self._link_needs()
        self._link_ordered()
        self.services: list[Service] = add_consignments(farm, self.programme, self.orders)
        self._link_vessels()
        self._limit_models()
        self._keep_apart()
        for cut in plain_cuts(self):
            add_cut(self, cut)
        self.rows_of_cuts = [add_cut(self, cut) for cut in cut_rows]
        self.wide_end = self.programme.column_count
        for lesson in lessons:
            add_lesson(self, lesson)
        self.loads = loads
        for load in loads:
            add_load_lesson(self.programme, self.services, load)
        self.piece_rows: dict[str, PieceRows] = {}
        if patterns is not None:
            self._add_patterns(patterns, relaxed)
        self.items = add_items(self) if items else []

    @property
    def lines(self) -> Ints:
        """The columns of the active choices, in the order of `active`."""
        return np.arange(len(self.active)) + self.programme.column_count

    def matrix(self, active: Ints | None = None) -> Matrix:
        """Return the programme in arrays, with lines of these choices (None: of the active)."""
        chosen = self.active if active is None else active
        high = self.units[self.choices.make_ups.leg[chosen]]
        matrix = with_columns(self.programme.matrix(), high, *terms_of(self.links, chosen))
        return matrix if self.relaxed else self._limit_choices(matrix, chosen)

    # --- lines -------------------------------------------------------------------------------

    def _lay_every_line(self) -> None:
        """Σ over the choices of a leg group = its units: its lines, or the group as a whole where
        its lines are built alike (the columns are binary then)."""
        units = self.units
        rows = self.programme.rows(RowFamily.EVERY_LINE, len(units), low=units, high=units)
        self.link_units(rows, self.choices.make_ups.leg)

    def _limit_choices(self, matrix: Matrix, chosen: Ints) -> Matrix:
        """lines ≤ count × used; Σ used ≤ the most choices of a group, where fewer than its lines.

        With nothing whole these rows bind nothing: used may be lines ÷ count, which add up to 1.
        """
        leg = self.choices.make_ups.leg[chosen]
        none = np.zeros(0, dtype=np.int64)
        for g, group in enumerate(self.farm.legs):
            most = self.farm.project.most_choices(group.count)
            lines = np.flatnonzero(leg == g) + self.programme.column_count
            if not 1 < most < min(group.count, len(lines)):
                continue
            used = np.arange(len(lines)) + len(matrix.cost)
            matrix = with_columns(matrix, np.ones(len(lines)), none, none, np.zeros(0))
            for line, one in zip(lines.tolist(), used.tolist(), strict=True):
                gate = np.array([1.0, -float(group.count)])
                matrix = with_row(matrix, np.array([line, one]), gate, -np.inf, 0.0)
            matrix = with_row(matrix, used, np.ones(len(used)), -np.inf, most)
        return matrix

    # --- purchase ----------------------------------------------------------------------------

    def _most_needed(self) -> dict[str, int]:
        """Return, by item, units as sold that the hungriest choice of every leg would need."""
        most = {}
        for items, index, amount in self._goods():
            by_leg = np.zeros((len(self.farm.legs), len(items) + 1))
            np.maximum.at(by_leg, (self.choices.make_ups.leg, index), amount)
            for n, item in enumerate(items):
                most[item.name] = self._units(item, by_leg[:, n])
        for item, amount in self._fittings():
            needed = np.zeros(len(self.farm.legs))
            np.maximum.at(needed, self.choices.make_ups.leg, amount)
            most[item.name] = self._units(item, needed)
        return most

    def _units(self, item: Item, by_leg: Floats) -> int:
        """Return the units as sold that are enough for so much a line of every leg."""
        counts = np.array([leg.count for leg in self.farm.legs], dtype=float)
        needed = float(by_leg @ counts)
        if item.kind is ItemKind.ANCHOR:
            needed *= 1.0 + self.farm.project.spare_anchor_share
        if not item.length_sold_m:
            return math.ceil(needed - 1e-9)
        units = math.ceil(needed / item.length_sold_m - 1e-9)
        apart = self.farm.project.chain_between_joins_m is not None
        if item.cut_whole or item.join_cost > 0 or apart:  # at worst a length for every piece
            units = max(units, int(counts[by_leg > 0].sum()))
        return units

    def _add_orders(self) -> dict[OfferKey, Order]:
        """Add the orders of every item that is needed, one an offer; together they meet it."""
        insurance = self.farm.project.insurance_share
        days = self.farm.project.days_to_deliver
        orders = {}
        for item in self.farm.items:
            if self.most_needed.get(item.name, 0) == 0:
                continue
            for offer in item.offers:
                if not any(item.travels_by(service, offer, days) for service in self.farm.services):
                    continue
                orders[offer.key] = add_order(
                    self.programme,
                    item,
                    offer,
                    self.most_needed[item.name],
                    1.0 + goods_duty(self.farm.project, offer.duty_share) + insurance,
                    self.suppliers.get(offer.supplier),
                    self.at_most.get(item.name),
                )
        return orders

    def _goods(self) -> list[tuple[list[Item], Ints, Floats]]:
        """Return, for anchors, chains and ropes: the items, which of them each choice uses (−1:
        none), and how much one line needs."""
        farm, made, by_name = self.farm, self.choices.make_ups, self.farm.item_by_name
        return [
            ([by_name[a.name] for a in farm.anchors], made.anchor, made.anchors.astype(float)),
            ([by_name[c.name] for c in farm.chains], made.chain, made.chain_m),
            ([by_name[r.name] for r in farm.ropes], made.rope, rope_pieces_m(farm, made)),
        ]

    def _fittings(self) -> Iterator[tuple[Item, Floats]]:
        """Yield the fittings, and how many of each one line needs."""
        farm = self.farm
        for index, amount in fittings_needed(farm, self.choices.make_ups):
            yield farm.item_by_name[farm.fittings[index].name], amount

    def _link_needs(self) -> None:
        """Needed ≤ ordered + on hand, in units or metres; anchors with their spares."""
        for items, index, amount in self._goods():
            row_of = np.full(len(items) + 1, -1)  # the last answers index −1
            spare_of = np.full((len(self.block_units), len(items) + 1), -1)
            for n, item in enumerate(items):
                if not self.most_needed[item.name]:
                    continue
                if item.kind is ItemKind.ANCHOR and self.farm.project.spare_anchor_share > 0:
                    blocks = np.unique(self.block[index == n])
                    row_of[n], spare_of[blocks, n] = self._anchors_with_spares(item, blocks)
                else:
                    row_of[n] = self._needed_row(item)
            self.link(row_of, index, amount=amount)
            if (spare_of >= 0).any():
                self.link_units(spare_of, self.block, index)
        made = self.choices.make_ups
        for place, table in fittings_tables(self.farm, made):
            item = self.farm.item_by_name[self.farm.fittings[place].name]
            if self.most_needed[item.name]:
                row = np.full(table.shape, self._needed_row(item))
                self.link(row, made.chain, made.anchors, worth=table)

    def _needed_row(self, item: Item) -> int:
        per_unit = item.length_sold_m or 1.0
        terms = self.order_terms(item, -per_unit)
        return self.programme.row(RowFamily.NEEDED, terms, high=item.on_hand_total)

    def _anchors_with_spares(self, item: Item, blocks: Ints) -> tuple[int, Ints]:
        """N = Σ anchors laid; spares ≥ share × N, whole, and at least one if any is laid;
        N + spares ≤ ordered + on hand. Return the row of N, and those by block of "one if any".

        Both are whole numbers in any plan; saying so spares the solver much of its work.
        """
        laid = self.programme.column(ColumnFamily.ANCHORS_LAID, integer=True)
        spares = self.programme.column(ColumnFamily.SPARES, integer=True)
        share = self.farm.project.spare_anchor_share
        row = self.programme.row(RowFamily.ANCHORS_LAID, [(laid, -1.0)], low=0, high=0)
        self.programme.row(RowFamily.SPARES, [(spares, 1.0), (laid, -share)], low=0)
        self.programme.row(
            RowFamily.NEEDED,
            [(laid, 1.0), (spares, 1.0), *self.order_terms(item, -1.0)],
            high=item.on_hand_total,
        )
        rows = self.programme.rows(RowFamily.SPARE_IF_LAID, len(blocks), high=0.0)
        self.programme.terms(rows, np.full(len(blocks), spares), -self.block_units[blocks])
        return row, rows

    def _link_ordered(self) -> None:
        """No line of a leg by an item that is not ordered at all, where none is on hand; the same
        for the suppliers: the disaggregated form of "needed ≤ ordered", which is far tighter."""
        for items, index, _ in self._goods():
            row_of = np.full((len(self.block_units), len(items) + 1), -1)
            for n, item in enumerate(items):
                blocks = np.unique(self.block[index == n])
                row_of[blocks, n] = self._ordered_rows(item, blocks)
            if (row_of >= 0).any():
                self.link_units(row_of, self.block, index)
        for item, amount in self._fittings():
            rows = np.full((len(self.block_units), 2), -1)
            blocks = np.unique(self.block[amount > 0])
            rows[blocks, 1] = self._ordered_rows(item, blocks)
            if (rows >= 0).any():
                self.link_units(rows, self.block, (amount > 0).astype(np.int8))

    def _ordered_rows(self, item: Item, blocks: Ints) -> Ints:
        """Return the rows, by block, that open with the item's order; −1 where none are needed."""
        none = np.full(len(blocks), -1)
        orders = self.orders_of(item)
        if not orders or item.on_hand_total > 0 or not len(blocks):
            return none
        gate: list[int] = []
        for order in orders:
            supplier = self.suppliers.get(order.offer.supplier)
            opens = order.ordered or ([] if supplier is None else [supplier])
            if order.most == 0:
                continue
            if not opens:
                return none
            gate += opens
        rows = self.programme.rows(RowFamily.ORDERED_AT_ALL, len(blocks), high=0.0)
        for column in gate:
            self.programme.terms(rows, np.full(len(blocks), column), -self.block_units[blocks])
        return rows

    def _add_patterns(self, patterns: Mapping[str, Sequence[CutPattern]], every_size: bool) -> None:
        """Have every item that is cut whole cut by these patterns, and those of one size."""
        for item in self.farm.items:
            if not (item.cut_whole and self.most_needed.get(item.name)):
                continue
            link = self.size_link(item)
            sizes = link.sizes
            if not every_size:
                place = np.unique(link.place[self.active])
                sizes = sizes[place[place >= 0]]
            if not sizes.size:
                continue
            rounded = rounded_down(item, sizes) if every_size else sizes
            cut = self.piece_rows[item.name] = add_piece_rows(self, item, sizes, rounded)
            add_patterns(self, cut, [*cut.one_size(), *patterns.get(item.name, ())])

    # --- vessels and policies ----------------------------------------------------------------

    def _most_work(self) -> list[MostWork]:
        """Return, by vessel, the work of the hungriest choice of every leg that it can lay."""
        counts = np.array([leg.count for leg in self.farm.legs], dtype=float)
        work = []
        for v in range(len(self.farm.vessels)):
            mine = self.choices.vessel == v
            legs = self.choices.make_ups.leg[mine]
            sums = []
            for each in (self.choices.hours, self.choices.mass_t, self.choices.area_m2):
                by_leg = np.zeros(len(counts))
                np.maximum.at(by_leg, legs, each[mine])
                sums.append(float(by_leg @ counts))
            work.append(MostWork(*sums))
        return work

    def _link_vessels(self) -> None:
        """Mass, deck and hours of every choice; no line by a vessel that is not mobilised."""
        vessel = self.choices.vessel
        for rows, amount in (
            ([s.mass_row for s in self.sailings], self.choices.mass_t),
            ([s.area_row for s in self.sailings], self.choices.area_m2),
            ([s.hours_row for s in self.sailings], self.choices.hours),
            ([s.home_row for s in self.sailings], self.choices.hours),
        ):
            self.link(np.array(rows), vessel, amount=amount)
        for rows_of, kind, worth in whole_lines(
            self.farm, self.choices, self.sailings, self.programme
        ):
            self.link(rows_of, vessel, kind, worth=worth)
        row_of = np.full((len(self.block_units), len(self.sailings)), -1)
        there = np.zeros(row_of.shape, dtype=bool)
        there[self.block, vessel] = True
        for b, v in np.argwhere(there).tolist():
            used = self.sailings[v].used
            if used is not None:
                row_of[b, v] = self.programme.row(
                    RowFamily.VESSEL_MOBILISED, [(used, -float(self.block_units[b]))], high=0
                )
        self.link_units(row_of, self.block, vessel)

    def _limit_models(self) -> None:
        """Limit the anchor models, chains and ropes used on legs, where a policy does."""
        project, made = self.farm.project, self.choices.make_ups
        for most, which in (
            (project.most_anchor_models, made.anchor),
            (project.most_chains, made.chain),
            (project.most_ropes, made.rope),
        ):
            if most is not None:
                self._at_most_used(most, which)

    def _at_most_used(self, most: int, which: Ints) -> None:
        """A binary an item used on legs, of which at most so many are 1.

        which : (X,) the item of each choice; −1: none.
        """
        there = np.unique(which[which >= 0]).tolist()
        used = {
            n: self.programme.column(ColumnFamily.MODEL_USED, high=1, integer=True) for n in there
        }
        terms = [(column, 1.0) for column in used.values()]
        self.programme.row(RowFamily.MOST_MODELS, terms, high=most)
        # The last answers −1.
        row_of = np.full((len(self.block_units), max(there, default=-1) + 2), -1)
        for n in there:
            for b in np.unique(self.block[which == n]).tolist():
                gate = [(used[n], -float(self.block_units[b]))]
                row_of[b, n] = self.programme.row(RowFamily.MODEL_USED, gate, high=0)
        self.link_units(row_of, self.block, which)

    def _keep_apart(self) -> None:
        """At least one line is of none of the choices that a plan must be unlike."""
        for same in self.choices.unlike:
            row = self.programme.row(RowFamily.UNLIKE, [], high=self.farm.leg_count - 1)
            self.link_some(row, same)
