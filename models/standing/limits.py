"""Every limit of a make-up on a leg, as required and available, in every load case.

One vectorised set of rules serves the enumeration of make-ups, the limits of a plan and the nearest
miss. The recheck of a finished plan, and the brute force of the tests, have their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Floats
from ..farm import Farm
from ..goods.anchor import Anchor
from ..goods.chain import Chain
from ..goods.rope import Rope
from ..site.leg import Leg
from ..site.vessel import Vessel
from .catenary import LineState, line_states
from .holding import (
    DesignHolding,
    anchors_share,
    deadweight_available_kn,
    design_holding,
    kept_under_uplift,
)
from .holding_spread import counted_pull_kn
from .load_cases import LegCase, leg_cases, own_factor
from .make_up import Limit, LimitName, MakeUp
from .positions import lease_reach_m

LEAST_LEFT = 1e-6
"""Share of its weight at which a chain worn through is drawn: it has no strength in any case."""


@dataclass(frozen=True)
class Need:
    """What a limit requires and what there is of it; arrays of one shape, or alike for all."""

    name: LimitName
    required: Floats
    available: Floats
    unit: str = "kN"


def anchor_needs(
    farm: Farm,
    anchor: Anchor,
    anchors: int,
    holding: DesignHolding,
    anchor_factor: float | Floats,
    state: LineState,
) -> Iterator[Need]:
    """Yield what `anchors` of one model must stand in one load case, and what they can.

    anchor_factor : of the case, one for all or of the shape of the state. The holding of several
    is shared (their structure too) and lessened by uplift; a deadweight must not slide.
    """
    share = anchors_share(farm, anchors)
    uplift = state.uplift_deg
    required = np.asarray(anchor_factor * state.anchor_tension_kn)
    if np.isfinite(holding.holding_kn):
        kept = kept_under_uplift(farm, anchor)(uplift)
        yield Need(LimitName.HOLDING, required, anchors * share * holding.holding_kn * kept)
    if holding.friction is not None:
        weight = deadweight_available_kn(
            holding.friction,
            anchor.submerged_weight_kn,
            anchors,
            share,
            anchor_factor,
            state.anchor_vertical_kn,
        )
        slide = np.asarray(anchor_factor * state.anchor_horizontal_kn)
        yield Need(LimitName.HOLDING, slide, weight)
    if np.isfinite(holding.structural_limit_kn):
        strength = np.full_like(required, anchors * share * holding.structural_limit_kn)
        yield Need(LimitName.STRUCTURE, required, strength)
    yield Need(LimitName.UPLIFT, uplift, np.full_like(uplift, anchor.largest_uplift_deg), "deg")
    if anchor.largest_uplift_deg <= 0 and farm.project.chain_on_seabed_m > 0:
        kept_m = np.full_like(uplift, farm.project.chain_on_seabed_m)
        yield Need(LimitName.ON_SEABED, kept_m, state.grounded_m, "m")


def line_limits(
    farm: Farm, case: LegCase, chain: Chain, rope: Rope | None = None, anchors: int = 1
) -> Iterator[Limit]:
    """Yield the limits of strength of chain, fittings, connectors and rope in one load case.

    anchors : on one line; fittings of extra anchors have nothing to stand where there is one.
    """
    left = chain.share_after_wear(farm.project) if case.worn else 1.0
    required = case.chain_required_kn
    yield Limit(LimitName.CHAIN, required, chain.breaking_load_kn * left, "kN", str(case))
    fittings = [
        fitting.breaking_load_kn * (left if fitting.wears_with_chain else 1.0)
        for fitting in farm.fittings
        if fitting.applies_to(chain.name) and fitting.needed(anchors) > 0
    ]
    if fittings:
        yield Limit(LimitName.FITTING, required, min(fittings), "kN", str(case))
    if chain.joinable and chain.connector_breaking_load_kn is not None:
        strength = chain.connector_breaking_load_kn * left
        yield Limit(LimitName.CONNECTOR, required, strength, "kN", str(case))
    if rope is not None:
        strength = rope_strength_kn(farm, rope)
        yield Limit(LimitName.ROPE, case.rope_required_kn, strength, "kN", str(case))


def rope_strength_kn(farm: Farm, rope: Rope) -> float:
    """Return what a rope is relied on to carry, wet and at its splices, kN."""
    return rope.breaking_load_kn * farm.project.rope_splice_share * rope.wet_strength_share


def place_needs(farm: Farm, leg: Leg, radius_m: Floats) -> Iterator[Need]:
    """Yield how far out the anchors lie, with chain as new at design tension, and may lie."""
    if leg.longest_radius_m is not None:
        most = np.full_like(radius_m, leg.longest_radius_m)
        yield Need(LimitName.RADIUS, radius_m, most, "m")
    if farm.lease and leg.bearing_deg is not None and leg.easting_m is not None:
        yield Need(LimitName.LEASE, radius_m, lease_reach_m(farm, leg, radius_m), "m")


@dataclass(frozen=True)
class Standing:
    """How one line of a leg stands with a make-up, and its limits; the holding comes first.

    Each limit is the one of all load cases that is nearest to being reached.
    """

    uplift_deg: float
    """The largest of all load cases."""
    anchor_tension_kn: float
    """The largest of all load cases, load factors in."""
    radius_m: float
    """At design tension, chain as new."""
    grounded_m: float
    """Chain on the seabed, the least of all load cases."""
    holding: DesignHolding
    limits: tuple[Limit, ...]


def standing_of(
    farm: Farm, leg: Leg, make_up: MakeUp, pull_kn: float | None = None
) -> Standing | None:
    """Return how a leg stands with a make-up; None where the line cannot hang so at all.

    pull_kn : of a line that lies, the setting pull recorded that counts; None: that planned.
    """
    anchor = farm.anchor_by_name[make_up.anchor]
    chain = farm.chain_by_name[make_up.chain]
    rope = farm.rope_by_name[make_up.rope] if make_up.rope else None
    if pull_kn is None:
        pull_kn = counted_pull_kn(farm, leg, make_up.anchors)
    holding = design_holding(farm, anchor, leg.seabed, leg.allowed_drag_m, pull_kn)
    laid = _state(farm, leg, make_up, chain, rope, leg.design_tension_kn, leg.depth_m)
    cases = leg_cases(farm, leg, own_factor(farm, anchor))
    states = [
        _state(farm, leg, make_up, chain, rope, case.tension_kn, case.depth_m, worn=case.worn)
        for case in cases
    ]
    if not all(bool(state.possible.all()) for state in (laid, *states)):
        return None
    found: list[Limit] = []
    for case, state in zip(cases, states, strict=True):
        needs = anchor_needs(farm, anchor, make_up.anchors, holding, case.anchor_factor, state)
        found += (_limit(need, str(case)) for need in needs)
        found += line_limits(farm, case, chain, rope, make_up.anchors)
    found += (_limit(need) for need in place_needs(farm, leg, laid.radius_m))
    only = len(cases) == 1
    return Standing(
        max(float(state.uplift_deg[0]) for state in states),
        max(float(state.anchor_tension_kn[0]) for state in states),
        float(laid.radius_m[0]),
        min(float(state.grounded_m[0]) for state in states),
        holding,
        tuple(replace(limit, case="") if only else limit for limit in nearest_limits(found)),
    )


def _state(
    farm: Farm,
    leg: Leg,
    make_up: MakeUp,
    chain: Chain,
    rope: Rope | None,
    tension_kn: float,
    depth_m: float,
    *,
    worn: bool = False,
) -> LineState:
    """Return (1,) how a line stands under one tension."""
    left = max(chain.share_after_wear(farm.project), LEAST_LEFT) if worn else 1.0
    return line_states(
        np.array([tension_kn]),
        depth_m,
        make_up.chain_m,
        chain.submerged_weight_kn_m * left,
        make_up.rope_m,
        rope.submerged_weight_kn_m if rope else 0.0,
        farm.seabed_by_name[leg.seabed].chain_friction,
    )


def _limit(need: Need, case: str = "") -> Limit:
    return Limit(need.name, float(need.required[0]), float(need.available[0]), need.unit, case)


def nearest_limits(limits: Iterable[Limit]) -> tuple[Limit, ...]:
    """Return, of each name, the limit nearest to being reached, in the order of their names."""
    worst: dict[LimitName, Limit] = {}
    for limit in limits:
        known = worst.setdefault(limit.name, limit)
        if (limit.utilisation, limit.required) > (known.utilisation, known.required):
            worst[limit.name] = limit
    return tuple(worst[name] for name in LimitName if name in worst)


def vessel_limits(farm: Farm, leg: Leg, make_up: MakeUp, vessel: Vessel) -> tuple[Limit, ...]:
    """Return the limits of a vessel that lays a make-up: crane, deck for one anchor, pull.

    None where the laying is not priced: no vessel is then looked at.
    """
    if not farm.laying_priced:
        return ()
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
