"""Every limit of one make-up on one leg, as required and available."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..farm import Farm
from ..goods.anchor import Anchor
from ..site.leg import Leg
from ..site.vessel import Vessel
from .catenary import line_states
from .holding import (
    DesignHolding,
    anchors_share,
    deadweight_available_kn,
    design_holding,
    kept_under_uplift,
)
from .make_up import Limit, LimitName, MakeUp


@dataclass(frozen=True)
class Standing:
    """How one line of a leg stands with a make-up, and its limits; the holding comes first."""

    uplift_deg: float
    anchor_tension_kn: float
    radius_m: float
    grounded_m: float
    holding: DesignHolding
    limits: tuple[Limit, ...]


def standing_of(farm: Farm, leg: Leg, make_up: MakeUp) -> Standing | None:
    """Return how a leg stands with a make-up; None where the line cannot hang so at all."""
    anchor = farm.anchor_by_name[make_up.anchor]
    chain = farm.chain_by_name[make_up.chain]
    rope = farm.rope_by_name[make_up.rope] if make_up.rope else None
    state = line_states(
        leg.design_tension_kn,
        leg.depth_m,
        make_up.chain_m,
        chain.submerged_weight_kn_m,
        make_up.rope_m,
        rope.submerged_weight_kn_m if rope else 0.0,
        farm.seabed_by_name[leg.seabed].chain_friction,
    )
    if not bool(state.possible):
        return None
    holding = design_holding(farm, anchor, leg.seabed, leg.allowed_drag_m)
    vertical = float(state.anchor_vertical_kn)
    horizontal = float(state.anchor_horizontal_kn)
    uplift = float(state.uplift_deg)
    required = (anchor.safety_factor or farm.project.anchor_safety_factor) * math.hypot(
        vertical, horizontal
    )
    limits = [holding_limit(farm, anchor, make_up.anchors, holding, vertical, horizontal, uplift)]
    if math.isfinite(holding.structural_limit_kn):
        strength = make_up.anchors * holding.structural_limit_kn
        limits.append(Limit(LimitName.STRUCTURE, required, strength, "kN"))
    limits.append(Limit(LimitName.UPLIFT, uplift, anchor.largest_uplift_deg, "deg"))
    chain_needed = farm.project.chain_safety_factor * leg.design_tension_kn
    worn = chain.worn_breaking_load_kn(farm.project)
    limits.append(Limit(LimitName.CHAIN, chain_needed, worn, "kN"))
    if rope is not None:
        rope_needed = farm.project.rope_safety_factor * leg.design_tension_kn
        spliced = rope.breaking_load_kn * farm.project.rope_splice_share
        limits.append(Limit(LimitName.ROPE, rope_needed, spliced, "kN"))
    fittings = [
        f.breaking_load_kn
        for f in farm.fittings
        if f.applies_to(chain.name) and f.needed(make_up.anchors) > 0
    ]
    if fittings:
        limits.append(Limit(LimitName.FITTING, chain_needed, min(fittings), "kN"))
    radius = float(state.radius_m)
    if leg.longest_radius_m is not None:
        limits.append(Limit(LimitName.RADIUS, radius, leg.longest_radius_m, "m"))
    return Standing(
        uplift,
        float(np.hypot(vertical, horizontal)),
        radius,
        float(state.grounded_m),
        holding,
        tuple(limits),
    )


def holding_limit(
    farm: Farm,
    anchor: Anchor,
    anchors: int,
    holding: DesignHolding,
    vertical_kn: float,
    horizontal_kn: float,
    uplift_deg: float,
) -> Limit:
    """Return the holding limit: of embedding, of weight, or the tighter where both apply."""
    factor = anchor.safety_factor or farm.project.anchor_safety_factor
    share = anchors_share(farm, anchors)
    kept = float(kept_under_uplift(farm, anchor)(np.array(uplift_deg)))
    required = factor * math.hypot(vertical_kn, horizontal_kn)
    bounds = []
    if math.isfinite(holding.holding_kn):
        available = anchors * share * holding.holding_kn * kept
        bounds.append(Limit(LimitName.HOLDING, required, available, "kN"))
    if holding.friction is not None:
        by_weight = deadweight_available_kn(
            holding.friction,
            anchor.submerged_weight_kn,
            anchors,
            share,
            factor,
            np.array(vertical_kn),
        )
        bounds.append(Limit(LimitName.HOLDING, factor * horizontal_kn, float(by_weight), "kN"))
    return max(bounds, key=lambda limit: limit.utilisation)


def vessel_limits(farm: Farm, leg: Leg, make_up: MakeUp, vessel: Vessel) -> tuple[Limit, ...]:
    """Return the limits of a vessel that lays a make-up: crane, deck for one anchor, pull."""
    anchor = farm.anchor_by_name[make_up.anchor]
    mass_t = anchor.mass_kg / 1000.0
    lift = mass_t * farm.project.lift_factor
    pull = leg.design_tension_kn * farm.project.setting_pull_share
    deck = (
        Limit(LimitName.DECK, mass_t, vessel.deck_load_t, "t"),
        Limit(LimitName.DECK, anchor.deck_area_m2, vessel.deck_area_m2, "m²"),
    )
    return (
        Limit(LimitName.CRANE, lift, vessel.crane_limit_t, "t"),
        max(deck, key=lambda limit: limit.utilisation),
        Limit(LimitName.BOLLARD, pull, vessel.bollard_pull_kn or 0.0, "kN"),
    )
