"""Bettering the plan beside the tree: a few leg groups at a time choose again, the others stay.

The tree's leaves prove, and find little while the bound is far from the plan. A farm's plan is
mostly held dear by a few groups together (those on one anchor, one chain or one vessel), which a
programme of some two hundred choices puts right in seconds.
"""

from __future__ import annotations

import threading

import numpy as np

from ...models.arrays import Floats, Ints
from ..choices.choices import least_of_each_leg
from ..solvers.report import SolveOptions, Status
from .incumbent import Incumbent
from .leaves import PATIENCE_S
from .looks import look_among

EACH = 20
"""Choices of least reduced cost of every leg group that chooses again."""

GROUPS, FEWEST = 8.0, 3
"""Leg groups that choose again at first, and at least."""

LONGEST_S = 4.0
"""Longest that one of these is solved for."""

OFTEN, SELDOM = 20.0, 200.0
"""Work of the tree between two turns, at first and at least, and at most."""

FAR = 0.01
"""A gap below which turns are rarer by its square: leaves then find the better plans."""

AFTER_GAIN, AFTER_NONE = 0.6, 1.1
"""What the work between two turns is multiplied by after a better plan was found, and after
none was."""


class Bettering:
    """Takes turns at a farm's plan; for all workers, of which one at a time is at it."""

    def __init__(self, incumbent: Incumbent, reduced: Floats, options: SolveOptions) -> None:
        """reduced : (X,) of every choice, units times reduced cost, where the tree begins."""
        self.incumbent, self.reduced, self.options = incumbent, reduced, options
        self.over = False
        """Whether the tree has ended, and with it the search."""
        self._groups = GROUPS
        self._between = OFTEN
        self._work = OFTEN
        self._turn = 0
        self._random = np.random.default_rng(0)
        self._lock = threading.Lock()

    def take_turn(self, work: float, bound: float) -> None:
        """Try to better the plan once, if the tree has done enough since the last turn and nobody
        else is at it.

        work : of the tree since this worker asked last, counted and not timed, so that one worker
        takes its turns at the same places whenever the farm is the same. bound : of the tree.
        """
        self._work += work
        if self.incumbent.best is None or not self._lock.acquire(blocking=False):
            return
        try:
            near = max(FAR * self.incumbent.cost / max(self.incumbent.cost - bound, 1e-9), 1.0)
            if self._work >= self._between * near**2:
                self._try()
                self._work = 0.0
        finally:
            self._lock.release()

    def _try(self) -> None:
        known = self.incumbent
        leg = known.choices.make_ups.leg
        few = least_of_each_leg(leg, self.reduced, EACH)
        few = few[np.isin(leg[few], self._who())]
        before = known.cost
        asked = SolveOptions(
            self.options.solver,
            self.options.gap / 10,
            LONGEST_S,
            on_progress=lambda _cost, bound: known.stopped or self.over or bound >= before,
            patience_s=PATIENCE_S,
        )
        status, _ = look_among(few, known, asked)
        gained = known.cost < before
        between = self._between * (AFTER_GAIN if gained else AFTER_NONE)
        self._between = min(max(between, OFTEN), SELDOM)
        if status is Status.OPTIMAL:
            self._groups *= 1.2
        elif not gained:
            self._groups = max(self._groups * 0.9, FEWEST)

    def _who(self) -> Ints:
        """Return the leg groups that choose again: by turns any, and those whose lines of the
        best plan have one anchor, one chain, one vessel; with others where these are few."""
        known = self.incumbent
        assert known.best is not None
        choices, chosen = known.choices, known.best.chosen
        made = choices.make_ups
        legs = np.unique(made.leg[chosen])
        many = min(round(self._groups), len(legs))
        alike = (None, made.anchor, made.chain, choices.vessel)[self._turn % 4]
        self._turn += 1
        if alike is None:
            return self._random.choice(legs, many, replace=False)
        one = self._random.choice(chosen)
        same = np.unique(made.leg[chosen[alike[chosen] == alike[one]]])
        others = self._random.permutation(np.setdiff1d(legs, same))
        return np.concatenate([self._random.permutation(same), others])[:many]
