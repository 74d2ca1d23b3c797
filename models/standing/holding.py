"""Design holding: what one anchor on one seabed is relied on to hold within the allowed drag.

In order of preference: a declared holding; the anchor's own pull tests; its family's law.
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
from ..site.leg import Leg
from ..site.pull_test import PullTest
from .characteristic import characteristic_value
from .holding_evidence import EvidenceKind, HoldingEvidence


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

    @property
    def relied_on(self) -> bool:
        """Whether the anchor may be used there at all."""
        return not self.refusal

    @property
    def friction(self) -> float | None:
        """The seabed's friction for a deadweight; None for anchors that embed."""
        return self.evidence.friction


def design_holding(farm: Farm, anchor: Anchor, seabed: str, allowed_drag_m: float) -> DesignHolding:
    """Return what `anchor` is relied on to hold, with its evidence, or why it is refused."""
    tests = [t for t in farm.pull_tests if (t.anchor, t.seabed) == (anchor.name, seabed)]
    structure = structural_limit_kn(farm, anchor)
    holding, evidence, refusal = _embedding(farm, anchor, seabed, allowed_drag_m, tests)
    weight: float | None = None
    if anchor.holds_by is HoldsBy.WEIGHT:
        friction = farm.seabed_by_name[seabed].deadweight_friction
        if friction is None:
            refusal = refusal or f"no deadweight friction is given for seabed '{seabed}'"
        else:
            weight = friction * anchor.submerged_weight_kn
            if evidence.kind is None:
                holding, refusal = math.inf, ""
            evidence = replace(evidence, friction=friction)
    elif evidence.kind is None and not refusal:
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
    )


def _embedding(
    farm: Farm, anchor: Anchor, seabed: str, allowed_drag_m: float, tests: list[PullTest]
) -> tuple[float, HoldingEvidence, str]:
    """Return what embedding holds, its evidence and a refusal; blank where nothing is known."""
    for declared in farm.declared_holdings:
        if (declared.anchor, declared.seabed) == (anchor.name, seabed):
            evidence = HoldingEvidence(EvidenceKind.DECLARED, declared.reference)
            return declared.holding_kn, evidence, ""
    if tests:
        loads = [test.usable_load_kn(allowed_drag_m) for test in tests]
        evidence = HoldingEvidence(
            EvidenceKind.PULL_TESTS, tests=len(tests), within_m=allowed_drag_m
        )
        if min(loads) <= 0:
            bad = tests[loads.index(min(loads))]
            return 0.0, evidence, f"test '{bad.name}' holds nothing within {allowed_drag_m:g} m"
        try:
            value = characteristic_value(loads, farm.project.pull_test_scatter)
        except ValueError:
            counted = f"{len(tests)} pull test{'s' if len(tests) > 1 else ''}"
            refusal = f"{counted} and no Pull test scatter stated: state it, or test three"
            return 0.0, evidence, refusal
        return value, evidence, ""
    for law in farm.holding_laws:
        if (law.family, law.seabed) == (anchor.family, seabed):
            evidence = HoldingEvidence(EvidenceKind.LAW, law.reference)
            return law.holding_kn(anchor.mass_kg), evidence, ""
    return 0.0, HoldingEvidence(), ""


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
    safety_factor: float,
    vertical_kn: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return share × μ × (k W_sub − SF V_a): what SF × H_a must not exceed, kN."""
    return share * friction * (anchors * submerged_kn - safety_factor * vertical_kn)


@dataclass(frozen=True)
class HoldingTable:
    """The design holdings of a farm, worked out once for each anchor, seabed and drag."""

    farm: Farm

    @cached_property
    def _known(self) -> dict[tuple[str, str, float], DesignHolding]:
        return {}

    def of(self, anchor: Anchor, leg: Leg) -> DesignHolding:
        """Return the design holding of an anchor on a leg's seabed within its allowed drag."""
        key = (anchor.name, leg.seabed, leg.allowed_drag_m)
        if key not in self._known:
            self._known[key] = design_holding(self.farm, anchor, leg.seabed, leg.allowed_drag_m)
        return self._known[key]


def efficiency(holding_kn: float, mass_kg: float) -> float:
    """Return holding ÷ anchor weight in air, both as forces: dimensionless."""
    return holding_kn / (mass_kg * GRAVITY_M_S2 / 1000.0)
