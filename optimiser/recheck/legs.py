"""The limits of every leg of a finished plan, worked again."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Assignment, Plan
from ...models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.goods.chain import Chain
from ...models.goods.fitting import Fitting, UsedPer
from ...models.goods.rope import Rope
from ...models.site.leg import Leg
from ...models.site.vessel import Vessel
from ...models.standing.make_up import LimitName, MakeUp
from .holding import kept_share, reliance
from .statics import HangingLine, hang
from .tolerance import PHYSICAL, at_most, rule, same

FLAT_DEG = 1e-6
"""Uplift that no instrument can tell from none, degrees."""


def leg_lines(plan: Plan) -> Iterator[CheckLine]:
    """Yield the check lines of the legs: their counts, and every limit of every assignment."""
    farm = plan.farm
    laid: dict[str, int] = defaultdict(int)
    for assignment in plan.assignments:
        laid[assignment.leg] += assignment.count
    built: dict[str, set[tuple[MakeUp, str]]] = defaultdict(set)
    for assignment in plan.assignments:
        built[assignment.leg].add((assignment.make_up, assignment.vessel))
    limit = farm.project.make_ups_per_leg_group
    for leg in farm.legs:
        yield same("lines laid", leg.name, leg.count, laid[leg.name], "lines")
        if limit is not None:
            ways = len(built[leg.name])
            yield at_most("make-ups of the leg group", leg.name, ways, limit, "make-ups")
    for assignment in plan.assignments:
        yield from _assignment_lines(farm, assignment)


def fittings_of(farm: Farm, make_up: MakeUp) -> Iterator[tuple[Fitting, int]]:
    """Yield the fittings that one leg of this make-up needs, and how many."""
    for fitting in farm.fittings:
        if fitting.for_chain is None or fitting.for_chain == make_up.chain:
            sets = make_up.anchors if fitting.used_per is UsedPer.ANCHOR else 1
            yield fitting, fitting.quantity * sets


def unknown_names(farm: Farm, assignment: Assignment) -> list[str]:
    """Return the names that an assignment uses and the farm does not have."""
    make_up = assignment.make_up
    pairs: list[tuple[str, set[str]]] = [
        (assignment.leg, {leg.name for leg in farm.legs}),
        (assignment.vessel, {vessel.name for vessel in farm.vessels}),
        (make_up.anchor, {anchor.name for anchor in farm.anchors}),
        (make_up.chain, {chain.name for chain in farm.chains}),
    ]
    if make_up.rope is not None:
        pairs.append((make_up.rope, {rope.name for rope in farm.ropes}))
    return [name for name, known in pairs if name not in known]


def _assignment_lines(farm: Farm, assignment: Assignment) -> Iterator[CheckLine]:
    make_up = assignment.make_up
    where = f"{assignment.leg}: {make_up}, by {assignment.vessel}"
    missing = unknown_names(farm, assignment)
    yield rule("every name is in the farm", where, not missing)
    if missing:
        return
    leg = next(x for x in farm.legs if x.name == assignment.leg)
    anchor = next(x for x in farm.anchors if x.name == make_up.anchor)
    chain = next(x for x in farm.chains if x.name == make_up.chain)
    rope = next((x for x in farm.ropes if x.name == make_up.rope), None)
    vessel = next(x for x in farm.vessels if x.name == assignment.vessel)
    yield at_most("at least one line", where, 1, assignment.count, "lines")
    yield from _choice_lines(farm, leg, anchor, make_up, where)
    yield from _length_lines(farm, leg, make_up, where)
    limits = [
        *_strength_lines(farm, leg, make_up, chain, rope, where),
        *_vessel_lines(farm, leg, anchor, vessel, where),
    ]
    line = hang(
        leg.design_tension_kn,
        leg.depth_m,
        make_up.chain_m,
        chain.mass_kg_per_m * (1 - SEA_WATER_KG_M3 / STEEL_KG_M3) * GRAVITY_M_S2 / 1000.0,
        make_up.rope_m if rope else 0.0,
        _rope_kn_m(rope),
        next(s for s in farm.seabeds if s.name == leg.seabed).chain_friction,
    )
    yield rule("the line can hang", where, line is not None)
    if line is not None:
        limits += _anchor_lines(farm, leg, anchor, make_up, line, where)
        radius = math.inf if leg.longest_radius_m is None else leg.longest_radius_m
        limits.append(at_most(LimitName.RADIUS, where, line.radius_m, radius, "m"))
    yield from limits
    if line is not None:
        yield from _stated_lines(assignment, line, limits, where)


def _rope_kn_m(rope: Rope | None) -> float:
    """Weight of a metre of rope in sea water, kN/m."""
    if rope is None:
        return 0.0
    return rope.mass_kg_per_m * (1 - SEA_WATER_KG_M3 / rope.density_kg_m3) * GRAVITY_M_S2 / 1000.0


def _choice_lines(
    farm: Farm, leg: Leg, anchor: Anchor, make_up: MakeUp, where: str
) -> Iterator[CheckLine]:
    """What the leg's row and the project allow to be chosen."""
    families = leg.allowed_families
    yield rule("allowed family", where, not families or anchor.family in families)
    yield rule("fixed anchor", where, leg.fixed_anchor in (None, make_up.anchor))
    yield rule("fixed chain", where, leg.fixed_chain in (None, make_up.chain))
    yield at_most("at least one anchor", where, 1, make_up.anchors, "anchors")
    most = farm.project.most_anchors_per_leg
    yield at_most("anchors per leg", where, make_up.anchors, most, "anchors")


def _length_lines(farm: Farm, leg: Leg, make_up: MakeUp, where: str) -> Iterator[CheckLine]:
    project = farm.project
    steps = make_up.chain_m / project.cutting_step_m
    whole = round(steps) >= 1 and abs(steps - round(steps)) <= PHYSICAL * steps
    yield rule("chain is a whole number of cutting steps", where, whole)
    yield at_most("longest chain", where, make_up.chain_m, project.longest_chain_m, "m")
    if make_up.rope is None:
        yield rule("all chain, where no rope is offered", where, not farm.ropes)
        yield same("no rope, no metres", where, 0.0, make_up.rope_m, "m")
        return
    tried = [factor * leg.depth_m for factor in project.rope_lengths_tried]
    nearest = min(tried, key=lambda length: abs(length - make_up.rope_m), default=0.0)
    yield same("rope length is one of those tried", where, nearest, make_up.rope_m, "m")


def _strength_lines(
    farm: Farm, leg: Leg, make_up: MakeUp, chain: Chain, rope: Rope | None, where: str
) -> Iterator[CheckLine]:
    project, tension = farm.project, leg.design_tension_kn
    left_mm = chain.diameter_mm - project.chain_wear_mm_per_year * project.service_life_years
    worn = chain.breaking_load_kn * (max(left_mm, 0.0) / chain.diameter_mm) ** 2
    on_chain = project.chain_safety_factor * tension
    yield at_most(LimitName.CHAIN, where, on_chain, worn, "kN")
    if rope is not None:
        spliced = rope.breaking_load_kn * project.rope_splice_share
        on_rope = project.rope_safety_factor * tension
        yield at_most(LimitName.ROPE, where, on_rope, spliced, "kN")
    for fitting, _ in fittings_of(farm, make_up):
        # Those of one leg do not share: any of them may be the one in the line of pull.
        place = f"{where}: {fitting.name}"
        yield at_most(LimitName.FITTING, place, on_chain, fitting.breaking_load_kn, "kN")


def _vessel_lines(
    farm: Farm, leg: Leg, anchor: Anchor, vessel: Vessel, where: str
) -> Iterator[CheckLine]:
    project = farm.project
    lift_t = anchor.mass_kg * project.lift_factor / 1000.0
    yield at_most(LimitName.CRANE, where, lift_t, vessel.crane_limit_t, "t")
    pull = leg.design_tension_kn * project.setting_pull_share
    yield at_most(LimitName.BOLLARD, where, pull, vessel.bollard_pull_kn or 0.0, "kN")
    one = f"{where}: one anchor"
    yield at_most(LimitName.DECK, one, anchor.mass_kg / 1000.0, vessel.deck_load_t, "t")
    yield at_most(LimitName.DECK, one, anchor.deck_area_m2, vessel.deck_area_m2, "m²")


def _anchor_lines(
    farm: Farm, leg: Leg, anchor: Anchor, make_up: MakeUp, line: HangingLine, where: str
) -> Iterator[CheckLine]:
    project, count = farm.project, make_up.anchors
    own = anchor.safety_factor
    factor = project.anchor_safety_factor if own is None else own
    share = project.second_anchor_share if count > 1 else 1.0
    worth = reliance(farm, anchor, leg)
    pull = factor * line.tension_kn
    yield rule("there is a holding to rely on", where, worth.usable)
    if worth.embedding_kn is not None:
        kept = kept_share(farm, anchor, line.uplift_deg)
        there = count * share * worth.embedding_kn * kept
        yield at_most(LimitName.HOLDING, where, pull, there, "kN")
    if worth.weight_kn is not None and worth.friction is not None:
        rests = count * worth.weight_kn - factor * line.vertical_kn
        there = share * worth.friction * rests
        slide = factor * line.horizontal_kn
        yield at_most(LimitName.HOLDING, f"{where}: by weight", slide, there, "kN")
    yield at_most(LimitName.STRUCTURE, where, pull, count * worth.structure_kn, "kN")
    most = anchor.largest_uplift_deg
    yield at_most(LimitName.UPLIFT, where, line.uplift_deg, most, "deg", FLAT_DEG)


def _stated_lines(
    assignment: Assignment, line: HangingLine, limits: list[CheckLine], where: str
) -> Iterator[CheckLine]:
    """What the plan says of the assignment is what we find."""
    yield same("stated uplift", where, line.uplift_deg, assignment.uplift_deg, "deg")
    yield same("stated tension", where, line.tension_kn, assignment.anchor_tension_kn, "kN")
    yield same("stated radius", where, line.radius_m, assignment.radius_m, "m")
    yield same("stated grounded chain", where, line.grounded_m, assignment.grounded_m, "m")
    for name in dict.fromkeys(limit.name for limit in assignment.limits):
        ours = max((x.utilisation for x in limits if x.what == name), default=0.0)
        theirs = max(x.utilisation for x in assignment.limits if x.name is name)
        if math.isfinite(ours) and math.isfinite(theirs) and name is not LimitName.UPLIFT:
            yield same(f"stated utilisation: {name}", where, ours, theirs, "of 1")
