"""Acceptance pulls: the chance that an anchor fails its setting pull, and the spares for it.

An anchor's holding R is log-normal about the median m of its evidence, with the deviation s of its
logarithms. It fails a pull q with the chance Φ_q = Φ((ln q − ln m) ÷ s). One that has stood the
pull holds less than r with the chance (Φ_r − Φ_q) ÷ (1 − Φ_q): its 5 % value is m exp(z s) with
z = Φ⁻¹(Φ_q + 0.05 (1 − Φ_q)). That is not for clay that sets up after the pull, nor for what
cyclic load takes away. Source: elementary conditional probability; proof loads as evidence are in
Baecher and Rackwitz 1982 (abstract seen).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from ..answer.plan import Assignment
from ..arrays import Floats
from ..farm import Farm
from ..standing.characteristic import log_deviation
from ..standing.holding_evidence import EvidenceKind
from ..standing.own_tests import own_tests

NORMAL = NormalDist()

FRACTILE = 0.05
"""Of the characteristic value."""

SURE_OF_SPARES = (0.90, 0.99)
"""Chances for which the spares to have on board are told."""


@dataclass(frozen=True)
class HoldingSpread:
    """How the holding of one anchor at one place is spread."""

    median_kn: float
    deviation: float
    """Of the logarithms."""

    def chance_below(self, load_kn: float) -> float:
        """Return the chance that an anchor holds less than a load."""
        if load_kn <= 0:
            return 0.0
        return NORMAL.cdf(math.log(load_kn / self.median_kn) / self.deviation)

    def at(self, chance: float) -> float:
        """Return the load, kN, that an anchor holds less than with this chance."""
        return self.median_kn * math.exp(NORMAL.inv_cdf(chance) * self.deviation)

    def value_kn(self) -> float:
        """Return the 5 % value without any pull, kN; the number of tests is left aside."""
        return self.at(FRACTILE)

    def value_after_kn(self, pull_kn: float) -> float:
        """Return the 5 % value of an anchor that has stood a pull, kN."""
        failed = self.chance_below(pull_kn)
        return self.at(failed + FRACTILE * (1 - failed))


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
    spread: HoldingSpread | None
    """None: the evidence says nothing of median and scatter."""

    @property
    def chance_of_failing(self) -> float | None:
        """That one anchor fails its pull."""
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
    farm: Farm, assignments: Sequence[Assignment]
) -> tuple[tuple[AcceptancePull, ...], tuple[Spares, ...]]:
    """Return the pulls of a plan's lines, and the spares by anchor model; none without a pull."""
    share = farm.project.setting_pull_share
    if share <= 0:
        return (), ()
    pulls = []
    for row in assignments:
        leg = farm.leg_by_name[row.leg]
        pulls.append(
            AcceptancePull(
                row.leg,
                row.make_up.anchor,
                leg.seabed,
                row.count * row.make_up.anchors,
                share * leg.design_tension_kn,
                holding_spread(farm, row),
            )
        )
    by_anchor: defaultdict[str, list[AcceptancePull]] = defaultdict(list)
    for pull in pulls:
        by_anchor[pull.anchor].append(pull)
    return tuple(pulls), tuple(_spares(name, of_it) for name, of_it in by_anchor.items())


def holding_spread(farm: Farm, row: Assignment) -> HoldingSpread | None:
    """Return how the holding behind a plan's lines is spread; None where nothing says it.

    Pull tests: their geometric mean and the scatter relied on. A mean law: itself and its scatter.
    """
    leg = farm.leg_by_name[row.leg]
    anchor = farm.anchor_by_name[row.make_up.anchor]
    if row.evidence.kind is EvidenceKind.PULL_TESTS:
        known = own_tests(farm, anchor.name, leg.seabed, leg.allowed_drag_m).characteristic
        return None if known is None else HoldingSpread(known.mean_kn, known.deviation)
    if row.evidence.kind is EvidenceKind.MEAN_LAW and not row.evidence.tests:
        law = farm.law_by_place[anchor.family, leg.seabed]
        if law.scatter:
            return HoldingSpread(law.holding_kn(anchor.mass_kg), log_deviation(law.scatter))
    return None


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
