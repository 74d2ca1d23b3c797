"""The whole programme of a farm's order in columns and rows: what DEVELOPERS.md calls the model."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from ..models.farm import Farm
from ..models.item import Item, Kind
from .campaigns import Sailing, add_campaigns
from .choices import Choices, fittings_needed
from .consignments import Service, add_consignments, add_load_lesson
from .cutting_rows import (
    CutLesson,
    CutRow,
    add_cut,
    add_joins,
    add_lesson,
    add_patterns,
    plain_cuts,
)
from .links import Link, terms_of
from .make_ups import Bools, Floats, Ints
from .pattern_pool import CutPattern
from .programme import Matrix, Programme
from .purchase import Order, add_order, supplier_columns
from .stowage import LoadLesson


class OrderProgramme:
    """The programme of one farm over some (`active`) or all of its choices.

    `choices` are all that the farm has; the columns of the active ones come first, in the order
    of `active`. Rows over choices are kept as links, so that choices left out can be priced.
    `at_most` are the largest orders, by item, that any plan worth having makes, where known;
    `patterns` restrict how items that are cut whole may be cut; `loads` is what was learnt of
    containers without a load plan.
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
        loads: tuple[LoadLesson, ...] = (),
    ) -> None:
        self.farm = farm
        self.choices = choices
        self.active = np.arange(len(choices)) if active is None else active
        self.programme = Programme()
        self.links: list[Link] = []
        self.lines = self._add_lines()
        self.sailings: list[Sailing] = add_campaigns(farm, self.programme)
        self.most_needed = self._most_needed()
        self.at_most = at_most or {}
        self.suppliers = supplier_columns(farm, self.programme)
        self.orders = self._add_orders()
        self.joins = add_joins(self)
        self._link_needs()
        self._link_ordered()
        self.services: list[Service] = add_consignments(farm, self.programme, self.orders)
        self._link_vessels()
        self.models_used = self._limit_models()
        for cut in (*plain_cuts(self), *cut_rows):
            add_cut(self, cut)
        for lesson in lessons:
            add_lesson(self, lesson)
        self.loads = loads
        for load in loads:
            add_load_lesson(self.programme, self.services, load)
        for name, pool in (patterns or {}).items():
            add_patterns(self, farm.item_by_name[name], pool)
        self.programme.terms(*self._choice_terms())

    def matrix(self) -> Matrix:
        """Return the programme in arrays."""
        return self.programme.matrix()

    # --- lines -------------------------------------------------------------------------------

    def _add_lines(self) -> Ints:
        """Σ over the choices of a leg group = its count; every choice counts whole lines."""
        counts = np.array([leg.count for leg in self.farm.legs], dtype=float)
        made = self.choices.made
        columns = self.programme.columns("lines", len(self.active), integer=True)
        rows = self.programme.rows("every line", len(counts), low=counts, high=counts)
        self.link(rows[made.leg], np.ones(len(self.choices)))
        return columns

    def link(self, row: Ints, value: Floats) -> None:
        """Add a link: the row of each choice (−1: none) and its coefficient there."""
        self.links.append(Link(row, value))

    def _choice_terms(self) -> tuple[Ints, Ints, Floats]:
        rows, positions, values = terms_of(self.links, self.active)
        return rows, self.lines[positions], values

    # --- purchase ----------------------------------------------------------------------------

    def needs(self) -> list[tuple[Item, Bools | None, Floats]]:
        """Return, for each item, which choices use it (None: all) and how much one line needs:
        anchors laid, fittings, metres of chain and rope."""
        farm, made = self.farm, self.choices.made
        by_name = farm.item_by_name
        needs: list[tuple[Item, Bools | None, Floats]] = []
        for index, anchor in enumerate(farm.anchors):
            needs.append((by_name[anchor.name], made.anchor == index, made.anchors.astype(float)))
        for index, chain in enumerate(farm.chains):
            needs.append((by_name[chain.name], made.chain == index, made.chain_m))
        for index, rope in enumerate(farm.ropes):
            needs.append((by_name[rope.name], made.rope == index, made.rope_m))
        for index, amount in fittings_needed(farm, made):
            needs.append((by_name[farm.fittings[index].name], None, amount))
        return needs

    def _most_needed(self) -> dict[str, int]:
        """Return, by item, units as sold that the hungriest choice of every leg would need."""
        counts = np.array([leg.count for leg in self.farm.legs], dtype=float)
        leg = self.choices.made.leg
        most: dict[str, int] = {}
        for item, uses, amount in self.needs():
            by_leg = np.zeros(len(counts))
            used = amount if uses is None else np.where(uses, amount, 0.0)
            np.maximum.at(by_leg, leg, used)
            needed = float(by_leg @ counts)
            if item.kind is Kind.ANCHOR:
                needed *= 1.0 + self.farm.project.spare_anchor_share
            if not item.length_sold_m:
                most[item.name] = math.ceil(needed - 1e-9)
                continue
            most[item.name] = math.ceil(needed / item.length_sold_m - 1e-9)
            apart = self.farm.project.chain_between_joins_m is not None
            if item.cut_whole or item.join_cost > 0 or apart:  # at worst a length for every piece
                pieces = float(counts[by_leg > 0].sum())
                most[item.name] = max(most[item.name], int(pieces))
        return most

    def _add_orders(self) -> dict[str, Order]:
        insurance = self.farm.project.insurance_share
        days = self.farm.project.days_to_deliver
        orders = {}
        for item in self.farm.items:
            carried = any(item.travels_by(service, days) for service in self.farm.services)
            if not carried or self.most_needed.get(item.name, 0) == 0:
                continue
            orders[item.name] = add_order(
                self.programme,
                item,
                self.most_needed[item.name],
                1.0 + item.duty_share + insurance,
                self.suppliers.get(item.supplier),
                self.at_most.get(item.name),
            )
        return orders

    def order_terms(self, item: Item, per_unit: float) -> list[tuple[int, float]]:
        """Return per_unit × the quantity ordered of an item, as terms; none if it has no order."""
        order = self.orders.get(item.name)
        return order.scaled(per_unit) if order else []

    def _link_needs(self) -> None:
        """Needed ≤ ordered + on hand, in units or metres; anchors with their spares."""
        for item, uses, amount in self.needs():
            if item.name not in self.most_needed or not self.most_needed[item.name]:
                continue
            if item.kind is Kind.ANCHOR and self.farm.project.spare_anchor_share > 0:
                self._link_anchors_with_spares(item, uses, amount)
                continue
            per_unit = item.length_sold_m or 1.0
            row = self.programme.row(
                "needed", self.order_terms(item, -per_unit), high=item.on_hand_total
            )
            self._link_where(uses, row, amount)

    def _link_anchors_with_spares(self, item: Item, uses: Bools | None, amount: Floats) -> None:
        """N = Σ anchors laid; spares ≥ share × N, whole, and at least one if any is laid;
        N + spares ≤ ordered + on hand.

        Both are whole numbers in any plan; saying so spares the solver much of its work.
        """
        laid = self.programme.column("anchors laid", integer=True)
        spares = self.programme.column("spares", integer=True)
        share = self.farm.project.spare_anchor_share
        row = self.programme.row("anchors laid", [(laid, -1.0)], low=0, high=0)
        self._link_where(uses, row, amount)
        self.programme.row("spares", [(spares, 1.0), (laid, -share)], low=0)
        self.programme.row(
            "needed",
            [(laid, 1.0), (spares, 1.0), *self.order_terms(item, -1.0)],
            high=item.on_hand_total,
        )
        counts = np.array([leg.count for leg in self.farm.legs], dtype=float)
        assert uses is not None, "a line has one anchor model"
        legs = np.unique(self.choices.made.leg[uses])
        rows = self.programme.rows("spare if laid", len(legs), high=0.0)
        self.programme.terms(rows, np.full(len(legs), spares), -counts[legs])
        row_of = np.full(len(counts), -1)
        row_of[legs] = rows
        self.link(np.where(uses, row_of[self.choices.made.leg], -1), np.ones(len(self.choices)))

    def _link_where(self, uses: Bools | None, row: int, amount: Floats) -> None:
        where = np.full(len(self.choices), row)
        if uses is not None:
            where[~uses] = -1
        self.link(where, np.asarray(amount, dtype=float))

    def _link_ordered(self) -> None:
        """No line of a leg by an item that is not ordered at all, where none is on hand; the same
        for the suppliers: the disaggregated form of "needed ≤ ordered", which is far tighter."""
        counts = np.array([leg.count for leg in self.farm.legs], dtype=float)
        leg = self.choices.made.leg
        for item, uses, amount in self.needs():
            order = self.orders.get(item.name)
            if order is None or item.on_hand_total > 0:
                continue
            gate = order.ordered or [
                column for column in [self.suppliers.get(item.supplier)] if column is not None
            ]
            used = amount > 0 if uses is None else uses
            if not gate or not used.any():
                continue
            legs = np.unique(leg[used])
            rows = self.programme.rows("ordered at all", len(legs), high=0.0)
            for column in gate:
                self.programme.terms(rows, np.full(len(legs), column), -counts[legs])
            row_of = np.full(len(counts), -1)
            row_of[legs] = rows
            self.link(np.where(used, row_of[leg], -1), np.ones(len(leg)))

    # --- vessels and policies ----------------------------------------------------------------

    def _link_vessels(self) -> None:
        """Mass, deck and hours of every choice; no line by a vessel that is not mobilised."""
        vessel = self.choices.vessel
        for rows, amount in (
            ([s.mass_row for s in self.sailings], self.choices.mass_t),
            ([s.area_row for s in self.sailings], self.choices.area_m2),
            ([s.hours_row for s in self.sailings], self.choices.hours),
        ):
            self.link(np.array(rows)[vessel], amount)
        counts = [leg.count for leg in self.farm.legs]
        row_of = np.full((len(counts), len(self.sailings)), -1)
        pairs = set(zip(self.choices.made.leg.tolist(), vessel.tolist(), strict=True))
        for g, v in sorted(pairs):
            used = self.sailings[v].used
            if used is not None:
                row_of[g, v] = self.programme.row(
                    "vessel mobilised", [(used, -float(counts[g]))], high=0
                )
        self.link(row_of[self.choices.made.leg, vessel], np.ones(len(vessel)))

    def _limit_models(self) -> dict[int, int]:
        """Return a binary by anchor used on legs, where the policy limits how many there are."""
        most = self.farm.project.most_anchor_models
        if most is None:
            return {}
        made = self.choices.made
        used = {
            a: self.programme.column("model used", high=1, integer=True)
            for a in np.unique(made.anchor).tolist()
        }
        self.programme.row("most models", [(column, 1.0) for column in used.values()], high=most)
        counts = [leg.count for leg in self.farm.legs]
        row_of = np.full((len(counts), len(self.farm.anchors)), -1)
        for g, a in sorted(set(zip(made.leg.tolist(), made.anchor.tolist(), strict=True))):
            row_of[g, a] = self.programme.row("model used", [(used[a], -float(counts[g]))], high=0)
        self.link(row_of[made.leg, made.anchor], np.ones(len(made)))
        return used
