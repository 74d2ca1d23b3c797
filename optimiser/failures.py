"""How the main job may fail, besides a farm at fault."""

from __future__ import annotations


class SolverFailedError(Exception):
    """Raised where a solver could not be run, or broke off: nothing may be said of the farm."""


class NoPlanError(Exception):
    """Raised when the time limit passed before any plan was found."""


class PlanFaultError(Exception):
    """Raised when the independent recheck finds a fault in a finished plan: a fault of this
    programme, never of the farm; the plan is withheld."""
