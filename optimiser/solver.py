"""The doors to the solvers: a matrix in, a report out that never claims more than was proven.

CBC (shipped with PuLP) always works; HiGHS is preferred where `highspy` is there. HiGHS takes the
arrays as they are; PuLP's own wrapper of it has no start, no progress and rebuilds every time.
"""

from __future__ import annotations

import functools
import math
import re
import threading
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import numpy as np
import pulp

from ..models.arrays import Floats, Ints
from .cbc_process import run_cbc
from .programme import Matrix
from .standard_output import silenced

PATIENCE_S = 30.0
"""Seconds past its time limit after which HiGHS is taken to have lost its way."""


class Status(StrEnum):
    """How a solve ended."""

    OPTIMAL = "optimal"
    """Proven within the gap that was asked."""
    FEASIBLE = "feasible"
    """Stopped early with a plan in hand."""
    INFEASIBLE = "infeasible"
    NO_SOLUTION = "no solution"
    """Stopped early with nothing in hand: nothing may be said of the programme."""
    ERROR = "error"


@dataclass(frozen=True)
class SolveReport:
    """What a solver said; `values` is None unless a solution is in hand."""

    status: Status
    objective: float
    bound: float
    values: Floats | None
    seconds: float
    solver: str

    @property
    def gap(self) -> float:
        """(objective − bound) ÷ |objective|; infinite with no solution."""
        if self.values is None:
            return math.inf
        return max(self.objective - self.bound, 0.0) / max(abs(self.objective), 1e-9)


@dataclass(frozen=True)
class SolveOptions:
    """How a programme is to be solved."""

    solver: str = ""
    """"highs", "cbc", or "" for the preferred one that is there."""
    gap: float = 1e-3
    time_limit_s: float = 3600.0
    progress: Callable[[float, float], bool] | None = None
    """Called with (best cost, bound); returns True to stop with the best so far."""
    absolute_gap: float = 1e-6
    """Cost that a proven solution may be above the bound, where that is more than `gap`."""
    good_enough: float = -math.inf
    """HiGHS stops at a solution that costs no more than this."""


def preferred_solver() -> str:
    """Return "highs" where highspy can be imported, else "cbc"."""
    return "highs" if highs_is_there() else "cbc"


@functools.cache
def highs_is_there() -> bool:
    """Tell whether highspy can be imported."""
    try:
        import highspy  # noqa: F401
    except ImportError:
        return False
    return True


Start = tuple[Ints, Floats]
"""Columns and their values to start from; HiGHS finds the others."""


def solve(matrix: Matrix, options: SolveOptions, start: Start | None = None) -> SolveReport:
    """Return the solver's report on the programme; `start` is where HiGHS starts from.

    Raises ValueError for an unknown solver, SolverFailedError where it cannot be run.
    """
    name = options.solver or preferred_solver()
    if name == "highs":
        return _solve_highs(matrix, options, start)
    if name == "cbc":
        return _solve_cbc(matrix, options)
    raise ValueError(f"solver '{name}' is neither 'highs' nor 'cbc'")


def highs_of(matrix: Matrix) -> Any:
    """Return a silent HiGHS instance that holds the programme."""
    import highspy

    rows, columns = matrix.shape
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = columns, rows
    model.col_cost_, model.col_lower_, model.col_upper_ = matrix.cost, matrix.low, matrix.high
    model.row_lower_, model.row_upper_ = matrix.row_low, matrix.row_high
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = matrix.start.astype(np.int32)
    model.a_matrix_.index_ = matrix.index.astype(np.int32)
    model.a_matrix_.value_ = matrix.value
    if matrix.integer.any():
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        model.integrality_ = [kinds[int(flag)] for flag in matrix.integer]
    with silenced():  # the constructor prints a banner
        highs = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.setOptionValue("output_flag", False)
    # One thread: the same search on every machine, and two solves at once don't wait for helpers.
    # HiGHS takes another number of threads than it had only once its scheduler is put away.
    highspy.Highs.resetThreadScheduler(True)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("parallel", "off")
    highs.passModel(model)
    return highs


def _solve_highs(matrix: Matrix, options: SolveOptions, start: Start | None) -> SolveReport:
    import highspy

    began = time.perf_counter()
    highs = highs_of(matrix)
    highs.setOptionValue("mip_rel_gap", options.gap)
    highs.setOptionValue("mip_abs_gap", options.absolute_gap)
    highs.setOptionValue("objective_target", options.good_enough)
    highs.setOptionValue("time_limit", float(options.time_limit_s))
    highs.setOptionValue("random_seed", 0)
    if start is not None:
        columns, values = start
        highs.setSolution(len(columns), columns.astype(np.int32), values)
    stopped = _watch(highs, options)
    if not _returned(highs, options.time_limit_s + PATIENCE_S):
        stopped.append(True)
        seconds = time.perf_counter() - began
        return SolveReport(Status.NO_SOLUTION, math.inf, -math.inf, None, seconds, "HiGHS")
    info = highs.getInfo()
    said = highs.getModelStatus()
    has_values = info.primal_solution_status == 2 and math.isfinite(info.objective_function_value)
    ended = highspy.HighsModelStatus
    if said in (ended.kInfeasible, ended.kUnboundedOrInfeasible):
        status = Status.INFEASIBLE
    elif said == ended.kOptimal and has_values and not stopped:
        status = Status.OPTIMAL
    elif has_values:
        status = Status.FEASIBLE
    elif said in (ended.kTimeLimit, ended.kInterrupt):
        status = Status.NO_SOLUTION
    else:
        status = Status.ERROR
    keep = status in (Status.OPTIMAL, Status.FEASIBLE)
    objective = float(info.objective_function_value) if keep else math.inf
    bound = float(info.mip_dual_bound) if matrix.integer.any() else objective
    return SolveReport(
        status,
        objective,
        bound if math.isfinite(bound) else -math.inf,
        np.array(highs.getSolution().col_value) if keep else None,
        time.perf_counter() - began,
        f"HiGHS {highs.version()}",
    )


def _returned(highs: Any, seconds: float) -> bool:
    """Run HiGHS; tell whether it came back in time. One that did not must not be touched again.

    It runs in a thread of its own, so that this one hears Ctrl-C while HiGHS is busy.
    """
    thread = threading.Thread(target=highs.run, name="HiGHS", daemon=True)
    thread.start()
    thread.join(seconds)
    return not thread.is_alive()


def _watch(highs: Any, options: SolveOptions) -> list[bool]:
    """Report progress while HiGHS works; the list returned is filled once it is told to stop."""
    stopped: list[bool] = []
    if options.progress is None:
        return stopped
    ask = options.progress

    def on_progress(event: Any) -> None:
        out = event.data_out
        if stopped or ask(float(out.mip_primal_bound), float(out.mip_dual_bound)):
            stopped.append(True)
            event.interrupt()

    highs.cbMipInterrupt.subscribe(on_progress)
    return stopped


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


def _solve_cbc(matrix: Matrix, options: SolveOptions) -> SolveReport:
    began = time.perf_counter()
    problem, columns = pulp_of(matrix)
    ask = options.progress
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
    allowed = max((options.gap + 1e-9) * max(abs(objective), 1.0), options.absolute_gap)
    proven = not stopped and objective - bound <= allowed * (1 + 1e-9)
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


def without_whole(matrix: Matrix) -> Matrix:
    """Return the programme with no column whole."""
    return replace(matrix, integer=np.zeros(len(matrix.cost), dtype=bool))


def solved_out(highs: Any) -> bool:
    """Tell whether a HiGHS instance ended with an optimal solution."""
    import highspy

    return bool(highs.getModelStatus() == highspy.HighsModelStatus.kOptimal)


def no_solution(highs: Any) -> bool:
    """Tell whether a HiGHS instance proved that there is no solution."""
    import highspy

    return bool(highs.getModelStatus() == highspy.HighsModelStatus.kInfeasible)
