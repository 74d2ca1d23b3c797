"""Design holding: what one anchor on one seabed is relied on to hold within the allowed drag.

In order of strength: the anchor's own pull tests; a declared holding, which counts where it is
no more than they support, or overrides them by name; its family's law, which counts for no more
than what the tests held. A test that was stopped while the anchor held says nothing against.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..constants import GRAVITY_M_S2
from ..farm import Farm
from ..goods.anchor import Anchor, HoldsBy, UpliftLoss
from ..site.declared_holding import DeclaredHolding
from ..site.leg import Leg
from .holding_evidence import EvidenceKind, HoldingEvidence
from .holding_spread import counted_pull_kn, spread_behind
from .own_tests import OwnTests, own_tests

ROUNDING = 1e-9
"""Relative slack of a declared holding against tests, so that one copied from them agrees."""


@dataclass(frozen=True)
class DesignHolding:
    """One anchor on one seabed at one allowed drag, before the safety factor and uplift loss.

    `holding_kn` is what embedding is relied on for: infinite for a deadweight that rests on its
    weight alone, zero where the anchor is refused (`refusal` says why).
    """

    anchor: str
    seabed: str
    allowed_drag_m: float
    holding_kn: float
    evidence: HoldingEvidence
    refusal: str = ""
    by_weight_kn: float | None = None
    """μ × submerged weight of one deadweight at no uplift; None for anchors that embed."""
    structural_limit_kn: float = math.inf
    own_tests: OwnTests | None = None
    """The anchor's own pull tests there."""

    @property
    def relied_on(self) -> bool:
        """Whether the anchor may be used there at all."""
        return not self.refusal

    @property
    def friction(self) -> float | None:
        """The seabed's friction for a deadweight; None for anchors that embed."""
        return self.evidence.friction


def design_holding(
    farm: Farm, anchor: Anchor, seabed: str, allowed_drag_m: float, pull_kn: float = 0.0
) -> DesignHolding:
    """Return what `anchor` is relied on to hold, with its evidence, or why it is refused.

    pull_kn : the setting pull that it has to stand and that counts (see `counted_pull_kn`).
    """
    own = own_tests(farm, anchor.name, seabed, allowed_drag_m)
    structure = structural_limit_kn(farm, anchor)
    holding, evidence, refusal = _embedding(farm, anchor, seabed, own)
    weight: float | None = None
    if anchor.holds_by is HoldsBy.WEIGHT:
        friction = farm.seabed_by_name[seabed].deadweight_friction
        if friction is None:
            refusal = refusal or f"no deadweight friction is given for seabed '{seabed}'"
        else:
            weight = friction * anchor.submerged_weight_kn
            lawful = (anchor.family, seabed) in farm.law_by_place
            tested = evidence.kind is EvidenceKind.PULL_TESTS
            if evidence.kind is None or (tested and not (own.held_kn or lawful)):
                # Tests that were all stopped say nothing against its weight.
                holding, evidence, refusal = math.inf, HoldingEvidence(), ""
            evidence = replace(evidence, friction=friction)
    elif pull_kn > 0 and not refusal:
        holding, evidence = _raised(farm, anchor, seabed, own, pull_kn, (holding, evidence))
    if anchor.holds_by is not HoldsBy.WEIGHT and evidence.kind is None and not refusal:
        refusal = f"no declared holding, pull test or law on seabed '{seabed}'"
    return DesignHolding(
        anchor.name,
        seabed,
        allowed_drag_m,
        0.0 if refusal else holding,
        evidence,
        refusal,
        weight,
        structure,
        own,
    )


def _embedding(
    farm: Farm, anchor: Anchor, seabed: str, own: OwnTests
) -> tuple[float, HoldingEvidence, str]:
    """Return what embedding holds, its evidence and a refusal; blank where nothing is known."""
    declared = farm.declared_by_place.get((anchor.name, seabed))
    if declared is not None:
        if not contradicts(declared, own):
            evidence = HoldingEvidence(EvidenceKind.DECLARED, declared.reference)
            return declared.holding_kn, evidence, ""
        if declared.overrides_tests:
            evidence = HoldingEvidence(
                EvidenceKind.OVERRIDE,
                declared.reference,
                tests=len(own.tests),
                supported_kn=own.supported_kn,
            )
            return declared.holding_kn, evidence, ""
    law = farm.law_by_place.get((anchor.family, seabed))
    lawful = 0.0
    if law is not None and not own.decide:
        lawful = min(law.lower_holding_kn(anchor.mass_kg), own.ceiling_kn)
    if law is not None and lawful > own.value_kn:
        capped = len(own.tests) if lawful == own.ceiling_kn else 0
        kind = EvidenceKind.LAW if law.scatter is None else EvidenceKind.MEAN_LAW
        evidence = HoldingEvidence(kind, law.reference, tests=capped, scatter=law.scatter)
        return lawful, evidence, ""
    if not own.tests:
        return 0.0, HoldingEvidence(), ""
    drag = own.allowed_drag_m
    evidence = HoldingEvidence(EvidenceKind.PULL_TESTS, tests=len(own.tests), within_m=drag)
    if own.failed is not None:
        return 0.0, evidence, f"test '{own.failed.name}' holds nothing within {drag:g} m"
    if own.characteristic is None:
        refusal = f"{own.counted} and no Pull test scatter stated: state it, or test three"
        return 0.0, evidence, refusal
    return own.value_kn, evidence, ""


def _raised(
    farm: Farm,
    anchor: Anchor,
    seabed: str,
    own: OwnTests,
    pull_kn: float,
    held: tuple[float, HoldingEvidence],
) -> tuple[float, HoldingEvidence]:
    """Return a holding and its evidence, raised by a pull that an anchor has to stand.

    Tests and mean laws alone are raised: of anything else the spread is not known. A law is not
    raised above what tests held.
    """
    holding, evidence = held
    spread = spread_behind(farm, anchor, seabed, evidence, own)
    if spread is None:
        return held
    raised = holding * spread.raised_by(pull_kn)
    if evidence.by_law:
        raised = min(raised, own.ceiling_kn)
    if raised <= holding:
        return held
    return raised, replace(evidence, raised_by_pull_kn=pull_kn)


def contradicts(declared: DeclaredHolding, own: OwnTests) -> bool:
    """Tell whether a declared holding is above what the anchor's own tests support."""
    return declared.holding_kn > own.supported_kn * (1 + ROUNDING)


def structural_limit_kn(farm: Farm, anchor: Anchor) -> float:
    """Return the least of its stated limit and what it had carried in each test that broke it."""
    stated = math.inf if anchor.structural_limit_kn is None else anchor.structural_limit_kn
    broke = (t.structural_limit_kn for t in farm.pull_tests if t.anchor == anchor.name)
    return min([stated, *broke])


def uplift_table(farm: Farm, anchor: Anchor) -> tuple[UpliftLoss, ...]:
    """Return the anchor's own points of holding kept, else its family's, by angle."""
    for key in (anchor.name, anchor.family):
        points = [p for p in farm.uplift_losses if p.anchor_or_family == key]
        if points:
            return tuple(sorted(points, key=lambda p: p.uplift_deg))
    return ()


def kept_under_uplift(
    farm: Farm, anchor: Anchor
) -> Callable[[NDArray[np.float64]], NDArray[np.float64]]:
    """Return the share of holding kept as a function of uplift angles in degrees.

    100 % at 0°, linear between the points, the last share held beyond the last point; with no
    points 100 %. The largest uplift is a limit of its own.
    """
    points = uplift_table(farm, anchor)
    angles = [p.uplift_deg for p in points]
    kept = [p.holding_kept for p in points]
    if not angles or angles[0] > 0:
        angles, kept = [0.0, *angles], [1.0, *kept]
    x, y = np.array(angles), np.array(kept)

    def share(uplift_deg: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.interp(uplift_deg, x, y), dtype=np.float64)

    return share


def anchors_share(farm: Farm, anchors_per_leg: int) -> float:
    """Return the share of its lone holding that each of k anchors on one leg is relied on for."""
    return 1.0 if anchors_per_leg == 1 else farm.project.second_anchor_share


def deadweight_available_kn(
    friction: float,
    submerged_kn: float,
    anchors: int,
    share: float,
    factor: float | NDArray[np.float64],
    vertical_kn: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return share × μ × (k W_sub − factor × V_a): what factor × H_a must not exceed, kN."""
    return np.asarray(share * friction * (anchors * submerged_kn - factor * vertical_kn))


@dataclass(frozen=True)
class HoldingTable:
    """The design holdings of a farm, worked out once for each anchor, seabed and drag."""

    farm: Farm

    @cached_property
    def _known(self) -> dict[tuple[str, str, float, float], DesignHolding]:
        return {}

    def of(self, anchor: Anchor, leg: Leg, anchors: int = 1) -> DesignHolding:
        """Return the design holding of each of `anchors` of a line on a leg's seabed within its
        allowed drag, its setting pull counted where the project says so."""
        pull_kn = counted_pull_kn(self.farm, leg, anchors)
        key = (anchor.name, leg.seabed, leg.allowed_drag_m, pull_kn)
        if key not in self._known:
            self._known[key] = design_holding(
                self.farm, anchor, leg.seabed, leg.allowed_drag_m, pull_kn
            )
        return self._known[key]


def efficiency(holding_kn: float, mass_kg: float) -> float:
    """Return holding ÷ anchor weight in air, both as forces: dimensionless."""
    return holding_kn / (mass_kg * GRAVITY_M_S2 / 1000.0)
