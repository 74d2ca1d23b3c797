"""What a solver is asked and what it said: options, status, report, start."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from ...models.arrays import ROUNDING, Floats, Ints


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
        return max(self.objective - self.bound, 0.0) / max(abs(self.objective), ROUNDING)


@dataclass(frozen=True)
class SolveOptions:
    """How a programme is to be solved."""

    solver: str = ""
    """"highs", "cbc", or "" for the preferred one that is there."""
    gap: float = 1e-3
    time_limit_s: float = 3600.0
    on_progress: Callable[[float, float], bool] | None = None
    """Called with (best cost, bound); returns True to stop with the best so far."""
    absolute_gap: float = 1e-6
    """Cost that a proven solution may be above the bound, where that is more than `gap`."""
    good_enough: float = -math.inf
    """HiGHS stops at a solution that costs no more than this."""
    bare: bool = False
    """HiGHS is to branch at once: no heuristics, restarts or symmetry."""
    workers: int = 0
    """Of a search's tree; 0: as many as the machine has cores for, up to two."""
    patience_s: float = 30.0
    """Seconds past its time limit after which HiGHS is taken to have lost its way."""


Start = tuple[Ints, Floats]
"""Columns and their values to start from; HiGHS finds the others."""
