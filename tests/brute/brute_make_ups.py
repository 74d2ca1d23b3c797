"""Every make-up worth having of a farm, found by trying; apart from the optimiser's own search.

Every anchor, number of anchors, chain, rope, rope length and chain length is tried in every load
case, with the chain as new and as worn. Nothing here comes from the optimiser or its recheck.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from moorledger.models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, HoldsBy
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import UsedPer
from moorledger.models.goods.rope import Rope
from moorledger.models.site.leg import Leg
from moorledger.models.site.load_case import CaseTension
from moorledger.models.site.project import FactorActsOn
from moorledger.models.standing.make_up import MakeUp

from tests.brute.brute_holding import design_holding_kn, structural_limit_kn
from tests.brute.brute_statics import Hanging, hanging

Choices = list[tuple[MakeUp, frozenset[str]]]
"""Make-ups of a leg, each with the names of the vessels that can lay it."""

ROUNDING = 1e-9
"""Relative: what a limit may be over by for rounding alone."""


@dataclass(frozen=True)
class Case:
    """What a line must stand: the tension and depth of the statics, and factors after them."""

    tension: float
    depth: float
    on_anchor: float
    on_chain_kn: float
    on_rope_kn: float


@dataclass(frozen=True)
class Hold:
    """What one anchor has to hold with."""

    embedding_kn: float | None
    """None for a deadweight of which nothing but its weight is known."""
    alone_kn: float | None
    """The same of an anchor alone on its line: a setting pull that counts raises it."""
    friction: float | None
    """Of a deadweight; None for an anchor that embeds."""
    submerged_kn: float
    breaks_at_kn: float


def every_make_up(farm: Farm) -> dict[str, Choices]:
    """Return leg → its admissible make-ups, those dropped that need no less of anything."""
    return {leg.name: _choices(farm, leg) for leg in farm.legs}


def cases(farm: Farm, leg: Leg, anchor: Anchor) -> list[Case]:
    """Return the load cases of a leg that an anchor would moor."""
    project, design = farm.project, leg.design_tension_kn
    if not farm.load_cases:
        factor = anchor.safety_factor or project.anchor_safety_factor
        strengths = (design * project.chain_safety_factor, design * project.rope_safety_factor)
        match project.safety_factor_acts_on:
            case FactorActsOn.TENSION:
                return [Case(design * factor, leg.depth_m, 1.0, *strengths)]
            case FactorActsOn.ANCHOR_LOAD:
                return [Case(design, leg.depth_m, factor, *strengths)]
    found = []
    for row in farm.load_cases:
        if row.legs and leg.name not in row.legs and leg.group not in row.legs:
            continue
        tension = design
        if row.tension is CaseTension.LINE_LOST:
            assert leg.line_lost_tension_kn is not None, "a line-lost case needs its tension"
            tension = leg.line_lost_tension_kn
        tension *= row.load_factor
        found.append(
            Case(
                tension,
                leg.depth_m + row.extra_depth_m,
                row.anchor_factor,
                tension * row.chain_factor,
                tension * row.rope_factor,
            )
        )
    assert found, "a leg needs a load case"
    return found


def _choices(farm: Farm, leg: Leg) -> Choices:
    found: Choices = []
    for anchor in farm.anchors:
        vessels = _vessels(farm, leg, anchor)
        hold = hold_of(farm, leg, anchor)
        if not vessels or hold is None or not _wanted(leg, anchor):
            continue
        for chain, rope in itertools.product(farm.chains, farm.ropes or (None,)):
            if leg.fixed_chain is not None and leg.fixed_chain != chain.name:
                continue
            same_items = list(_lengths(farm, leg, anchor, hold, chain, rope))
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


def hold_of(farm: Farm, leg: Leg, anchor: Anchor) -> Hold | None:
    """Return what an anchor holds with on a leg's seabed; None where nothing may be relied on."""
    place = (farm, anchor, leg.seabed, leg.allowed_drag_m)
    embedding = alone = design_holding_kn(*place)
    if farm.project.setting_pull_counts:
        alone = design_holding_kn(*place, farm.project.setting_pull_share * leg.design_tension_kn)
    if embedding == 0:
        return None  # refused, even where friction of the chain leaves no pull
    breaks_at = structural_limit_kn(farm, anchor)
    if anchor.holds_by is HoldsBy.EMBEDDING:
        return None if embedding is None else Hold(embedding, alone, None, 0.0, breaks_at)
    friction = farm.seabed_by_name[leg.seabed].deadweight_friction
    if friction is None:
        return None
    volume = anchor.stated_volume_m3
    if volume is None:
        volume = anchor.mass_kg / (anchor.stated_density_kg_m3 or STEEL_KG_M3)
    submerged = (anchor.mass_kg - SEA_WATER_KG_M3 * volume) * GRAVITY_M_S2 / 1000
    return Hold(embedding, alone, friction, submerged, breaks_at)


def _within(required: float, available: float) -> bool:
    return required <= available * (1 + ROUNDING)


def _strong(
    farm: Farm, anchors: int, chain: Chain, rope: Rope | None, case: Case, left: float
) -> bool:
    """Tell whether chain, connectors, fittings and rope stand a case with so much chain left."""
    strengths = [chain.breaking_load_kn * left]
    if chain.joinable and chain.connector_breaking_load_kn is not None:
        strengths.append(chain.connector_breaking_load_kn * left)
    for fitting in farm.fittings:
        used = fitting.used_per is not UsedPer.EXTRA_ANCHOR or anchors > 1
        if used and fitting.for_chain in (None, chain.name):
            worn = left if fitting.wears_with_chain else 1.0
            strengths.append(fitting.breaking_load_kn * worn)
    if not all(_within(case.on_chain_kn, strength) for strength in strengths):
        return False
    if rope is None:
        return True
    splices, wet = farm.project.rope_splice_share, rope.wet_strength_share
    return _within(case.on_rope_kn, rope.breaking_load_kn * splices * wet)


def _lengths(
    farm: Farm, leg: Leg, anchor: Anchor, hold: Hold, chain: Chain, rope: Rope | None
) -> Iterator[MakeUp]:
    """Yield, for every number of anchors and rope length, the make-up of the shortest chain."""
    project = farm.project
    all_cases = cases(farm, leg, anchor)
    wear = project.chain_wear_mm_per_year * project.service_life_years
    states = [1.0]  # share of the chain's section that is left
    if wear > 0:
        states.append((max(chain.diameter_mm - wear, 0.0) / chain.diameter_mm) ** 2)
    asked = list(itertools.product(all_cases, states))
    numbers = [
        k
        for k in range(1, project.most_anchors_per_leg + 1)
        if all(_strong(farm, k, chain, rope, case, left) for case, left in asked)
    ]
    friction = farm.seabed_by_name[leg.seabed].chain_friction
    chain_kn = chain.mass_kg_per_m * (1 - SEA_WATER_KG_M3 / STEEL_KG_M3) * GRAVITY_M_S2 / 1000
    rope_kn = 0.0
    if rope is not None:
        floats = 1 - SEA_WATER_KG_M3 / rope.density_kg_m3
        rope_kn = rope.mass_kg_per_m * floats * GRAVITY_M_S2 / 1000

    def line(tension: float, depth: float, chain_m: float, left: float) -> Hanging | None:
        return hanging(tension, depth, chain_m, left * chain_kn, rope_m, rope_kn, friction)

    for factor in project.rope_lengths_tried if rope else (0.0,):
        rope_m = round(factor * leg.depth_m, 3)
        open_numbers = list(numbers)
        for chain_m in _chain_lengths(farm):
            if not open_numbers:
                break
            laid = line(leg.design_tension_kn, leg.depth_m, chain_m, 1.0)
            if laid is None or not _lies_well(farm, leg, laid.radius_m):
                continue
            for k in list(open_numbers):
                if all(
                    holds(farm, anchor, hold, k, case, line(case.tension, case.depth, chain_m, x))
                    for case, x in asked
                ):
                    # A longer chain with as many anchors only costs more.
                    open_numbers.remove(k)
                    name = rope.name if rope else None
                    yield MakeUp(anchor.name, k, chain.name, chain_m, name, rope_m)


def _chain_lengths(farm: Farm) -> Iterator[float]:
    """Yield every length that chain may be cut to, shortest first, m."""
    project = farm.project
    for steps in itertools.count(1):
        metres = steps * project.cutting_step_m
        if metres > project.longest_chain_m + 1e-6:
            return
        if metres >= project.shortest_chain_m - 1e-6:
            yield metres


def _lies_well(farm: Farm, leg: Leg, radius_m: float) -> bool:
    """Tell whether anchors at this radius are near enough, and all inside the lease."""
    if not _within(radius_m, math.inf if leg.longest_radius_m is None else leg.longest_radius_m):
        return False
    if not farm.lease or leg.easting_m is None or leg.northing_m is None:
        return True
    if leg.bearing_deg is None:
        return True
    row, out = math.radians(leg.row_bearing_deg or 0.0), math.radians(leg.bearing_deg)
    for line in range(leg.count):
        along = line * (leg.spacing_m or 0.0)
        x = leg.easting_m + along * math.sin(row) + radius_m * math.sin(out)
        y = leg.northing_m + along * math.cos(row) + radius_m * math.cos(out)
        if not _inside(farm, x, y):
            return False
    return True


def _inside(farm: Farm, x: float, y: float) -> bool:
    """Tell whether a point is inside the lease: due east of it an odd number of sides is met."""
    met = 0
    for a, b in zip(farm.lease, (*farm.lease[1:], farm.lease[0]), strict=True):
        low, high = sorted((a, b), key=lambda corner: corner.northing_m)
        if low.northing_m <= y < high.northing_m:
            share = (y - low.northing_m) / (high.northing_m - low.northing_m)
            met += low.easting_m + share * (high.easting_m - low.easting_m) > x
    return met % 2 == 1


def holds(
    farm: Farm, anchor: Anchor, hold: Hold, anchors: int, case: Case, line: Hanging | None
) -> bool:
    """Tell whether `anchors` of a model hold a line that hangs so in a case."""
    if line is None or line.uplift_deg > anchor.largest_uplift_deg + 1e-7:
        return False
    if anchor.largest_uplift_deg == 0 and line.grounded_m < farm.project.chain_on_seabed_m - 1e-9:
        return False
    share = 1.0 if anchors == 1 else farm.project.second_anchor_share
    pull = case.on_anchor * line.pull_kn
    if not _within(pull, anchors * share * hold.breaks_at_kn):
        return False
    if hold.friction is not None:
        rests = anchors * hold.submerged_kn - case.on_anchor * line.vertical_kn
        if not _within(case.on_anchor * line.horizontal_kn, share * hold.friction * rests):
            return False
    embedding = hold.alone_kn if anchors == 1 else hold.embedding_kn
    if embedding is None:
        return True
    kept = _kept(farm, anchor, line.uplift_deg)
    return _within(pull, anchors * share * embedding * kept)


def _kept(farm: Farm, anchor: Anchor, uplift_deg: float) -> float:
    """Return the share of its holding that an anchor keeps under uplift: its own table's, or its
    family's."""
    rows = [p for p in farm.uplift_losses if p.anchor_or_family == anchor.name] or [
        p for p in farm.uplift_losses if p.anchor_or_family == anchor.family
    ]
    below, share = 0.0, 1.0
    for row in sorted(rows, key=lambda p: p.uplift_deg):
        if uplift_deg <= row.uplift_deg:
            if row.uplift_deg == below:
                return row.holding_kept
            part = (uplift_deg - below) / (row.uplift_deg - below)
            return share + part * (row.holding_kept - share)
        below, share = row.uplift_deg, row.holding_kept
    return share
