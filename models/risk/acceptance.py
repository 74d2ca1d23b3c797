"""Acceptance pulls: the chance that an anchor fails its setting pull, and the spares for it.

What an anchor's chance is, and what it holds once it has stood the pull, is in `holding_spread`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..answer.plan import Assignment
from ..arrays import Floats
from ..farm import Farm
from ..standing.holding_spread import HoldingSpread, spread_behind
from ..standing.own_tests import own_tests

SURE_OF_SPARES = (0.90, 0.99)
"""Chances for which the spares to have on board are told."""


@dataclass(frozen=True)
class AcceptancePull:
    """The setting pull of the anchors of some lines of one leg group."""

    leg: str
    anchor: str
    seabed: str
    anchors: int
    """That are pulled: of all these lines."""
    pull_kn: float
    """On each anchor."""
    recorded: bool
    """Whether it was made, and held: of a line that lies already."""
    spread: HoldingSpread | None
    """None: the evidence says nothing of median and scatter."""

    @property
    def chance_of_failing(self) -> float | None:
        """That one anchor fails its pull: of a recorded one, as it was before the pull."""
        return None if self.spread is None else self.spread.chance_below(self.pull_kn)


@dataclass(frozen=True)
class Spares:
    """The anchors of one model that may fail, and how many to have on board."""

    anchor: str
    pulled: int
    """Whose chance is known."""
    unknown: int
    """Whose chance is not."""
    expected: float
    """Anchors that fail on average."""
    spares: tuple[int, ...]
    """For each of `SURE_OF_SPARES`: enough with that chance; replacements are taken to hold."""


def acceptance_pulls(
    farm: Farm, assignments: Sequence[Assignment], laid: Sequence[Assignment] = ()
) -> tuple[tuple[AcceptancePull, ...], tuple[Spares, ...]]:
    """Return the pulls of a plan's lines, and the spares by anchor model; none without a pull.

    laid : a row for each line that lies already, whose recorded pull comes after those planned.
    The spares are for the pulls still to be made. Of a recorded pull that is no test (its drag is
    not known, or several anchors shared it) nothing is told.
    """
    share = farm.project.setting_pull_share
    planned = [
        _pull(
            farm,
            row,
            row.count * row.make_up.anchors,
            share * farm.leg_by_name[row.leg].design_tension_kn,
        )
        for row in assignments
        if share > 0
    ]
    made = {(line.leg, line.line): line for line in farm.laid}
    recorded = [
        _pull(farm, row, 1, reading.load_kn, recorded=True)
        for row in laid
        if (reading := made[row.leg, row.first_line].reading(farm.leg_by_name[row.leg].seabed))
    ]
    by_anchor: defaultdict[str, list[AcceptancePull]] = defaultdict(list)
    for pull in planned:
        by_anchor[pull.anchor].append(pull)
    spares = tuple(_spares(name, of_it) for name, of_it in by_anchor.items())
    return (*planned, *recorded), spares


def _pull(
    farm: Farm, row: Assignment, anchors: int, pull_kn: float, *, recorded: bool = False
) -> AcceptancePull:
    leg = farm.leg_by_name[row.leg]
    anchor = farm.anchor_by_name[row.make_up.anchor]
    own = own_tests(farm, anchor.name, leg.seabed, leg.allowed_drag_m)
    spread = spread_behind(farm, anchor, leg.seabed, row.evidence, own)
    return AcceptancePull(row.leg, anchor.name, leg.seabed, anchors, pull_kn, recorded, spread)


def chances_of_failures(chances: Sequence[tuple[float, int]]) -> Floats:
    """Return (n + 1,) the chance of each number of failures of n independent pulls.

    chances : of one pull, and how many pulls have it. The Poisson binomial, by convolution.
    """
    sums = np.ones(1)
    for chance, count in chances:
        for _ in range(count):
            sums = np.convolve(sums, [1 - chance, chance])
    return np.asarray(sums)


def spares_for(chances: Sequence[tuple[float, int]], sure: float) -> int:
    """Return the fewest spares that are enough with a chance of at least `sure`."""
    total = np.cumsum(chances_of_failures(chances))
    return min(int(np.searchsorted(total, sure - 1e-12)), len(total) - 1)


def _spares(anchor: str, pulls: Sequence[AcceptancePull]) -> Spares:
    known = [(c, pull.anchors) for pull in pulls if (c := pull.chance_of_failing) is not None]
    pulled = sum(count for _, count in known)
    return Spares(
        anchor,
        pulled,
        sum(pull.anchors for pull in pulls) - pulled,
        sum(chance * count for chance, count in known),
        tuple(spares_for(known, sure) for sure in SURE_OF_SPARES) if known else (),
    )
