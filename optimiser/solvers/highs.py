"""HiGHS: a matrix in, a report out; and live instances for linear programmes."""

from __future__ import annotations

import functools
import math
import threading
import time
from typing import Any

import numpy as np

from .matrix import Matrix
from .report import SolveOptions, SolveReport, Start, Status
from .standard_output import silenced


@functools.cache
def highs_is_there() -> bool:
    """Tell whether highspy can be imported."""
    try:
        import highspy  # noqa: F401
    except ImportError:
        return False
    return True


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
    _scheduled_for_one_thread()
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("parallel", "off")
    highs.passModel(model)
    return highs


@functools.cache
def _scheduled_for_one_thread() -> None:
    """Put HiGHS' thread scheduler away, should another have set it up; once, before the first
    instance of ours: while one lives, solves are stuck by it, or end early."""
    import highspy

    highspy.Highs.resetThreadScheduler(True)


def solve_highs(matrix: Matrix, options: SolveOptions, start: Start | None) -> SolveReport:
    """Return HiGHS' report on the programme, from a start if there is one."""
    import highspy

    began = time.perf_counter()
    highs = highs_of(matrix)
    highs.setOptionValue("mip_rel_gap", options.gap)
    highs.setOptionValue("mip_abs_gap", options.absolute_gap)
    highs.setOptionValue("objective_target", options.good_enough)
    highs.setOptionValue("time_limit", float(options.time_limit_s))
    highs.setOptionValue("random_seed", 0)
    if options.bare:
        highs.setOptionValue("mip_heuristic_effort", 0.0)
        highs.setOptionValue("mip_detect_symmetry", False)
        highs.setOptionValue("mip_allow_restart", False)
    if start is not None:
        columns, values = start
        highs.setSolution(len(columns), columns.astype(np.int32), values)
    stopped = _watch(highs, options)
    if not _returned(highs, options.time_limit_s + options.patience_s):
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
    if options.on_progress is None:
        return stopped
    ask = options.on_progress

    def on_progress(event: Any) -> None:
        out = event.data_out
        if stopped or ask(float(out.mip_primal_bound), float(out.mip_dual_bound)):
            stopped.append(True)
            event.interrupt()

    highs.cbMipInterrupt.subscribe(on_progress)
    return stopped
