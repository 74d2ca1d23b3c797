"""Three solvers on the same programme: HiGHS and CBC through the project's doors, SciPy apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.farm import Farm
from moorledger.optimiser.price import moorable_choices
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.solvers.matrix import Matrix
from moorledger.optimiser.solvers.report import SolveOptions, Status
from moorledger.optimiser.solvers.solve import solve
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long

SMALL = [seed for seed in range(18) if seed not in (6, 7)]
"""The two left out take CBC long."""

MIDDLING = (0, 1, 2, 3)


def short_programme(seed: int) -> Farm:
    """Return a middling farm cut to its first two legs, so that its programme is short."""
    farm = random_farm(seed, "middling")
    return replace(farm, legs=tuple(replace(leg, count=2) for leg in farm.legs[:2]))


def programme_of(size: str, seed: int) -> Matrix:
    """Return the whole programme of a random farm in arrays."""
    farm = random_farm(seed) if size == "small" else short_programme(seed)
    return OrderProgramme(farm, moorable_choices(farm)).matrix()


def by_scipy(matrix: Matrix) -> float:
    """Return the optimum by `scipy.optimize.milp`, from the arrays and nothing else."""
    rows = csr_array((matrix.value, matrix.index, matrix.start), shape=matrix.shape)
    result = milp(
        matrix.cost,
        integrality=matrix.integer.astype(int),
        bounds=Bounds(matrix.low, matrix.high),
        constraints=LinearConstraint(rows, matrix.row_low, matrix.row_high),
        options={"mip_rel_gap": 0.0, "time_limit": 60.0},
    )
    assert result.status == 0, result.message
    return float(result.fun)


@mostly_long(
    "size, seed",
    [("small", s) for s in SMALL] + [("middling", s) for s in MIDDLING],
    quick=[("small", s) for s in SMALL[:4]],
)
def test_three_solvers_agree(size: str, seed: int) -> None:
    """Tests that all three find the same optimum to 1e-6, and that no bound passes it."""
    matrix = programme_of(size, seed)
    least = by_scipy(matrix)
    for solver in ("highs", "cbc"):
        report = solve(matrix, SolveOptions(solver, gap=1e-9, time_limit_s=60.0))
        assert report.status is Status.OPTIMAL
        assert report.objective == pytest.approx(least, rel=1e-6)
        assert report.bound <= least * (1 + 1e-6)
        assert report.bound == pytest.approx(least, rel=1e-6)


@pytest.mark.parametrize("solver", ["highs", "cbc"])
@mostly_long("seed", SMALL[:6], quick=SMALL[:2])
def test_values_returned_keep_the_programme(seed: int, solver: str) -> None:
    """Tests a solver's values against the arrays: whole where asked, within every row and bound,
    and worth the objective reported."""
    matrix = programme_of("small", seed)
    report = solve(matrix, SolveOptions(solver, gap=1e-9, time_limit_s=60.0))
    x = report.values
    assert x is not None
    whole = x[matrix.integer]
    assert np.abs(whole - np.rint(whole)).max() < 1e-5
    assert (x >= matrix.low - 1e-6).all()
    assert (x <= matrix.high + 1e-6).all()
    sums = csr_array((matrix.value, matrix.index, matrix.start), shape=matrix.shape) @ x
    slack = 1e-5 * np.maximum(1.0, np.abs(sums))
    assert (sums >= matrix.row_low - slack).all()
    assert (sums <= matrix.row_high + slack).all()
    assert report.objective == pytest.approx(float(matrix.cost @ x), rel=1e-9)
