"""The ways of pricing a farm that are timed. Each is called in a process of its own."""

from __future__ import annotations

import math
import pickle
import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from moorledger.io.inputs.template import write_template
from moorledger.io.order.order_workbook import write_plan
from moorledger.io.reading.workbook import read_farm
from moorledger.models.answer.plan import Plan
from moorledger.optimiser.choices.choices import first_active
from moorledger.optimiser.failures import NoPlanError
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.search.relaxation import Relaxation
from moorledger.optimiser.search.search import FIRST_EACH
from moorledger.optimiser.search.settlement import settle
from moorledger.optimiser.solvers.matrix import Matrix
from moorledger.optimiser.solvers.report import SolveOptions, SolveReport, Status
from moorledger.optimiser.solvers.solve import solve
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from benchmarks.farms import farm_of


@dataclass(frozen=True)
class Task:
    """What a method is given: a workbook, a gap (a fraction) and a limit in seconds."""

    workbook: Path
    gap: float
    limit_s: float

    @property
    def plan_file(self) -> Path:
        """Where the plan of our own run waits to be written again for the floor."""
        return self.workbook.with_suffix(".plan")

    def output(self, method: str) -> Path:
        """Return the workbook that a method writes."""
        return self.workbook.with_name(f"{self.workbook.stem} {method}.xlsx")


@dataclass(frozen=True)
class Timing:
    """What one run gave; money in the farm's currency, NaN where there is none."""

    method: str
    seconds: float
    """From the farm in hand to the solution: choices, building, solving."""
    cost: float = math.nan
    """By the programme that was solved."""
    settled: float = math.nan
    """With its orders, cutting lists and freight settled exactly."""
    bound: float = math.nan
    columns: int | None = None
    rows: int | None = None
    whole_job_s: float = math.nan
    """From the workbook read to the order written."""
    note: str = ""
    peak_mib: float = math.nan
    """Largest resident memory of the process, or of a solver's process that it started."""

    @property
    def gap(self) -> float:
        """(settled cost − bound) ÷ settled cost."""
        return (self.settled - self.bound) / self.settled


def write_farm(name: str, path: Path) -> None:
    """Write one of the farms as a workbook."""
    write_template(path, farm_of(name))


def straight(task: Task, method: str) -> Timing:
    """Hand the whole programme, with every choice, to a solver; method: "CBC", "HiGHS", "SciPy".

    Exact cutting lists are not in that programme, so its cost is settled afterwards.
    """
    began = time.perf_counter()
    farm = read_farm(task.workbook)
    in_hand = time.perf_counter()
    choices = moorable_choices(farm)
    built = OrderProgramme(farm, choices)
    matrix = built.matrix()
    options = SolveOptions("cbc" if method == "CBC" else "highs", task.gap, task.limit_s)
    report = by_scipy(matrix, options) if method == "SciPy" else solve(matrix, options)
    solved = time.perf_counter()
    rows, columns = matrix.shape
    settled = None
    if report.values is not None:
        counts = built.counts_of(report.values[built.lines])
        used = np.flatnonzero(counts)
        settled = settle(farm, choices, used, counts[used], options.solver)
    return Timing(
        method,
        solved - in_hand,
        report.objective if report.values is not None else math.nan,
        settled.cost if settled else math.nan,
        report.bound if math.isfinite(report.bound) else math.nan,
        columns,
        rows,
        time.perf_counter() - began,
        f"{report.status}; {report.seconds:.1f} s in the solver; job without writing",
    )


def by_scipy(matrix: Matrix, options: SolveOptions) -> SolveReport:
    """Solve by `scipy.optimize.milp`."""
    began = time.perf_counter()
    terms = csr_array((matrix.value, matrix.index, matrix.start), shape=matrix.shape)
    result = milp(
        matrix.cost,
        integrality=matrix.integer.astype(int),
        bounds=Bounds(matrix.low, matrix.high),
        constraints=LinearConstraint(terms, matrix.row_low, matrix.row_high),
        options={"mip_rel_gap": options.gap, "time_limit": options.time_limit_s},
    )
    seconds = time.perf_counter() - began
    bound = math.nan if result.mip_dual_bound is None else float(result.mip_dual_bound)
    if result.x is None:
        return SolveReport(Status.NO_SOLUTION, math.inf, bound, None, seconds, "SciPy")
    status = Status.OPTIMAL if result.status == 0 else Status.FEASIBLE
    return SolveReport(status, float(result.fun), bound, result.x, seconds, "SciPy")


def ours(task: Task) -> Timing:
    """Price the farm, and write its order; the plan is kept for the floor."""
    began = time.perf_counter()
    farm = read_farm(task.workbook)
    in_hand = time.perf_counter()
    seen: list[tuple[float, float]] = []

    def progress(cost: float, _bound: float) -> bool:
        if math.isfinite(cost) and (not seen or cost < seen[-1][1]):
            seen.append((time.perf_counter() - in_hand, cost))
        return False

    try:
        plan = price(farm, gap=task.gap, time_limit_s=task.limit_s, progress=progress)
    except NoPlanError as error:
        return Timing("ours", time.perf_counter() - in_hand, note=str(error))
    solved = time.perf_counter()
    write_plan(plan, task.output("ours"))
    ended = time.perf_counter()
    task.plan_file.write_bytes(pickle.dumps(plan))
    proof = plan.proof
    near = [at for at, cost in seen if cost <= 1.01 * proof.cost]
    within = f"; seen within 1 % of its final cost at {near[0]:.1f} s" if near else ""
    note = ("proven" if proof.gap <= task.gap * (1 + 1e-9) else "not proven") + within
    return Timing(
        "ours",
        solved - in_hand,
        proof.cost,
        proof.cost,
        proof.bound,
        None,
        None,
        ended - began,
        note,
    )


def floor(task: Task) -> Timing:
    """Read the workbook, solve the relaxation once and write a plan that is there already."""
    plan: Plan | None = None
    if task.plan_file.exists():
        plan = pickle.loads(task.plan_file.read_bytes())
    began = time.perf_counter()
    farm = read_farm(task.workbook)
    in_hand = time.perf_counter()
    choices = moorable_choices(farm)
    relaxed = Relaxation(farm, choices, first_active(farm, choices, FIRST_EACH))
    relaxed.solve()
    solved = time.perf_counter()
    if plan is not None:
        write_plan(plan, task.output("floor"))
    return Timing(
        "floor",
        solved - in_hand,
        bound=relaxed.objective,
        columns=relaxed.lp.column_count,
        rows=relaxed.lp.row_count,
        whole_job_s=time.perf_counter() - began,
        note=f"relaxation of {len(choices):,} choices" + ("" if plan else "; no plan to write"),
    )


def peak_mib() -> float:
    """Return the largest resident memory so far of this process or of one that it waited for."""
    users = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return max(resource.getrusage(user).ru_maxrss for user in users) / 1024.0


METHODS: dict[str, Callable[[Task], Timing]] = {
    "CBC": lambda task: straight(task, "CBC"),
    "SciPy": lambda task: straight(task, "SciPy"),
    "HiGHS": lambda task: straight(task, "HiGHS"),
    "ours": ours,
    "floor": floor,
}
"""In the order they run: the floor writes the plan of ours."""
