"""The doors to the solvers: a matrix in, a report out that never claims more than was proven.

CBC (shipped with PuLP) always works; HiGHS is preferred where `highspy` is there. HiGHS takes the
arrays as they are; PuLP's own wrapper of it has no start, no progress and rebuilds every time.
"""

from __future__ import annotations

from .cbc import solve_cbc
from .highs import highs_is_there, solve_highs
from .matrix import Matrix
from .report import SolveOptions, SolveReport, Start


def preferred_solver() -> str:
    """Return "highs" where highspy can be imported, else "cbc"."""
    return "highs" if highs_is_there() else "cbc"


def solve(matrix: Matrix, options: SolveOptions, start: Start | None = None) -> SolveReport:
    """Return the solver's report on the programme; `start` is where HiGHS starts from.

    Raises ValueError for an unknown solver, SolverFailedError where it cannot be run.
    """
    name = options.solver or preferred_solver()
    if name == "highs":
        return solve_highs(matrix, options, start)
    if name == "cbc":
        return solve_cbc(matrix, options)
    raise ValueError(f"solver '{name}' is neither 'highs' nor 'cbc'")
