"""What may be called proven: a search cut short never is, by either solver, in any of its words."""

from __future__ import annotations

import math
import random
from pathlib import Path

import numpy as np
import pytest
from moorledger.io.order.order_workbook import write_plan
from moorledger.io.told.plan_text import plan_summary
from moorledger.models.answer.plan import Plan, Proof
from moorledger.models.answer.stopped import Stopped
from moorledger.models.farm import Farm
from moorledger.optimiser.failures import NoPlanError
from moorledger.optimiser.price import price
from moorledger.optimiser.solvers.matrix import Matrix, Programme, without_whole
from moorledger.optimiser.solvers.report import SolveOptions, SolveReport, Status
from moorledger.optimiser.solvers.solve import solve
from openpyxl import load_workbook

from tests.farms.plan_fixture import example_plan
from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

SOLVERS = ["highs", "cbc"]
PROVEN = "Least cost, proven to within"
"""What is said of a proven plan, and of no other."""

UNREACHABLE = 1e-12
"""A gap that no search meets in the seconds given here."""


@pytest.fixture(scope="module")
def cut_short(middling_farm: Farm) -> Plan:
    """Return the plan of a middling farm whose search ran out of time."""
    return price(middling_farm, gap=UNREACHABLE, time_limit_s=4.0, solver="highs")


def summary_sheet(plan: Plan, folder: Path) -> str:
    """Return every word on the Summary sheet of a plan's workbook."""
    path = folder / "plan.xlsx"
    write_plan(plan, path)
    book = load_workbook(path, read_only=True)
    rows = book["Summary"].iter_rows(values_only=True)
    told = "\n".join(str(cell) for row in rows for cell in row if cell is not None)
    book.close()
    return told


@LONG
def test_time_limit_is_not_a_proof(cut_short: Plan) -> None:
    """Tests that a plan found when time ran out is returned as not proven, with its bound below."""
    proof = cut_short.proof
    assert not proof.proven
    assert proof.stopped is Stopped.TIME_LIMIT
    assert proof.bound < proof.cost
    assert proof.gap > proof.asked_gap
    assert all(line.passed for line in cut_short.checks)


@LONG
def test_words_of_a_plan_cut_short(cut_short: Plan, tmp_path: Path) -> None:
    """Tests that neither the summary in the terminal nor the Summary sheet calls it proven."""
    text = plan_summary(cut_short)
    assert "Least cost NOT proven: stopped at the time limit" in text
    assert PROVEN not in text
    sheet = summary_sheet(cut_short, tmp_path)
    assert "Least cost NOT proven: stopped at the time limit" in sheet
    assert PROVEN not in sheet


@LONG
def test_words_of_a_proven_plan(tmp_path: Path) -> None:
    """Tests that a plan within the gap asked is called proven in both places."""
    plan = price(random_farm(0), gap=1e-6)
    assert plan.proof.proven
    assert PROVEN in plan_summary(plan)
    assert PROVEN in summary_sheet(plan, tmp_path)


@mostly_long("solver", SOLVERS, quick=["highs"])
def test_no_time_at_all_gives_no_plan_or_an_unproven_one(solver: str) -> None:
    """Tests a middling farm with next to no time: refused, or returned as not proven."""
    plan, told = None, ""
    try:
        plan = price(random_farm(0, "middling"), gap=UNREACHABLE, time_limit_s=0.2, solver=solver)
    except NoPlanError as refused:
        told = str(refused)
    if plan is None:
        assert "within 0.2 s" in told
    else:
        assert not plan.proof.proven
        assert plan.proof.stopped is not None


def test_interruption_is_not_a_proof(middling_farm: Farm) -> None:
    """Tests that stopping on request with a plan in hand gives that plan, not proven."""
    plan = price(
        middling_farm,
        gap=UNREACHABLE,
        time_limit_s=30.0,
        solver="highs",
        progress=lambda cost, bound: math.isfinite(cost),
    )
    assert not plan.proof.proven
    assert plan.proof.stopped is Stopped.INTERRUPTED
    assert plan.proof.seconds < 20.0


@mostly_long("stopped", [*Stopped, None], quick=[Stopped.TIME_LIMIT])
@pytest.mark.parametrize(("bound", "proven"), [(11_626.64, True), (11_600.0, False), (-1, False)])
def test_gap_alone_makes_a_proof(
    stopped: Stopped | None, bound: float, proven: bool, tmp_path: Path
) -> None:
    """Tests that only the gap decides, whatever ended the search; 26.64 in 11 626.64 is 0.23 %."""
    plan = example_plan(bound=bound, stopped=stopped)
    assert plan.proof.proven is proven
    assert (PROVEN in plan_summary(plan)) is proven
    assert (PROVEN in summary_sheet(plan, tmp_path)) is proven


def test_gap_is_of_the_cost() -> None:
    """Tests (cost − bound) ÷ cost by hand, and that a bound never known leaves no proof."""
    assert Proof(200.0, 190.0, 0.05, "", 0.0).gap == pytest.approx(0.05)
    assert Proof(200.0, 190.0, 0.05, "", 0.0).proven
    assert not Proof(200.0, 189.9, 0.05, "", 0.0).proven
    assert not Proof(200.0, -math.inf, 0.05, "", 0.0).proven


@LONG
@pytest.mark.parametrize("seconds", [0.01, 0.3])
@pytest.mark.parametrize("solver", SOLVERS)
def test_solver_stopped_early_claims_nothing(
    solver: str, seconds: float, sample_programme: Matrix, sample_plan: Plan
) -> None:
    """Tests that a solver out of time says so, with no bound above what a plan is known to cost,
    and no values unless they are a plan's."""
    report = solve(sample_programme, SolveOptions(solver, gap=UNREACHABLE, time_limit_s=seconds))
    assert report.status in (Status.FEASIBLE, Status.NO_SOLUTION)
    assert report.bound <= sample_plan.installed_cost
    assert_values_are_whole(sample_programme, report)


def assert_values_are_whole(matrix: Matrix, report: SolveReport) -> None:
    """Assert that a report's values, if any, are whole where asked and keep every row; and that
    one without values owns to no cost and no gap."""
    if report.values is None:
        assert report.status in (Status.NO_SOLUTION, Status.INFEASIBLE)
        assert math.isinf(report.objective)
        assert math.isinf(report.gap)
        return
    x = report.values
    whole = x[matrix.integer]
    assert np.abs(whole - np.rint(whole)).max() < 1e-5
    assert report.bound <= report.objective * (1 + 1e-9)
    for row in range(matrix.shape[0]):
        span = slice(matrix.start[row], matrix.start[row + 1])
        total = float(matrix.value[span] @ x[matrix.index[span]])
        slack = 1e-5 * max(1.0, abs(total))
        assert matrix.row_low[row] - slack <= total <= matrix.row_high[row] + slack


@mostly_long("seconds", [0.05, 0.3, 1.0, 2.5], quick=[0.05, 0.3])
@pytest.mark.parametrize("solver", SOLVERS)
def test_bound_is_never_above_the_least_cost(
    solver: str, seconds: float, middling_programme: Matrix, middling_plan: Plan
) -> None:
    """Tests a middling programme stopped at several moments against the cost of a priced plan."""
    options = SolveOptions(solver, gap=UNREACHABLE, time_limit_s=seconds)
    report = solve(middling_programme, options)
    assert report.bound <= middling_plan.installed_cost * (1 + 1e-9)
    assert report.status is not Status.INFEASIBLE
    assert_values_are_whole(middling_programme, report)


def market_split(columns: int = 40, rows: int = 5) -> Matrix:
    """Return a programme whose relaxation is easy, and that has in all likelihood no solution.

    Rows Σ a_ij x_j = ⌊Σ a_ij / 2⌋ over binaries, a_ij uniform on 1 to 99: the market split problem
    of Cornuéjols and Dawande (1999), from memory. Each x_j = ½ solves the relaxation to within a
    rounding; with five rows of forty, branching takes far longer than any test.
    """
    draw = random.Random(7)
    programme = Programme()
    shares = programme.columns("share", columns, high=1, integer=True, cost=1.0)
    for _ in range(rows):
        weights = [float(draw.randrange(1, 100)) for _ in shares]
        half = float(sum(weights) // 2)
        pairs = list(zip(shares.tolist(), weights, strict=True))
        programme.row("split", pairs, low=half, high=half)
    return programme.matrix()


@pytest.mark.parametrize("solver", SOLVERS)
def test_relaxations_values_are_no_plan(solver: str) -> None:
    """Tests that where only the relaxation was solved in time, no values are handed over."""
    matrix = market_split()
    relaxed = solve(without_whole(matrix), SolveOptions("highs", gap=1e-9))
    assert relaxed.values is not None
    report = solve(matrix, SolveOptions(solver, gap=1e-9, time_limit_s=1.0))
    assert report.status is Status.NO_SOLUTION
    assert report.values is None
    assert math.isinf(report.objective)
    assert report.bound < math.inf


@pytest.mark.parametrize("solver", SOLVERS)
def test_programme_with_no_whole_solution_is_infeasible(solver: str) -> None:
    """Tests 2 x + 2 y = 3: halves solve it, whole numbers cannot; no values either way."""
    programme = Programme()
    x, y = programme.columns("whole", 2, high=5, integer=True, cost=1.0).tolist()
    programme.row("odd", [(x, 2.0), (y, 2.0)], low=3, high=3)
    report = solve(programme.matrix(), SolveOptions(solver, gap=1e-9, time_limit_s=10.0))
    assert report.status is Status.INFEASIBLE
    assert report.values is None


@pytest.mark.parametrize("solver", SOLVERS)
def test_programme_found_infeasible_by_branching(solver: str) -> None:
    """Tests a split of twelve binaries that their 4096 sums show to be impossible."""
    matrix = market_split(columns=12, rows=3)
    every = (np.arange(2**12)[:, None] >> np.arange(12)) & 1
    weights = matrix.value.reshape(3, 12)
    assert not (every @ weights.T == matrix.row_low).all(axis=1).any()
    report = solve(matrix, SolveOptions(solver, gap=1e-9, time_limit_s=30.0))
    assert report.status is Status.INFEASIBLE
    assert report.values is None
