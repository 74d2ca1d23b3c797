"""Looks for a plan: the relaxation rounded off, and the programme over a few likely choices."""

from __future__ import annotations

import numpy as np

from ...models.arrays import Ints
from ..choices.choices import least_of_each_leg
from ..programme.order_programme import OrderProgramme
from ..solvers.report import SolveOptions, Start, Status
from ..solvers.solve import solve
from .incumbent import Incumbent
from .leaves import learn_from, settle_found
from .relaxation import Relaxation
from .settlement import fill_less

FEW_CHOICES = 100
"""Choices of least count × reduced cost among which a plan is looked for."""

EACH = 3
"""Choices of least reduced cost that every leg group brings at least."""


def round_off(relaxed: Relaxation, incumbent: Incumbent) -> None:
    """Settle the plan in which every leg group has its largest choice whole."""
    leg = incumbent.choices.make_ups.leg
    chosen = np.sort(least_of_each_leg(leg, -relaxed.lines_of_choices(), 1))
    counts = np.array([group.count for group in incumbent.farm.legs])[leg[chosen]]
    incumbent.settle(chosen, counts)


def look(relaxed: Relaxation, incumbent: Incumbent, options: SolveOptions) -> bool:
    """Look for a plan among a few choices of least count × reduced cost; tell whether its
    settlement taught anything."""
    few = np.argsort(relaxed.reduced, kind="stable")[:FEW_CHOICES]
    each = least_of_each_leg(incumbent.choices.make_ups.leg, relaxed.reduced, EACH)
    return look_among(np.union1d(few, each), incumbent, options)[1]


def look_among(few: Ints, incumbent: Incumbent, options: SolveOptions) -> tuple[Status, bool]:
    """Look for a plan among a few choices and those of the best plan, what is cut whole cut by
    the patterns that its prices ask for, containers no fuller than load plans left them so far.

    Returns how the solver ended, and whether the settlement of what it found taught anything.
    """
    if incumbent.best is not None:
        few = np.union1d(few, incumbent.best.chosen)
    part, everything = incumbent.choices.take(few), np.arange(len(few))
    cut = Relaxation(incumbent.farm, part, everything, incumbent.cut_rows, patterns={})
    if not cut.solve():
        return Status.NO_SOLUTION, False
    built = OrderProgramme(
        incumbent.farm,
        part,
        everything,
        incumbent.cut_rows,
        incumbent.lessons,
        patterns=cut.cuttable_patterns(),
        loads=incumbent.stowage.lessons,
    )
    fill_less(built, incumbent.stowage.fills)
    report = solve(built.matrix(), options, _start(incumbent, built, few))
    if report.values is None or incumbent.stopped:
        return report.status, False
    settled = settle_found(incumbent, built, everything, report, few)
    return report.status, learn_from(incumbent, built, everything, report, settled)


def _start(incumbent: Incumbent, built: OrderProgramme, few: Ints) -> Start | None:
    """Return the lines of the best plan."""
    best = incumbent.best
    if best is None:
        return None
    place = np.searchsorted(few, best.chosen)
    lines = np.zeros(len(few))
    lines[place] = best.counts / built.lines_each[place]
    return built.lines, lines
