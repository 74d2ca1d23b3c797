"""The limits of every leg of a finished plan, worked again."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Assignment, Plan
from ...models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from ...models.farm import Farm
from ...models.goods.anchor import Anchor, HoldsBy
from ...models.goods.chain import Chain
from ...models.goods.fitting import Fitting, UsedPer
from ...models.goods.rope import Rope
from ...models.site.laid_line import LaidLine
from ...models.site.leg import Leg
from ...models.site.load_case import CaseTension
from ...models.site.project import FactorActsOn
from ...models.site.vessel import Vessel
from ...models.standing.make_up import LimitName, MakeUp
from .holding import Reliance, kept_share, pull_that_counts_kn, reliance
from .statics import HangingLine, hang, reach_m, towards
from .tolerance import PHYSICAL, at_most, rule, same

FLAT_DEG = 1e-6
"""Uplift that no instrument can tell from none, degrees."""


@dataclass(frozen=True)
class Demand:
    """What one load case asks of a line, kN, in one state of its chain."""

    case: str
    tension_kn: float
    """At the attachment, in the statics."""
    depth_m: float
    anchor_factor: float
    chain_kn: float
    rope_kn: float
    left: float = 1.0
    """Share of the chain's section, so of its weight and strength, that is left."""

    def __str__(self) -> str:
        return self.case if self.left == 1.0 else f"{self.case}, worn"


def demands_of(farm: Farm, leg: Leg, anchor: Anchor, chain: Chain) -> list[Demand]:
    """Return every load case that is for a leg, with the chain as new and, where it wears, worn.

    A case of a line-lost tension that the leg does not give has a tension of nan: all its
    limits fail.
    """
    project, found = farm.project, []
    for row in farm.load_cases:
        if row.legs and not {leg.name, leg.group} & set(row.legs):
            continue
        lost = leg.line_lost_tension_kn
        tension = leg.design_tension_kn
        if row.tension is CaseTension.LINE_LOST:
            tension = math.nan if lost is None else lost
        kn, depth = row.load_factor * tension, leg.depth_m + row.extra_depth_m
        strength = row.chain_factor * kn, row.rope_factor * kn
        found.append(Demand(row.name, kn, depth, row.anchor_factor, *strength))
    if not farm.load_cases:
        kn, own = leg.design_tension_kn, anchor.safety_factor
        factor = project.anchor_safety_factor if own is None else own
        strength = project.chain_safety_factor * kn, project.rope_safety_factor * kn
        if project.safety_factor_acts_on is FactorActsOn.ANCHOR_LOAD:
            found.append(Demand("design", kn, leg.depth_m, factor, *strength))
        else:
            found.append(Demand("design", factor * kn, leg.depth_m, 1.0, *strength))
    lost_mm = project.chain_wear_mm_per_year * project.service_life_years
    if lost_mm > 0:
        left = (max(chain.diameter_mm - lost_mm, 0.0) / chain.diameter_mm) ** 2
        found += [replace(demand, left=left) for demand in found]
    return found


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
        there = sum(row.leg == leg.name for row in farm.laid)
        yield same("lines laid", leg.name, leg.count, laid[leg.name] + there, "lines")
        yield rule("every line once", leg.name, _once(plan, leg))
        if limit is not None:
            ways = len(built[leg.name])
            yield at_most("make-ups of the leg group", leg.name, ways, limit, "make-ups")
    for assignment in plan.assignments:
        yield from _assignment_lines(farm, assignment)
    yield same("lines that lie already", "farm", len(farm.laid), len(plan.laid), "lines")
    rows = {(row.leg, row.first_line): row for row in plan.laid}
    for lying in farm.laid:
        yield from _laid_lines(farm, lying, rows.get((lying.leg, lying.line)))


def _once(plan: Plan, leg: Leg) -> bool:
    """Tell whether each line of a leg is either laid or to lay, and once."""
    numbers = [row.line for row in plan.farm.laid if row.leg == leg.name]
    for row in plan.assignments:
        if row.leg == leg.name:
            numbers += range(row.first_line, row.first_line + row.count)
    return sorted(numbers) == list(range(1, leg.count + 1))


def _laid_lines(farm: Farm, lying: LaidLine, row: Assignment | None) -> Iterator[CheckLine]:
    """The plan builds a line that lies as it was recorded, and it stands, or is accepted so."""
    where = f"{lying.leg}, line {lying.line}, laid already"
    built = MakeUp(
        lying.anchor, lying.anchors, lying.chain, lying.chain_m, lying.rope, lying.rope_m
    )
    yield rule("is in the plan as it was recorded", where, row is not None and row.make_up == built)
    if row is None or unknown_names(farm, row):
        return
    leg = next(x for x in farm.legs if x.name == lying.leg)
    stands = _Stands(farm, leg, built, where, lying)
    limits = [*stands.limits, *_lies_at(farm, leg, lying, stands, where)]
    came, allowed = lying.drag_m or 0.0, leg.allowed_drag_m
    limits.append(at_most("drag when it was set", where, came, allowed, "m"))
    embeds = next(a.holds_by for a in farm.anchors if a.name == lying.anchor) is HoldsBy.EMBEDDING
    if lying.pull_kn is not None and embeds:
        asked = leg.design_tension_kn * farm.project.setting_pull_share
        limits.append(at_most("setting pull asked", where, asked, lying.pull_kn, "kN"))
    for line in (*stands.rules, *limits):
        if not line.passed and lying.accepted_by:
            yield replace(line, where=f"{where}, accepted by {lying.accepted_by}", passed=True)
        else:
            yield line


def lines_to_lay(farm: Farm, leg: Leg) -> tuple[int, ...]:
    """Return the numbers of a leg's lines that do not lie yet."""
    lying = {row.line for row in farm.laid if row.leg == leg.name}
    return tuple(number for number in range(1, leg.count + 1) if number not in lying)


def _to_lay(farm: Farm, leg: Leg) -> Leg:
    """Return a leg of those of its lines alone that do not lie yet."""
    left = lines_to_lay(farm, leg)
    return replace(leg, count=len(left), still_to_lay=left)


def _lies_at(
    farm: Farm, leg: Leg, lying: LaidLine, stands: _Stands, where: str
) -> Iterator[CheckLine]:
    """How far out its anchor lies, where it was recorded or else as its line hangs."""
    if stands.laid is None:
        return
    radius, ahead = stands.laid.radius_m, leg.bearing_deg
    if None not in (leg.easting_m, leg.northing_m, lying.easting_m, lying.northing_m):
        step = (leg.spacing_m or 0.0) * towards(leg.row_bearing_deg or 0.0)
        start = complex(leg.easting_m or 0, leg.northing_m or 0) + (lying.line - 1) * step
        out = complex(lying.easting_m or 0, lying.northing_m or 0) - start
        radius, ahead = abs(out), math.degrees(math.atan2(out.real, out.imag))
    alone = replace(leg, bearing_deg=ahead, still_to_lay=(lying.line,), count=1)
    yield from _place_lines(farm, alone, radius, where)


def fittings_of(farm: Farm, make_up: MakeUp) -> Iterator[tuple[Fitting, int]]:
    """Yield the fittings that one leg of this make-up needs, and how many."""
    for fitting in farm.fittings:
        if fitting.for_chain is None or fitting.for_chain == make_up.chain:
            sets = {
                UsedPer.LEG: 1,
                UsedPer.ANCHOR: make_up.anchors,
                UsedPer.EXTRA_ANCHOR: make_up.anchors - 1,
            }[fitting.used_per]
            if sets > 0:
                yield fitting, fitting.quantity * sets


def rope_cut_m(farm: Farm, make_up: MakeUp) -> float:
    """Return the rope cut for one line of this make-up, m: what both its eyes take is in it."""
    if make_up.rope is None:
        return 0.0
    return make_up.rope_m + farm.project.rope_in_each_eye_m + farm.project.rope_in_each_eye_m


def unknown_names(farm: Farm, assignment: Assignment) -> list[str]:
    """Return the names that an assignment uses and the farm does not have."""
    make_up = assignment.make_up
    pairs: list[tuple[str, set[str]]] = [
        (assignment.leg, {leg.name for leg in farm.legs}),
        (assignment.vessel, {"", *(vessel.name for vessel in farm.vessels)}),
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
    vessel = next(x for x in farm.vessels if x.name == assignment.vessel)
    yield at_most("at least one line", where, 1, assignment.count, "lines")
    yield from _choice_lines(farm, leg, anchor, make_up, where)
    yield from _length_lines(farm, leg, make_up, where)
    stands = _Stands(farm, leg, make_up, where)
    yield from stands.rules
    limits = [*_vessel_lines(farm, leg, anchor, vessel, where), *stands.limits]
    if stands.laid is not None:
        limits += _place_lines(farm, _to_lay(farm, leg), stands.laid.radius_m, where)
    yield from limits
    hung = [line for line in stands.hung if line is not None]
    if stands.laid is not None and hung and len(hung) == len(stands.hung):
        yield from _stated_lines(assignment, stands.laid, hung, limits, where)


class _Stands:
    """How a line hangs in every load case, and the limits of anchor and line in each."""

    def __init__(
        self, farm: Farm, leg: Leg, make_up: MakeUp, where: str, lying: LaidLine | None = None
    ) -> None:
        anchor = next(x for x in farm.anchors if x.name == make_up.anchor)
        chain = next(x for x in farm.chains if x.name == make_up.chain)
        rope = next((x for x in farm.ropes if x.name == make_up.rope), None)
        demands = demands_of(farm, leg, anchor, chain)
        stood_kn = pull_that_counts_kn(farm, leg, make_up.anchors, lying)
        worth = reliance(farm, anchor, leg, stood_kn)
        self.rules = [rule("a load case is for the leg", where, bool(demands))]
        self.limits: list[CheckLine] = []
        self.hung: list[HangingLine | None] = []
        for demand in demands:
            place = where if len(demands) == 1 else f"{where}, {demand}"
            self.limits += _strength_lines(farm, make_up, chain, rope, demand, place)
            line = _hung(farm, leg, make_up, demand.tension_kn, demand.depth_m, demand.left)
            self.hung.append(line)
            self.rules.append(rule("the line can hang", place, line is not None))
            if line is not None:
                self.limits += _anchor_lines(farm, worth, anchor, make_up, demand, line, place)
        self.laid = _hung(farm, leg, make_up, leg.design_tension_kn, leg.depth_m, 1.0)
        self.rules.append(rule("the line can hang", f"{where}, as laid", self.laid is not None))


def _hung(
    farm: Farm, leg: Leg, make_up: MakeUp, tension_kn: float, depth_m: float, left: float
) -> HangingLine | None:
    """Return how a leg's line hangs with so much of its chain's weight left; None: it cannot."""
    chain = next(x for x in farm.chains if x.name == make_up.chain)
    rope = next((x for x in farm.ropes if x.name == make_up.rope), None)
    metre = chain.mass_kg_per_m * (1 - SEA_WATER_KG_M3 / STEEL_KG_M3) * GRAVITY_M_S2 / 1000.0
    friction = next(s for s in farm.seabeds if s.name == leg.seabed).chain_friction
    rope_m = make_up.rope_m if rope else 0.0
    return hang(
        tension_kn, depth_m, make_up.chain_m, left * metre, rope_m, _rope_kn_m(rope), friction
    )


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
    yield at_most("shortest chain", where, project.shortest_chain_m, make_up.chain_m, "m")
    yield at_most("longest chain", where, make_up.chain_m, project.longest_chain_m, "m")
    if make_up.rope is None:
        yield rule("all chain, where no rope is offered", where, not farm.ropes)
        yield same("no rope, no metres", where, 0.0, make_up.rope_m, "m")
        return
    tried = [factor * leg.depth_m for factor in project.rope_lengths_tried]
    nearest = min(tried, key=lambda length: abs(length - make_up.rope_m), default=0.0)
    yield same("rope length is one of those tried", where, nearest, make_up.rope_m, "m")


def _strength_lines(
    farm: Farm, make_up: MakeUp, chain: Chain, rope: Rope | None, demand: Demand, where: str
) -> Iterator[CheckLine]:
    on_chain, left = demand.chain_kn, demand.left
    yield at_most(LimitName.CHAIN, where, on_chain, chain.breaking_load_kn * left, "kN")
    if chain.joinable and chain.connector_breaking_load_kn is not None:
        there = chain.connector_breaking_load_kn * left
        yield at_most(LimitName.CONNECTOR, where, on_chain, there, "kN")
    if rope is not None:
        there = rope.breaking_load_kn * farm.project.rope_splice_share * rope.wet_strength_share
        yield at_most(LimitName.ROPE, where, demand.rope_kn, there, "kN")
    for fitting, _ in fittings_of(farm, make_up):
        # Those of one leg do not share: any of them may be the one in the line of pull.
        there = fitting.breaking_load_kn * (left if fitting.wears_with_chain else 1.0)
        yield at_most(LimitName.FITTING, f"{where}: {fitting.name}", on_chain, there, "kN")


def _vessel_lines(
    farm: Farm, leg: Leg, anchor: Anchor, vessel: Vessel, where: str
) -> Iterator[CheckLine]:
    if not farm.laying_priced:
        return  # no vessel was looked at, and nothing is said of any
    project = farm.project
    lift_t = anchor.mass_kg * project.lift_factor / 1000.0
    yield at_most(LimitName.CRANE, where, lift_t, vessel.crane_limit_t, "t")
    pull = leg.design_tension_kn * project.setting_pull_share
    yield at_most(LimitName.BOLLARD, where, pull, vessel.bollard_pull_kn or 0.0, "kN")
    one = f"{where}: one anchor"
    yield at_most(LimitName.DECK, one, anchor.mass_kg / 1000.0, vessel.deck_load_t, "t")
    yield at_most(LimitName.DECK, one, anchor.deck_area_m2, vessel.deck_area_m2, "m²")


def _anchor_lines(
    farm: Farm,
    worth: Reliance,
    anchor: Anchor,
    make_up: MakeUp,
    demand: Demand,
    line: HangingLine,
    where: str,
) -> Iterator[CheckLine]:
    factor, most = demand.anchor_factor, anchor.largest_uplift_deg
    count = make_up.anchors * (farm.project.second_anchor_share if make_up.anchors > 1 else 1.0)
    pull = factor * line.tension_kn
    # Refused evidence gives zero: not relied on even where the chain's friction leaves no pull.
    relied_on = worth.usable and worth.embedding_kn != 0
    yield rule("there is a holding to rely on", where, relied_on)
    if worth.embedding_kn is not None:
        there = count * worth.embedding_kn * kept_share(farm, anchor, line.uplift_deg)
        yield at_most(LimitName.HOLDING, where, pull, there, "kN")
    if worth.weight_kn is not None and worth.friction is not None:
        rests = make_up.anchors * worth.weight_kn - factor * line.vertical_kn
        there = count / make_up.anchors * worth.friction * rests
        slide = factor * line.horizontal_kn
        yield at_most(LimitName.HOLDING, f"{where}: by weight", slide, there, "kN")
    yield at_most(LimitName.STRUCTURE, where, pull, count * worth.structure_kn, "kN")
    yield at_most(LimitName.UPLIFT, where, line.uplift_deg, most, "deg", FLAT_DEG)
    if most == 0:
        lies = farm.project.chain_on_seabed_m
        yield at_most(LimitName.ON_SEABED, where, lies, line.grounded_m, "m")


def _place_lines(farm: Farm, leg: Leg, radius_m: float, where: str) -> Iterator[CheckLine]:
    """How far out the anchors of a group lie, and whether each is inside the lease."""
    most = math.inf if leg.longest_radius_m is None else leg.longest_radius_m
    yield at_most(LimitName.RADIUS, where, radius_m, most, "m")
    if not farm.lease or leg.easting_m is None or leg.northing_m is None or leg.bearing_deg is None:
        return
    corners = [complex(corner.easting_m, corner.northing_m) for corner in farm.lease]
    step = (leg.spacing_m or 0.0) * towards(leg.row_bearing_deg or 0.0)
    for number in leg.numbers:
        start = complex(leg.easting_m, leg.northing_m) + (number - 1) * step
        there = reach_m(corners, start, towards(leg.bearing_deg), radius_m)
        yield at_most(LimitName.LEASE, f"{where}, line {number}", radius_m, there, "m")


def _stated_lines(
    assignment: Assignment,
    laid: HangingLine,
    hung: list[HangingLine],
    limits: list[CheckLine],
    where: str,
) -> Iterator[CheckLine]:
    """What the plan says of the assignment is what we find: the worst of all load cases."""
    uplift = max(line.uplift_deg for line in hung)
    tension = max(line.tension_kn for line in hung)
    grounded = min(line.grounded_m for line in hung)
    yield same("stated uplift", where, uplift, assignment.uplift_deg, "deg")
    yield same("stated tension", where, tension, assignment.anchor_tension_kn, "kN")
    yield same("stated radius", where, laid.radius_m, assignment.radius_m, "m")
    yield same("stated grounded chain", where, grounded, assignment.grounded_m, "m")
    for name in dict.fromkeys(limit.name for limit in assignment.limits):
        ours = max((x.utilisation for x in limits if x.what == name), default=0.0)
        theirs = max(x.utilisation for x in assignment.limits if x.name is name)
        if math.isfinite(ours) and math.isfinite(theirs) and name is not LimitName.UPLIFT:
            yield same(f"stated utilisation: {name}", where, ours, theirs, "of 1")
