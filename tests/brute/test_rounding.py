"""Rows that are rounded off cut no plan off: by hand, by enumeration, and on random farms."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.arrays import Floats
from moorledger.models.farm import Farm
from moorledger.optimiser.price import moorable_choices
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.search.relaxation import Relaxation
from moorledger.optimiser.search.rounding import OwnColumns, OwnTerms, RoundedRow, rounded
from moorledger.optimiser.solvers.report import SolveOptions
from moorledger.optimiser.solvers.solve import solve

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long
from tests.search.test_search import middling_farm

PLANS = 12
"""Plans of every farm, each the least at prices of its own."""


def test_a_day_is_rounded_up_by_hand() -> None:
    """Tests one vessel: 10 h a day, 24 h of work and 5 h more a unit of a choice, so 2.4 days at
    least; whole days are three, whatever is chosen, and never more than the work takes."""
    terms = OwnTerms(
        np.array([0]), np.array([0]), np.array([-10.0]), np.array([-math.inf]), np.array([-24.0])
    )
    columns = OwnColumns(np.array([True]), np.zeros(1), np.full(1, math.inf))
    row = rounded(
        terms,
        columns,
        np.array([0.1]),
        np.array([2.4]),
        lambda one: one * 5.0,
    )
    assert row is not None
    days = [(row.own[0] * d, d) for d in range(10)]
    least = [
        min(d for part, d in days if part + row.of_choice[0] * x <= row.most) for x in range(5)
    ]
    assert least[0] == 3  # what the relaxation had at 2.4
    assert all(d <= math.ceil(2.4 + 0.5 * x) for x, d in enumerate(least))


@pytest.mark.parametrize("seed", range(40))
def test_no_whole_point_is_cut_off(seed: int) -> None:
    """Tests random rows over whole and continuous columns and whole choices against every point of
    a grid that keeps them; weights are any."""
    draw = np.random.default_rng(seed)
    rows, own, choices = 3, 3, 2
    whole = np.array([True, True, False])
    low, high = draw.integers(0, 2, own).astype(float), draw.integers(3, 5, own).astype(float)
    of_own, of_choice = draw.integers(-7, 8, (rows, own)) / 2, draw.integers(-7, 8, (rows, 2)) / 2
    grid = np.array([
        point
        for point in itertools.product(*(np.arange(0, 5.1, 1.0),) * 2, np.arange(0, 5.1, 0.25),
                                       *(range(3),) * choices)
        if (low <= point[:own]).all() and (point[:own] <= high).all()
    ])  # fmt: skip
    sums = grid[:, :own] @ of_own.T + grid[:, own:] @ of_choice.T
    lower = draw.random(rows) < 0.4
    side = np.where(lower, np.quantile(sums, 0.2, axis=0), np.quantile(sums, 0.8, axis=0))
    row_low, row_high = np.where(lower, side, -math.inf), np.where(lower, math.inf, side)
    plans = grid[((row_low <= sums) & (sums <= row_high)).all(axis=1)]
    at, column = np.nonzero(of_own)
    terms = OwnTerms(at, column, of_own[at, column], row_low, row_high)
    found = 0
    for _ in range(60):
        weights = draw.normal(size=rows) * (draw.random(rows) < 0.7)
        values = low + draw.random(own) * (high - low)
        row = rounded(terms, OwnColumns(whole, low, high), weights, values, lambda w: w @ of_choice)
        if row is not None:
            found += 1
            assert _broken_by(row, plans[:, :own], plans[:, own:]) <= 1e-9
    assert found > 10
    assert len(plans) > 100


def _broken_by(row: RoundedRow, own: Floats, units: Floats) -> float:
    return float((own @ row.own + units @ row.of_choice - row.most).max())


def assert_no_plan_is_cut_off(farm: Farm, seed: int, *, items: bool) -> int:
    """Round off a farm's relaxation round after round, at its own prices, with few choices active;
    assert that plans that are the least at random prices keep every row; return how many rows."""
    choices = moorable_choices(farm)
    draw = np.random.default_rng(seed)
    few = np.sort(draw.choice(len(choices), max(len(choices) // 3, 1), replace=False))
    relaxed = Relaxation(farm, choices, few, items=items)
    rows: list[RoundedRow] = []
    while len(rows) < 200 and relaxed.solve():
        new = relaxed.broken_roundings(20)
        for row in new:
            relaxed.add_rounding(row)
        rows += new
        if not new:
            break
    built = OrderProgramme(farm, choices, items=items)
    matrix = built.matrix()
    own = len(relaxed.integer)
    assert own == built.programme.column_count
    for trial in range(PLANS):
        cost = matrix.cost * draw.uniform(0.2, 3.0, len(matrix.cost)) if trial else matrix.cost
        report = solve(replace(matrix, cost=cost), SolveOptions("highs", 0.02, 20.0))
        if report.values is None:
            continue
        x = np.where(matrix.integer, np.rint(report.values), report.values)
        units = x[built.lines]
        for row in rows:
            assert _broken_by(row, x[:own], units) <= 1e-6, row
    return len(rows)


@mostly_long("seed", range(30), quick=range(2, 3), most=6)
def test_no_plan_of_a_small_farm_is_cut_off(seed: int) -> None:
    """Tests rows of a small farm, by its leg groups' choices alone and with what they use."""
    farm = random_farm(seed)
    both = [assert_no_plan_is_cut_off(farm, seed, items=items) for items in (False, True)]
    assert max(both) > 0


@LONG
@mostly_long("seed", range(8), quick=[2], most=1)
def test_no_plan_of_many_choices_is_cut_off(seed: int) -> None:
    """The same of farms with hundreds to thousands of choices."""
    assert assert_no_plan_is_cut_off(middling_farm(seed), seed, items=bool(seed % 2)) > 0
