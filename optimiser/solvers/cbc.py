"""CBC, by way of PuLP: a matrix in, a report out."""

from __future__ import annotations

import math
import re
import time
import warnings

import numpy as np
import pulp

from ...models.arrays import ROUNDING, Floats
from .cbc_process import run_cbc
from .matrix import Matrix
from .report import SolveOptions, SolveReport, Status


def pulp_of(matrix: Matrix) -> tuple[pulp.LpProblem, list[pulp.LpVariable]]:
    """Return the programme as a PuLP problem (columns x0, x1 ..., rows r0, r1 ...)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # PuLP 3.3 announcing 4.0
        problem = pulp.LpProblem("moorings", pulp.LpMinimize)
        columns = [
            pulp.LpVariable(
                f"x{n}",
                None if math.isinf(low) else low,
                None if math.isinf(high) else high,
                pulp.LpInteger if integer else pulp.LpContinuous,
            )
            for n, (low, high, integer) in enumerate(
                zip(
                    matrix.low.tolist(),
                    matrix.high.tolist(),
                    matrix.integer.tolist(),
                    strict=True,
                )
            )
        ]
        problem.setObjective(
            pulp.LpAffineExpression(list(zip(columns, matrix.cost.tolist(), strict=True)))
        )
        start, index, value = matrix.start.tolist(), matrix.index.tolist(), matrix.value.tolist()
        sides = zip(matrix.row_low.tolist(), matrix.row_high.tolist(), strict=True)
        for row, (low, high) in enumerate(sides):
            span = range(start[row], start[row + 1])
            for sense, side in (
                ((pulp.LpConstraintEQ, low),)
                if low == high
                else ((pulp.LpConstraintGE, low), (pulp.LpConstraintLE, high))
            ):
                if math.isinf(side):
                    continue
                expression = pulp.LpAffineExpression([(columns[index[k]], value[k]) for k in span])
                name = f"r{row}{'g' if sense == pulp.LpConstraintGE else 'l'}"
                problem.addConstraint(pulp.LpConstraint(expression, sense, name, side))
    return problem, columns


def solve_cbc(matrix: Matrix, options: SolveOptions) -> SolveReport:
    """Return CBC's report on the programme; raises SolverFailedError where it cannot be run."""
    began = time.perf_counter()
    problem, columns = pulp_of(matrix)
    ask = options.on_progress
    text, stopped_cbc = run_cbc(
        problem,
        [
            *("-ratio", str(options.gap), "-allow", str(options.absolute_gap)),
            *("-primalTolerance", "1e-7", "-integerTolerance", "1e-7", "-solve"),
        ],
        options.time_limit_s,
        lambda: ask is not None and ask(math.inf, -math.inf),
    )
    seconds = time.perf_counter() - began
    version = re.search(r"Version: (\S+)", text)
    solver = f"CBC {version.group(1)}" if version else "CBC"
    if problem.sol_status not in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible):
        # A time limit leaves the relaxation's values behind: they are no plan.
        # PuLP's sol_status knows only an infeasible relaxation; its status, whole numbers too.
        in_time = seconds < options.time_limit_s and not stopped_cbc
        infeasible = problem.status == pulp.LpStatusInfeasible and in_time
        status = Status.INFEASIBLE if infeasible else Status.NO_SOLUTION
        return SolveReport(status, math.inf, -math.inf, None, seconds, solver)
    values = np.array([column.varValue or 0.0 for column in columns])
    objective = float(matrix.cost @ values)
    stopped = "Result - Optimal" not in text
    lower = re.search(r"^Lower bound:\s+(\S+)", text, re.MULTILINE)
    # Without that line the search ran to its end, each node within the absolute gap.
    ended = -math.inf if stopped else objective - options.absolute_gap
    bound = ended if lower is None else float(lower.group(1))
    allowed = max((options.gap + ROUNDING) * max(abs(objective), 1.0), options.absolute_gap)
    proven = not stopped and objective - bound <= allowed * (1 + ROUNDING)
    status = Status.OPTIMAL if proven else Status.FEASIBLE
    return SolveReport(status, objective, bound, values, seconds, solver)


def linear_by_cbc(matrix: Matrix) -> tuple[Floats, Floats]:
    """Solve by CBC a programme with nothing whole; return (row duals, column values).

    Raises ValueError where there is no least solution, SolverFailedError.
    """
    problem, columns = pulp_of(matrix)
    run_cbc(problem, ["-initialSolve"])
    if problem.sol_status != pulp.LpSolutionOptimal:
        raise ValueError("the linear programme has no least solution")
    duals = np.zeros(len(matrix.row_low))
    for name, row in problem.constraints.items():
        duals[int(name[1:-1])] += row.pi or 0.0
    return duals, np.array([column.varValue or 0.0 for column in columns])
