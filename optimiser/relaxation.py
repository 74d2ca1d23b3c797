"""The relaxation: the programme with nothing whole, over few columns but valid for all choices.

Choices are added as their prices demand them (column generation), so that a bound found over
hundreds of columns holds for hundreds of thousands. Between questions HiGHS starts from where it
stood.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import numpy as np

from ..models.farm import Farm
from .choices import Choices, least_of_each_leg
from .cutting_rows import CutRow, cut_terms
from .links import priced, terms_of
from .make_ups import Floats, Ints
from .order_programme import OrderProgramme
from .programme import Matrix
from .solver import highs_of, no_solution, solved_out, without_whole

Ends = tuple[Floats, Floats]
"""Low and high bounds of one run of columns."""

STEADY = ("vessel used", "supplier used", "days", "trips")
"""Families whose columns stay the same however orders are limited."""

NEAR = (*STEADY, "service used", "containers", "bracket", "spares")
"""Families that a plan near a relaxed solution keeps near it."""

NEGATIVE = 1e-4
"""A choice is wanted when its reduced cost lies below minus this, in the project's currency."""

UNLAID = 50.0
"""What an unlaid line costs, in the dearest choice's rough cost."""

ADDED_AT_ONCE = 12
"""Most choices added for one leg in one round of pricing."""


class Relaxation:
    """A linear programme that knows its farm-wide columns and grows its choices."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        active: Ints,
        cut_rows: tuple[CutRow, ...] = (),
        at_most: Mapping[str, int] | None = None,
        bounds: Mapping[str, list[Ends]] | None = None,
    ) -> None:
        self.built = OrderProgramme(farm, choices, active, cut_rows, at_most=at_most)
        self.choices = choices
        whole = self.built.matrix()
        matrix = without_whole(whole)
        self._narrow(matrix, bounds or {})
        self.cost = matrix.cost.copy()
        self.integer = whole.integer
        self.low, self.high = matrix.low.copy(), matrix.high.copy()
        self.rows = matrix.shape[0]
        self.active = list(active.tolist())
        self.column_of_choice = np.full(len(choices), -1)
        self.column_of_choice[active] = self.built.lines
        self.links = list(self.built.links)
        self.highs = highs_of(matrix)
        self.objective = math.nan
        self._cutoff: int | None = None
        self._unlaid = self._add_unlaid()
        self._line_count = farm.leg_count

    @property
    def farm_wide(self) -> Ints:
        """The columns that are not lines, in the order they were added."""
        return np.arange(len(self.built.active), len(self.cost))

    def _add_unlaid(self) -> Ints:
        """Add a column a leg for lines not laid, so dear that no plan has one: with it there
        always is a solution whose prices tell which choices are missing."""
        counts = np.array([leg.count for leg in self.built.farm.legs], dtype=np.int32)
        ((start, end),) = self.built.programme.row_families["every line"]
        first, number = self.highs.getNumCol(), end - start
        price = UNLAID * _rough_cost(self.built.farm, self.choices).max()
        self.highs.addCols(
            number,
            np.full(number, price),
            np.zeros(number),
            counts.astype(float),
            number,
            np.arange(number, dtype=np.int32),
            np.arange(start, end, dtype=np.int32),
            np.ones(number),
        )
        return np.arange(first, first + number)

    def farm_wide_bounds(self) -> Ends:
        """Return the narrowed bounds of the farm-wide columns."""
        return self.low[self.farm_wide], self.high[self.farm_wide]

    def near_bounds(self, room: float) -> Ends:
        """Return bounds of the farm-wide columns near the last solution: what may be 1 at most
        and is 0 stays 0; the other whole numbers may move by `room` from it."""
        values = self.values()
        low, high = self.low.copy(), self.high.copy()
        for family in NEAR:
            for start, end in self.built.programme.column_families.get(family, []):
                at = values[start:end]
                once = self.high[start:end] <= 1.0
                low[start:end] = np.where(
                    once, low[start:end], np.maximum(low[start:end], np.floor(at - room))
                )
                moved = np.where(once, np.ceil(at - 1e-6), np.ceil(at + room))
                high[start:end] = np.minimum(high[start:end], np.maximum(moved, low[start:end]))
        wide = self.farm_wide
        return low[wide], high[wide]

    def set_bounds(self, low: Floats, high: Floats) -> None:
        """Set the bounds of the farm-wide columns."""
        columns = self.farm_wide
        self.highs.changeColsBounds(len(columns), columns.astype(np.int32), low, high)

    @contextmanager
    def trial(self, column: int, low: float | None, high: float | None) -> Iterator[None]:
        """Hold one column within other bounds for a while."""
        _, _, was_low, was_high, _ = self.highs.getCol(column)
        self.highs.changeColBounds(
            column, was_low if low is None else low, was_high if high is None else high
        )
        yield
        self.highs.changeColBounds(column, was_low, was_high)

    def _narrow(self, matrix: Matrix, bounds: Mapping[str, list[Ends]]) -> None:
        for family, ends in bounds.items():
            spans = self.built.programme.column_families.get(family, [])
            for (start, end), (low, high) in zip(spans, ends, strict=True):
                matrix.low[start:end], matrix.high[start:end] = low, high

    def rebuilt(self, cut_rows: tuple[CutRow, ...], at_most: Mapping[str, int]) -> Relaxation:
        """Return the relaxation of a programme with these largest orders, as narrow as this."""
        return Relaxation(
            self.built.farm,
            self.choices,
            np.array(sorted(self.active)),
            cut_rows,
            at_most,
            self.bounds_by_family(),
        )

    def bounds_by_family(self) -> dict[str, list[Ends]]:
        """Return the narrowed bounds of the farm-wide families, in the order they were added.

        Brackets and units are left out: there may be fewer of them once orders are limited.
        """
        return {
            family: [(self.low[a:b].copy(), self.high[a:b].copy()) for a, b in spans]
            for family, spans in self.built.programme.column_families.items()
            if family in STEADY
        }

    def largest_orders(self, best_cost: float, seconds: float) -> dict[str, int]:
        """Return, by item, the largest order in any plan that costs less than `best_cost`; of as
        many items as the seconds allow."""
        until = time.perf_counter() + seconds
        self._set_cutoff(best_cost)
        largest = {}
        with self._no_cost():
            for name, order in self.built.orders.items():
                if time.perf_counter() > until:
                    break
                columns = [column for column, _ in order.quantity]
                for column, value in order.quantity:
                    self.highs.changeColCost(column, -value)
                if self.solve():
                    largest[name] = math.floor(-self.objective + 1e-5)
                for column in columns:
                    self.highs.changeColCost(column, 0.0)
        return largest

    @contextmanager
    def _no_cost(self) -> Iterator[None]:
        """Ask about the programme with no cost of its own, every line laid."""
        priced_columns = np.flatnonzero(self.cost).astype(np.int32)
        number, unlaid = len(self._unlaid), self._unlaid.astype(np.int32)
        counts = np.array([leg.count for leg in self.built.farm.legs], dtype=float)
        self.highs.changeColsCost(
            len(priced_columns), priced_columns, np.zeros(len(priced_columns))
        )
        self.highs.changeColsBounds(number, unlaid, np.zeros(number), np.zeros(number))
        yield
        self.highs.changeColsCost(len(priced_columns), priced_columns, self.cost[priced_columns])
        self.highs.changeColsBounds(number, unlaid, np.zeros(number), counts)

    @property
    def lines(self) -> Ints:
        """The columns of the active choices, in the order of `active`."""
        return np.asarray(self.column_of_choice[np.array(self.active)])

    def solve(self) -> bool:
        """Solve over all choices; return whether there is a solution.

        One with unlaid lines is a solution too: its cost is a bound like any other.
        """
        while self.solve_active():
            reduced = self.reduced_costs()
            if not self._add(reduced):
                # Prices a hair below nothing are let be; the bound gives that hair up.
                self.objective += min(float(reduced.min(initial=0.0)), 0.0) * self._line_count
                return True
        return False

    @property
    def infeasible(self) -> bool:
        """Whether the last solve proved that there is no solution."""
        return no_solution(self.highs)

    def solve_active(self) -> bool:
        """Solve over the active choices alone; return whether there is a solution."""
        self.highs.run()
        if not solved_out(self.highs):
            return False
        self.objective = float(self.highs.getInfo().objective_function_value)
        return True

    @property
    def all_laid(self) -> bool:
        """Whether the last solution lays every line."""
        return bool(self.values()[self._unlaid].max(initial=0.0) < 1e-7)

    def reduced_costs(self) -> Floats:
        """Return the reduced cost of every choice of the farm at the last solution."""
        duals = np.array(self.highs.getSolution().row_dual)
        return -priced(self.links, duals)

    def values(self) -> Floats:
        """Return the values of the columns at the last solution."""
        return np.array(self.highs.getSolution().col_value)

    def lines_of_choices(self) -> Floats:
        """Return (X,) lines of every choice at the last solution."""
        lines = np.zeros(len(self.choices))
        lines[np.array(self.active)] = self.values()[self.lines]
        return lines

    def _add(self, reduced: Floats) -> bool:
        """Add the choices that would pay, a few for every leg; return whether there were any."""
        wanted = np.flatnonzero((reduced < -NEGATIVE) & (self.column_of_choice < 0))
        if not wanted.size:
            return False
        leg = self.choices.made.leg[wanted]
        self.add(wanted[least_of_each_leg(leg, reduced[wanted], ADDED_AT_ONCE)])
        return True

    def add(self, chosen: Ints) -> None:
        """Make columns of these choices."""
        rows, positions, values = terms_of(self.links, chosen)
        order = np.lexsort((rows, positions))
        starts = np.searchsorted(positions[order], np.arange(len(chosen)))
        count = len(chosen)
        first = self.highs.getNumCol()
        self.highs.addCols(
            count,
            np.zeros(count),
            np.zeros(count),
            np.full(count, np.inf),
            len(values),
            starts.astype(np.int32),
            rows[order].astype(np.int32),
            values[order],
        )
        self.column_of_choice[chosen] = np.arange(first, first + count)
        self.active.extend(chosen.tolist())

    def add_cut(self, cut: CutRow) -> None:
        """Add a cutting row."""
        terms, link = cut_terms(self.built, cut, self.rows)
        columns = [column for column, _ in terms]
        values = [value for _, value in terms]
        at = np.array(self.active)
        there = link.row[at] >= 0
        columns += self.column_of_choice[at[there]].tolist()
        values += link.value[at[there]].tolist()
        self.highs.addRow(
            -math.inf, cut.free, len(columns), np.array(columns, dtype=np.int32), np.array(values)
        )
        self.links.append(link)
        self.rows += 1

    # --- bounds on the farm-wide whole numbers -------------------------------------------------

    def tighten_bounds(self, best_cost: float, families: tuple[str, ...], seconds: float) -> None:
        """Narrow the bounds of the whole columns of some families, by asking how small and how
        large each can be in any plan that costs less than `best_cost`.

        Each answer is the optimum over all choices, so no better plan is ever cut off.
        """
        until = time.perf_counter() + seconds
        self._set_cutoff(best_cost)
        with self._no_cost():
            for family in families:
                for start, end in self.built.programme.column_families.get(family, []):
                    for column in range(start, end):
                        if time.perf_counter() < until:
                            self._tighten(column)

    def _tighten(self, column: int) -> None:
        if self.low[column] >= self.high[column] - 1e-9:
            return
        low, high = self.low[column], self.high[column]
        for sense in (1.0, -1.0):
            self.highs.changeColCost(column, sense)
            solved = self.solve()
            self.highs.changeColCost(column, 0.0)
            if not solved:
                continue
            end = self.objective * sense
            if sense > 0:
                low = max(low, math.ceil(end - 1e-5))
            else:
                high = min(high, math.floor(end + 1e-5))
        if low > high:  # nothing costs less: leave the bounds, the best plan is least
            return
        self.low[column], self.high[column] = low, high
        self.highs.changeColBounds(column, low, high)

    def _set_cutoff(self, best_cost: float) -> None:
        farm_wide = np.flatnonzero(self.cost)
        if self._cutoff is not None:
            self.highs.changeRowBounds(self._cutoff, -math.inf, best_cost)
            return
        self.highs.addRow(
            -math.inf, best_cost, len(farm_wide), farm_wide.astype(np.int32), self.cost[farm_wide]
        )
        self._cutoff = self.rows
        self.rows += 1


def _rough_cost(farm: Farm, choices: Choices) -> Floats:
    """Return what one line of each choice costs by list prices and vessel hours."""
    anchor = np.array([farm.item_by_name[a.name].goods(1) for a in farm.anchors])
    chain = np.array([farm.item_by_name[c.name].goods(1) / c.length_sold_m for c in farm.chains])
    rope = np.array(
        [*(farm.item_by_name[r.name].goods(1) / r.length_sold_m for r in farm.ropes), 0.0]
    )
    hour = np.array([v.day_rate / v.hours_per_charged_day for v in farm.vessels])
    made = choices.made
    return np.asarray(
        anchor[made.anchor] * made.anchors
        + chain[made.chain] * made.chain_m
        + rope[made.rope] * made.rope_m
        + hour[choices.vessel] * choices.hours
    )


def first_active(farm: Farm, choices: Choices, each: int) -> Ints:
    """Return, for every leg, the choices that look cheapest by list prices and vessel hours."""
    return np.sort(least_of_each_leg(choices.made.leg, _rough_cost(farm, choices), each))
