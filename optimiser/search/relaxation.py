"""The relaxation: the programme with nothing whole, over few columns but valid for all choices.

Choices are added as their prices demand them (column generation), so that a bound found over
hundreds of columns holds for hundreds of thousands. Between questions HiGHS starts from where it
stood.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ...models.farm import Farm
from ..choices.choices import Choices, least_of_each_leg, rough_cost
from ..programme.choice_links import DenseLink, RowLink, parts_of, priced, terms_of
from ..programme.consignments import filled_less
from ..programme.cutting_rows import CutRow, link_of, wide_terms, worth_of
from ..programme.families import ColumnFamily, RowFamily
from ..programme.order_programme import OrderProgramme
from ..programme.pattern_rows import CutPattern
from ..solvers.matrix import Matrix, without_whole
from ..solvers.warm_lp import Ending, WarmLp
from .rounding import OwnColumns, OwnTerms, RoundedRow, rounded

GATED = (
    RowFamily.VESSEL_MOBILISED,
    RowFamily.ORDERED_AT_ALL,
    RowFamily.SPARE_IF_LAID,
    RowFamily.MODEL_USED,
    RowFamily.ITEM_USED,
)
"""Families of rows that bar their choices when what opens them is shut."""

TRIAL_STEPS = 40
"""Most steps of the solver in a trial."""

WHOLE = 1e-6
"""How far from whole a number may be."""

NEGATIVE = 1e-4
"""A choice is wanted when its reduced cost lies below minus this, in the project's currency."""

UNLAID = 50.0
"""What an unlaid line costs, in the dearest choice's rough cost."""

FRACTIONAL, LEAST_WEIGHT, BROKEN = 1e-3, 1e-9, 1e-4
"""A number is rounded off when it is so far from whole; weights in the tableau below so much are
none; a row is worth having when it is broken by so much, its norm being 1."""

ADDED_AT_ONCE = 12
"""Most choices added for one leg in one round of pricing."""


class Relaxation:
    """A linear programme that knows its own columns, and grows lines of choices."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        active: Ints,
        cut_rows: Sequence[CutRow] = (),
        patterns: Mapping[str, Sequence[CutPattern]] | None = None,
        items: bool = False,
    ) -> None:
        self.patterns = {name: list(pool) for name, pool in (patterns or {}).items()}
        self.built = OrderProgramme(
            farm,
            choices,
            active,
            tuple(cut_rows),
            patterns=None if patterns is None else self.patterns,
            relaxed=True,
            items=items,
        )
        self.farm, self.choices = farm, choices
        self.row_of_cut = dict(zip(cut_rows, self.built.rows_of_cuts, strict=True))
        """By cutting row, its row of the programme."""
        whole = self.built.matrix()
        self.integer = whole.integer[: self.built.programme.column_count]
        matrix = without_whole(whole)
        matrix.high[self.built.lines] = math.inf  # the groups' rows say as much
        self.low = matrix.low[: len(self.integer)].copy()
        self.high = matrix.high[: len(self.integer)].copy()
        self.cost = matrix.cost[: len(self.integer)].copy()
        self.active = list(active.tolist())
        self.column_of_choice = np.full(len(choices), -1)
        self.column_of_choice[active] = self.built.lines
        self.links = self.built.links
        self._dense = DenseLink()
        self.links.append(self._dense)
        self.rounded: dict[int, RoundedRow] = {}
        """By row of the programme."""
        row = np.repeat(np.arange(matrix.shape[0]), np.diff(matrix.start))
        own = matrix.index < len(self.integer)
        self._terms = OwnTerms(
            row[own], matrix.index[own], matrix.value[own], matrix.row_low, matrix.row_high
        )
        self._gates = self._gate_terms(matrix)
        self._barred = self._barred_by(self.high)
        self.lp = WarmLp(matrix)
        self.unlaid = self._add_unlaid()
        self.objective = math.nan
        self.infeasible = False
        self.reduced = np.zeros(len(choices))
        """(X,) reduced cost of a unit of every choice when last solved over all; ∞ where bounds
        bar it."""
        self.enough = 0.0
        """Share of the cost: nearer than this to the least that prices allow, it is solved."""
        self.patterns_at_once = 1
        self._slack = NEGATIVE * sum(self.built.most_needed[name] for name in self.built.piece_rows)

    @property
    def own(self) -> Ints:
        """The columns that are no lines: the farm-wide ones, then those of patterns and items."""
        return np.arange(len(self.integer))

    def _add_unlaid(self) -> Ints:
        """Add a column a leg for lines not laid, so dear that no plan has one: with it there
        always is a solution whose prices tell which choices are missing."""
        units = self.built.units
        ((start, end),) = self.built.programme.row_families[RowFamily.EVERY_LINE]
        dearest = (rough_cost(self.farm, self.choices) * self.built.lines_each).max()
        return self.lp.add_columns(
            np.full(len(units), UNLAID * dearest),
            units,
            np.arange(start, end),
            np.arange(len(units)),
            np.ones(len(units)),
        )

    def set_bounds(self, low: Floats, high: Floats) -> None:
        """Set the bounds of the programme's own columns."""
        self.lp.set_bounds(self.own, low, high)
        self._barred = self._barred_by(high)

    def set_costs(self, columns: Ints, cost: Floats) -> None:
        """Set what own columns cost: no row depends on that, roundings included."""
        self.cost[columns] = cost
        self.lp.set_costs(columns, cost)

    def columns_of(self, families: tuple[ColumnFamily, ...]) -> Bools:
        """Return (own columns,) whether each is of one of these families."""
        of_these = np.zeros(len(self.integer), dtype=bool)
        for family in families:
            for start, end in self.built.programme.column_families.get(family, []):
                of_these[start:end] = True
        return of_these

    def _gate_terms(self, matrix: Matrix) -> tuple[Ints, Ints, Ints]:
        """Return the rows of the gates, Σ lines ≤ Σ count × gate, and the (row, own column) of the
        terms that open them. With all its gates shut such a row bars its choices."""
        spans = self.built.programme.row_families
        gated = [np.arange(a, b) for family in GATED for a, b in spans.get(family, [])]
        rows = np.concatenate(gated) if gated else np.zeros(0, dtype=np.int64)
        row_of_term = np.repeat(np.arange(matrix.shape[0]), np.diff(matrix.start))
        own = np.isin(row_of_term, rows) & (matrix.index < len(self.integer))
        return rows, row_of_term[own], matrix.index[own]

    def _barred_by(self, high: Floats) -> Bools:
        """Return (X,) the choices that no plan has while the own columns are at most so."""
        gated, rows, columns = self._gates
        shut = np.zeros(self.built.programme.row_count + 1, dtype=bool)  # the last answers row −1
        shut[gated] = True
        shut[rows[high[columns] > WHOLE]] = False
        barred = np.zeros(len(self.choices), dtype=bool)
        if shut.any():
            for link in self.links:
                if isinstance(link, RowLink):
                    for part in parts_of(len(barred)):
                        barred[part] |= link.any_of(shut, part)
        return barred

    def tried(self, column: int, low: float | None, high: float | None) -> float:
        """Return the least cost over the active choices with one own column held within other
        bounds, as far as a few steps of the solver tell; ∞ where there is no solution."""
        was_low, was_high = self.lp.bounds(column)
        at = np.array([column])
        self.lp.set_bounds(
            at,
            np.array([was_low if low is None else low]),
            np.array([was_high if high is None else high]),
        )
        ending = self.lp.solve(TRIAL_STEPS)
        # Changed bounds make HiGHS forget its answer: read it first.
        cost = math.inf if ending is Ending.INFEASIBLE else self.lp.objective
        self.lp.set_bounds(at, np.array([was_low]), np.array([was_high]))
        return cost

    def rebuilt(
        self, choices: Choices, kept: Ints, cut_rows: Sequence[CutRow], items: bool
    ) -> Relaxation:
        """Return the relaxation over the choices at the places `kept` alone, with these rows."""
        place = np.full(len(self.choices), -1)
        place[kept] = np.arange(len(kept))
        active = place[np.array(self.active)]
        active = np.sort(active[active >= 0])
        return Relaxation(self.farm, choices, active, cut_rows, items=items)

    def copy(self) -> Relaxation:
        """Return one like it, for another worker."""
        active = np.array(sorted(self.active))
        items = bool(self.built.items)
        other = Relaxation(self.farm, self.choices, active, tuple(self.row_of_cut), items=items)
        for row in self.rounded.values():
            other.add_rounding(row)
        return other

    def slimmer(self) -> Relaxation:
        """Return one like it without the roundings that do not hold the bound."""
        duals = self.lp.row_duals()
        self.rounded = {at: row for at, row in self.rounded.items() if abs(duals[at]) > 1e-9}
        return self.copy()

    @property
    def lines(self) -> Ints:
        """The columns of the active choices, in the order of `active`."""
        return np.asarray(self.column_of_choice[np.array(self.active)])

    def solve(self) -> bool:
        """Solve over all choices; return whether there is a solution.

        One with unlaid lines is a solution too: its cost is a bound like any other.
        """
        while self._solve_active():
            duals = self.lp.row_duals()
            # There may be very many choices, and their prices are worth asking once patterns agree.
            if self._add_patterns(duals):
                continue
            reduced = -priced(self.links, duals, len(self.choices))
            reduced[self._barred] = math.inf
            lacks = self._lacks(reduced) + self._slack
            if lacks <= self.enough * self.objective or not self._add(reduced):
                # Prices below nothing that are let be: the bound gives up what they are worth.
                self.objective -= lacks
                self.reduced = reduced
                return True
        return False

    def _lacks(self, reduced: Floats) -> float:
        """Return what the choices left out can lessen the cost by at most: every leg group's
        units, all of its least reduced cost below nothing."""
        least = np.zeros(len(self.built.units))
        np.minimum.at(least, self.choices.make_ups.leg, reduced)
        return -float(least @ self.built.units)

    def _solve_active(self) -> bool:
        ending = self.lp.solve()
        if ending is Ending.UNFINISHED:
            ending = self.lp.solve_afresh()
        self.infeasible = ending is Ending.INFEASIBLE
        self.objective = self.lp.objective
        return ending is Ending.SOLVED

    @property
    def all_laid(self) -> bool:
        """Whether the last solution lays every line."""
        return bool(self.lp.values()[self.unlaid].max(initial=0.0) < 1e-7)

    def lines_of_choices(self) -> Floats:
        """Return (X,) lines of every choice at the last solution."""
        lines = np.zeros(len(self.choices))
        lines[np.array(self.active)] = self.lp.values()[self.lines]
        return lines * self.built.lines_each

    def _add(self, reduced: Floats) -> bool:
        """Add the choices that would pay, a few for every leg; return whether there were any."""
        wanted = np.flatnonzero((reduced < -NEGATIVE) & (self.column_of_choice < 0))
        if not wanted.size:
            return False
        leg = self.choices.make_ups.leg[wanted]
        chosen = wanted[least_of_each_leg(leg, reduced[wanted], ADDED_AT_ONCE)]
        unlimited = np.full(len(chosen), math.inf)
        terms = terms_of(self.links, chosen)
        self.column_of_choice[chosen] = self.lp.add_columns(
            np.zeros(len(chosen)), unlimited, *terms
        )
        self.active.extend(chosen.tolist())
        return True

    def _add_patterns(self, duals: Floats) -> bool:
        """Add the cutting patterns that would pay; return whether there were any."""
        found = False
        for name, cut in self.built.piece_rows.items():
            for pattern in cut.paying(duals, NEGATIVE, self.patterns_at_once):
                rows, values = cut.terms(pattern)
                first = np.zeros(len(rows), dtype=np.int64)
                unlimited = np.full(1, math.inf)
                self.lp.add_columns(np.zeros(1), unlimited, np.array(rows), first, np.array(values))
                self.patterns.setdefault(name, []).append(pattern)
                found = True
        return found

    def cuttable_patterns(self) -> dict[str, list[CutPattern]]:
        """Return the patterns found so far that can be cut, by item."""
        cut = self.built.piece_rows
        return {
            name: [pattern for pattern in pool if cut[name].fits(pattern)]
            for name, pool in self.patterns.items()
            if name in cut
        }

    def fill_less(self, fills: Mapping[str, float]) -> None:
        """Let containers be filled by no more than a share, as load plans filled them: from now on
        its solutions are for a plan to be made of, and bound nothing. fills : by service."""
        for terms in filled_less(self.built.services, self.farm.item_by_name, fills):
            columns, values = zip(*terms, strict=True)
            self.lp.add_row(np.array(columns), np.array(values), high=0.0)

    def add_cut(self, cut: CutRow) -> None:
        """Add a cutting row."""
        link = link_of(self.built, cut)
        worth = worth_of(cut, link)
        terms = wide_terms(self.built, cut)
        active = np.array(self.active)
        pieces = np.append(worth, 0.0)[link.place[active]] * link.lines[active]
        there = np.flatnonzero(pieces)
        columns = np.append(np.array([column for column, _ in terms], dtype=np.int64),
                            self.lines[there])  # fmt: skip
        values = np.append(np.array([value for _, value in terms]), pieces[there])
        row = self.row_of_cut[cut] = self.lp.add_row(columns, values, high=cut.free)
        self._terms.add(columns[: len(terms)], values[: len(terms)], cut.free)
        link.add(row, worth)

    def broken_roundings(self, at_most: int) -> list[RoundedRow]:
        """Return rows, rounded off from the tableau, that the last solution breaks most."""
        values, active = self.lp.values(), np.array(self.active)
        units, numbers = values[self.lines], values[self.own]
        fractional = self.integer & (np.abs(numbers - np.rint(numbers)) > FRACTIONAL)
        columns = OwnColumns(self.integer, self.low, self.high)
        rows, places, terms = terms_of(self.links, active)

        def of_active(weights: Floats) -> Floats:
            there = weights[rows] * terms
            return np.asarray(np.bincount(places, there, minlength=len(active)), dtype=float)

        found: list[tuple[float, Floats]] = []
        for weights in self.lp.tableau_weights(np.flatnonzero(fractional)).values():
            weights[np.abs(weights) < LEAST_WEIGHT] = 0.0
            row = rounded(self._terms, columns, weights, numbers, of_active)
            if row is not None:
                over = float(row.own @ numbers + row.of_choice @ units) - row.most
                norm = math.sqrt(float(row.own @ row.own + row.of_choice @ row.of_choice))
                if over > BROKEN * norm:
                    found.append((over / norm, weights))
        found.sort(key=lambda one: -one[0])
        best = (
            rounded(self._terms, columns, weights, numbers, self._of_all)
            for _, weights in found[:at_most]
        )
        return [row for row in best if row is not None]

    def _of_all(self, weights: Floats) -> Floats:
        """Return (X,) the weighted sum of the rows at a unit of every choice."""
        return priced(self.links, weights, len(self.choices))

    def add_rounding(self, row: RoundedRow) -> None:
        """Add a row that was rounded off."""
        own, of_active = np.flatnonzero(row.own), row.of_choice[np.array(self.active)]
        there = np.flatnonzero(of_active)
        index = self.lp.add_row(
            np.append(own, self.lines[there]),
            np.append(row.own[own], of_active[there]),
            high=row.most,
        )
        self.rounded[index] = row
        self._terms.add(own, row.own[own], row.most)
        self._dense.rows.append(index)
        self._dense.values.append(row.of_choice)

    def binding(self) -> set[CutRow]:
        """Return the cutting rows that hold the bound at the last solution."""
        duals = self.lp.row_duals()
        return {cut for cut, row in self.row_of_cut.items() if abs(duals[row]) > 1e-9}
