"""Every make-up worth having of a farm, found by trying; apart from the optimiser's own search."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from moorledger.models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.rope import Rope
from moorledger.models.site.leg import Leg
from moorledger.models.standing.make_up import MakeUp
from moorledger.optimiser.recheck.holding import Reliance, kept_share, reliance
from moorledger.optimiser.recheck.statics import HangingLine, hang

Choices = list[tuple[MakeUp, frozenset[str]]]
"""Make-ups of a leg, each with the names of the vessels that can lay it."""


def every_make_up(farm: Farm) -> dict[str, Choices]:
    """Return leg → its admissible make-ups, those dropped that need no less of anything."""
    return {leg.name: _choices(farm, leg) for leg in farm.legs}


def _choices(farm: Farm, leg: Leg) -> Choices:
    found: Choices = []
    for anchor in farm.anchors:
        vessels = _vessels(farm, leg, anchor)
        if not vessels or not _wanted(leg, anchor):
            continue
        worth = reliance(farm, anchor, leg)
        for chain, rope in itertools.product(farm.chains, farm.ropes or (None,)):
            if not _strong(farm, leg, chain, rope):
                continue
            same_items = list(_lengths(farm, leg, anchor, worth, chain, rope))
            found += [
                (m, vessels)
                for m in same_items
                if not any(_no_more(other, m) for other in same_items)
            ]
    return found


def _no_more(other: MakeUp, make_up: MakeUp) -> bool:
    """Tell whether another make-up of the same items needs no more of any, and less of one."""
    a = (other.anchors, other.chain_m, other.rope_m)
    b = (make_up.anchors, make_up.chain_m, make_up.rope_m)
    return a != b and all(x <= y for x, y in zip(a, b, strict=True))


def _wanted(leg: Leg, anchor: Anchor) -> bool:
    if leg.fixed_anchor is not None and leg.fixed_anchor != anchor.name:
        return False
    return not leg.allowed_families or anchor.family in leg.allowed_families


def _vessels(farm: Farm, leg: Leg, anchor: Anchor) -> frozenset[str]:
    """Return the vessels whose crane, deck and pull are enough."""
    lift_t = anchor.mass_kg * farm.project.lift_factor / 1000
    pull = leg.design_tension_kn * farm.project.setting_pull_share
    return frozenset(
        v.name
        for v in farm.vessels
        if lift_t <= v.crane_limit_t
        and pull <= (v.bollard_pull_kn or 0.0)
        and anchor.mass_kg / 1000 <= v.deck_load_t
        and anchor.deck_area_m2 <= v.deck_area_m2
    )


def _strong(farm: Farm, leg: Leg, chain: Chain, rope: Rope | None) -> bool:
    project = farm.project
    if leg.fixed_chain is not None and leg.fixed_chain != chain.name:
        return False
    wear = project.chain_wear_mm_per_year * project.service_life_years
    left = max(chain.diameter_mm - wear, 0.0) / chain.diameter_mm
    on_chain = project.chain_safety_factor * leg.design_tension_kn
    weakest = min(
        (f.breaking_load_kn for f in farm.fittings if f.for_chain in (None, chain.name)),
        default=math.inf,
    )
    if on_chain > min(chain.breaking_load_kn * left**2, weakest):
        return False
    on_rope = project.rope_safety_factor * leg.design_tension_kn
    return rope is None or on_rope <= rope.breaking_load_kn * project.rope_splice_share


def _lengths(
    farm: Farm, leg: Leg, anchor: Anchor, worth: Reliance, chain: Chain, rope: Rope | None
) -> Iterator[MakeUp]:
    """Yield, for every number of anchors and rope length, the make-up of the shortest chain."""
    project = farm.project
    friction = farm.seabed_by_name[leg.seabed].chain_friction
    chain_kn = chain.mass_kg_per_m * (1 - SEA_WATER_KG_M3 / STEEL_KG_M3) * GRAVITY_M_S2 / 1000
    rope_kn = 0.0
    if rope is not None:
        floats = 1 - SEA_WATER_KG_M3 / rope.density_kg_m3
        rope_kn = rope.mass_kg_per_m * floats * GRAVITY_M_S2 / 1000
    steps = math.floor(project.longest_chain_m / project.cutting_step_m + 1e-9)
    for factor in project.rope_lengths_tried if rope else (0.0,):
        rope_m = factor * leg.depth_m
        counts = list(range(1, project.most_anchors_per_leg + 1))
        for step in range(1, steps + 1):
            if not counts:
                break
            chain_m = step * project.cutting_step_m
            line = hang(
                leg.design_tension_kn, leg.depth_m, chain_m, chain_kn, rope_m, rope_kn, friction
            )
            if line is None or (leg.longest_radius_m or math.inf) < line.radius_m:
                continue
            for count in [k for k in counts if _holds(farm, anchor, worth, k, line)]:
                # A longer chain with as many anchors only costs more.
                counts.remove(count)
                name = rope.name if rope else None
                yield MakeUp(anchor.name, count, chain.name, chain_m, name, rope_m)


def _holds(farm: Farm, anchor: Anchor, worth: Reliance, count: int, line: HangingLine) -> bool:
    """Tell whether `count` anchors hold the line."""
    project = farm.project
    factor = anchor.safety_factor or project.anchor_safety_factor
    share = 1.0 if count == 1 else project.second_anchor_share
    pull = factor * line.tension_kn
    if not worth.usable or line.uplift_deg > anchor.largest_uplift_deg:
        return False
    if pull > count * worth.structure_kn:
        return False
    if worth.weight_kn is not None and worth.friction is not None:
        rests = count * worth.weight_kn - factor * line.vertical_kn
        if factor * line.horizontal_kn > share * worth.friction * rests:
            return False
    if worth.embedding_kn is None:
        return True
    kept = kept_share(farm, anchor, line.uplift_deg)
    return pull <= count * share * worth.embedding_kn * kept
