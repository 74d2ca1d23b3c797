"""How the holding of one anchor is spread, and its 5 % value once it has stood its setting pull.

An anchor's holding R is log-normal about the median m of its evidence, with the deviation s of its
logarithms. It fails a pull q with the chance Φ_q = Φ((ln q − ln m) ÷ s). One that has stood the
pull holds less than r with the chance (Φ_r − Φ_q) ÷ (1 − Φ_q): its 5 % value is m exp(z s) with
z = Φ⁻¹(Φ_q + 0.05 (1 − Φ_q)). That is not for clay that sets up after the pull, nor for what
cyclic load takes away. Source: elementary conditional probability; proof loads as evidence are in
Baecher and Rackwitz 1982 (abstract seen).
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from statistics import NormalDist

from ..farm import Farm
from ..goods.anchor import Anchor
from ..site.leg import Leg
from .characteristic import log_deviation
from .holding_evidence import EvidenceKind, HoldingEvidence
from .own_tests import OwnTests

NORMAL = NormalDist()

FRACTILE = 0.05
"""Of the characteristic value."""


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
        if self.deviation <= 0:
            return float(load_kn > self.median_kn)
        return NORMAL.cdf(math.log(load_kn / self.median_kn) / self.deviation)

    def at(self, chance: float) -> float:
        """Return the load, kN, that an anchor holds less than with this chance."""
        return self.median_kn * math.exp(NORMAL.inv_cdf(chance) * self.deviation)

    def value_kn(self) -> float:
        """Return the 5 % value without any pull, kN; the number of tests is left aside."""
        return self.at(FRACTILE)

    def value_after_kn(self, pull_kn: float) -> float:
        """Return the 5 % value of an anchor that has stood a pull, kN.

        By the chance of standing it and not of failing it, which rounds to 1 far above the median;
        where even that is nothing, the value is the pull that was stood.
        """
        if pull_kn <= 0:
            return self.value_kn()
        if self.deviation <= 0:
            return max(self.median_kn, pull_kn)
        stood = 0.5 * math.erfc(math.log(pull_kn / self.median_kn) / self.deviation / math.sqrt(2))
        if stood < sys.float_info.min:
            return pull_kn
        z = -NORMAL.inv_cdf((1 - FRACTILE) * stood)
        return self.median_kn * math.exp(z * self.deviation)

    def raised_by(self, pull_kn: float) -> float:
        """Return by what a pull that was stood multiplies the 5 % value: 1 or more.

        The ratio of the two values above, so that what few tests take off (k_n) stays off. A pull
        that half of the anchors or more would fail raises nothing: such evidence does not go with
        such a pull (our own rule, on the safe side).
        """
        if pull_kn >= self.median_kn:
            return 1.0
        return max(self.value_after_kn(pull_kn) / self.value_kn(), 1.0)


def spread_behind(
    farm: Farm, anchor: Anchor, seabed: str, evidence: HoldingEvidence, own: OwnTests
) -> HoldingSpread | None:
    """Return how the holding behind a piece of evidence is spread; None where nothing says it.

    Pull tests: their geometric mean and the scatter relied on. A mean law: itself and its scatter.
    """
    if evidence.kind is EvidenceKind.PULL_TESTS:
        known = own.characteristic
        return None if known is None else HoldingSpread(known.mean_kn, known.deviation)
    if evidence.kind is EvidenceKind.MEAN_LAW and not evidence.tests:
        law = farm.law_by_place[anchor.family, seabed]
        if law.scatter:
            return HoldingSpread(law.holding_kn(anchor.mass_kg), log_deviation(law.scatter))
    return None


def counted_pull_kn(farm: Farm, leg: Leg, anchors: int) -> float:
    """Return the setting pull planned that counts towards the holding of a leg's anchors, kN.

    0 unless the project says that it counts, and where several anchors share a leg: nobody then
    knows what each of them is pulled with.
    """
    if not farm.project.setting_pull_counts or anchors != 1:
        return 0.0
    return farm.project.setting_pull_share * leg.design_tension_kn
