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
from ..programme.choice_links import RowLink, priced, terms_of
from ..programme.cutting_rows import CutRow, order_and_joins, worth_of
from ..programme.order_programme import OrderProgramme
from ..programme.pattern_rows import CutPattern
from ..solvers.highs import highs_of, no_solution, solved_out
from ..solvers.matrix import Matrix, without_whole

Ends = tuple[Floats, Floats]
"""Low and high bounds of one run of columns."""

STEADY = ("vessel used", "supplier used", "days", "trips")
"""Families whose columns stay the same however orders are limited."""

NEAR = (*STEADY, "service used", "containers", "bracket", "spares")
"""Families that a plan near a relaxed solution keeps near it."""

GATED = ("vessel mobilised", "ordered at all", "spare if laid", "model used")
"""Families of rows that bar their choices when what opens them is shut."""

TRIAL_STEPS = 100
"""Most steps of the solver in a trial."""

MANY_STEPS = 2**31 - 1
"""HiGHS's own limit of steps: none."""

WHOLE = 1e-6
"""How far from whole a number may be."""

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
        patterns: Mapping[str, Sequence[CutPattern]] | None = None,
    ) -> None:
        self.patterns = {name: list(pool) for name, pool in (patterns or {}).items()}
        self.built = OrderProgramme(
            farm,
            choices,
            active,
            cut_rows,
            at_most=at_most,
            patterns=None if patterns is None else self.patterns,
            relaxed=True,
        )
        self.choices = choices
        whole = self.built.matrix()
        matrix = without_whole(whole)
        matrix.high[self.built.lines] = math.inf  # the groups' rows say as much
        self._narrow(matrix, bounds or {})
        self.cost = matrix.cost.copy()
        self.integer = whole.integer
        self.low, self.high = matrix.low.copy(), matrix.high.copy()
        self.rows = matrix.shape[0]
        self.active = list(active.tolist())
        self.column_of_choice = np.full(len(choices), -1)
        self.column_of_choice[active] = self.built.lines
        self.links = self.built.links
        self._near = self.columns_of(NEAR)
        self._gates = self._gate_terms(matrix)
        self._barred = self._barred_by(self.high[self.farm_wide])
        self.highs = highs_of(matrix)
        self.objective = math.nan
        self.reduced = np.zeros(len(choices))
        """(X,) reduced cost of every choice when last solved over all; ∞ where bounds bar it."""
        self.unlaid = self._add_unlaid()
        self._units = float(self.built.units.sum())

    @property
    def farm_wide(self) -> Ints:
        """The columns that are neither lines nor patterns, in the order they were added."""
        return np.arange(len(self.built.active), self.built.wide_end)

    def _add_unlaid(self) -> Ints:
        """Add a column a leg for lines not laid, so dear that no plan has one: with it there
        always is a solution whose prices tell which choices are missing."""
        units = self.built.units
        ((start, end),) = self.built.programme.row_families["every line"]
        first, number = self.highs.getNumCol(), end - start
        dearest = (rough_cost(self.built.farm, self.choices) * self.built.lines_each).max()
        price = UNLAID * dearest
        self.highs.addCols(
            number,
            np.full(number, price),
            np.zeros(number),
            units,
            number,
            np.arange(number, dtype=np.int32),
            np.arange(start, end, dtype=np.int32),
            np.ones(number),
        )
        return np.arange(first, first + number)

    def farm_wide_bounds(self) -> Ends:
        """Return the narrowed bounds of the farm-wide columns."""
        return self.low[self.farm_wide], self.high[self.farm_wide]

    def near_bounds(self, room: float, numbers: Floats | None = None) -> Ends:
        """Return bounds of the farm-wide columns near these numbers of theirs, or the last
        solution's: what may be 1 at most and is 0 stays 0; the other whole numbers may move by
        `room`."""
        wide = self.farm_wide
        at = self.values()[wide] if numbers is None else numbers
        low, high = self.farm_wide_bounds()
        near = self._near[wide]
        once = high <= 1.0
        least = np.maximum(low, np.floor(at + WHOLE - room))
        most = np.where(once, np.ceil(at - WHOLE), np.ceil(at - WHOLE + room))
        most = np.maximum(most, np.where(once, low, least))
        return (
            np.where(near & ~once, least, low),
            np.where(near, np.minimum(high, most), high),
        )

    def set_bounds(self, low: Floats, high: Floats) -> None:
        """Set the bounds of the farm-wide columns."""
        columns = self.farm_wide
        self.highs.changeColsBounds(len(columns), columns.astype(np.int32), low, high)
        self._barred = self._barred_by(high)

    def columns_of(self, families: tuple[str, ...]) -> Bools:
        """Return (columns,) whether each is of one of these families."""
        of_these = np.zeros(len(self.cost), dtype=bool)
        for family in families:
            for start, end in self.built.programme.column_families.get(family, []):
                of_these[start:end] = True
        return of_these

    def _gate_terms(self, matrix: Matrix) -> tuple[Ints, Ints, Ints]:
        """Return the rows of the gates, Σ lines ≤ Σ count × gate, and the (row, farm-wide column)
        of the terms that open them. With all its gates shut such a row bars its choices."""
        spans = self.built.programme.row_families
        gated = [np.arange(a, b) for family in GATED for a, b in spans.get(family, [])]
        rows = np.concatenate(gated) if gated else np.zeros(0, dtype=np.int64)
        row_of_term = np.repeat(np.arange(matrix.shape[0]), np.diff(matrix.start))
        lines = len(self.built.active)
        wide = np.isin(row_of_term, rows) & (matrix.index >= lines)
        return rows, row_of_term[wide], matrix.index[wide] - lines

    def _barred_by(self, high: Floats) -> Bools:
        """Return (X,) the choices that no plan has while the farm-wide columns are at most so."""
        gated, rows, columns = self._gates
        shut = np.zeros(self.rows + 1, dtype=bool)  # the last answers row −1
        shut[gated] = True
        shut[rows[high[columns] > WHOLE]] = False
        barred = np.zeros(len(self.choices), dtype=bool)
        if shut.any():
            for link in self.links:
                if isinstance(link, RowLink):
                    barred |= shut[link.row]
        return barred

    @property
    def allowed(self) -> Bools:
        """(X,) the choices that the bounds set last leave any plan."""
        return ~self._barred

    def tried(self, column: int, low: float | None, high: float | None) -> float:
        """Return the least cost over the active choices with one farm-wide column held within
        other bounds, as far as a few steps of the solver tell; ∞ where there is no solution."""
        at = int(self.farm_wide[0]) + column
        _, _, was_low, was_high, _ = self.highs.getCol(at)
        self.highs.changeColBounds(
            at, was_low if low is None else low, was_high if high is None else high
        )
        self.highs.setOptionValue("simplex_iteration_limit", TRIAL_STEPS)
        self.highs.run()
        # Changed bounds make HiGHS forget its answer: read it first.
        found = float(self.highs.getInfo().objective_function_value)
        cost = math.inf if self.infeasible else found
        self.highs.setOptionValue("simplex_iteration_limit", MANY_STEPS)
        self.highs.changeColBounds(at, was_low, was_high)
        return cost

    def prices_of_farm_wide(self) -> Floats:
        """Return the reduced cost of the farm-wide columns at the last solution."""
        wide = self.farm_wide
        return np.array(self.highs.getSolution().col_dual)[wide]

    def _narrow(self, matrix: Matrix, bounds: Mapping[str, list[Ends]]) -> None:
        for family, ends in bounds.items():
            spans = self.built.programme.column_families.get(family, [])
            for (start, end), (low, high) in zip(spans, ends, strict=True):
                matrix.low[start:end], matrix.high[start:end] = low, high

    def rebuilt(
        self,
        cut_rows: tuple[CutRow, ...],
        at_most: Mapping[str, int],
        choices: Choices,
        kept: Ints,
    ) -> Relaxation:
        """Return the relaxation of a programme with these largest orders, as narrow as this, of
        the choices at the places `kept`."""
        place = np.full(len(self.choices), -1)
        place[kept] = np.arange(len(kept))
        active = place[np.array(self.active)]
        return Relaxation(
            self.built.farm,
            choices,
            np.sort(active[active >= 0]),
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

    @property
    def lines(self) -> Ints:
        """The columns of the active choices, in the order of `active`."""
        return np.asarray(self.column_of_choice[np.array(self.active)])

    def solve(self) -> bool:
        """Solve over all choices; return whether there is a solution.

        One with unlaid lines is a solution too: its cost is a bound like any other.
        """
        while self.solve_active():
            duals = np.array(self.highs.getSolution().row_dual)
            # There may be very many choices, and their prices are worth asking once patterns agree.
            if self._add_patterns(duals):
                continue
            reduced = self._reduced(duals)
            if not self._add(reduced):
                # Prices a hair below nothing are let be; the bound gives that hair up.
                self.objective += min(float(reduced.min(initial=0.0)), 0.0) * self._units
                self.reduced = reduced
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
        return bool(self.values()[self.unlaid].max(initial=0.0) < 1e-7)

    def _reduced(self, duals: Floats) -> Floats:
        reduced = -priced(self.links, duals)
        reduced[self._barred] = math.inf
        return reduced

    def values(self) -> Floats:
        """Return the values of the columns at the last solution."""
        return np.array(self.highs.getSolution().col_value)

    def lines_of_choices(self) -> Floats:
        """Return (X,) lines of every choice at the last solution."""
        lines = np.zeros(len(self.choices))
        lines[np.array(self.active)] = self.values()[self.lines]
        return lines * self.built.lines_each

    def _add(self, reduced: Floats) -> bool:
        """Add the choices that would pay, a few for every leg; return whether there were any."""
        wanted = np.flatnonzero((reduced < -NEGATIVE) & (self.column_of_choice < 0))
        if not wanted.size:
            return False
        leg = self.choices.make_ups.leg[wanted]
        self.add(wanted[least_of_each_leg(leg, reduced[wanted], ADDED_AT_ONCE)])
        return True

    def _add_patterns(self, duals: Floats) -> bool:
        """Add the cutting patterns that would pay; return whether there were any."""
        found = False
        for name, cut in self.built.piece_rows.items():
            for pattern in cut.paying(duals, NEGATIVE):
                rows, values = cut.terms(pattern)
                self.highs.addCol(
                    0.0, 0.0, math.inf, len(rows), np.array(rows, dtype=np.int32), np.array(values)
                )
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
        link = self.built.size_link(self.built.farm.item_by_name[cut.item])
        worth = worth_of(cut, link)
        terms = order_and_joins(self.built, cut)
        columns = [column for column, _ in terms]
        values = [value for _, value in terms]
        place = link.place[np.array(self.active)]
        value = np.append(worth, 0.0)[place]
        there = np.flatnonzero(value)
        columns += self.lines[there].tolist()
        values += value[there].tolist()
        link.add(self.rows, worth)
        self.add_row(-math.inf, cut.free, np.array(columns), np.array(values))

    def add_row(self, low: float, high: float, columns: Ints, values: Floats) -> None:
        """Add a row over columns that are there; a row that choices enter needs its link too."""
        self.highs.addRow(low, high, len(columns), columns.astype(np.int32), values)
        self.rows += 1
