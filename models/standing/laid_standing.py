"""How a line that is laid already stands by the basis of today, from where its anchor lies."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ..farm import Farm
from ..goods.anchor import HoldsBy
from ..site.laid_line import LaidLine
from ..site.leg import Leg
from .limits import Standing, place_needs, standing_of
from .make_up import Limit, LimitName, MakeUp
from .positions import attachments_m

SLACK = 1e-6
"""Share by which a limit may be passed that rounding may have made."""


@dataclass(frozen=True)
class LaidStanding:
    """One line as laid, and how it stands."""

    laid: LaidLine
    make_up: MakeUp
    standing: Standing | None
    """None where the line cannot hang so at all."""
    refusal: str
    """Why its anchor is not relied on there; "": it is."""
    allowed_drag_m: float
    asked_pull_kn: float = 0.0
    """The setting pull that its anchor is to stand, by the basis of today; 0: none."""

    @property
    def missed(self) -> tuple[Limit, ...]:
        """The limits that it does not keep; where it cannot hang, none is known."""
        limits = () if self.standing is None else self.standing.limits
        return tuple(limit for limit in limits if limit.utilisation > 1 + SLACK)

    @property
    def came_too_far(self) -> bool:
        """Whether its anchor came farther than is allowed before it held its setting pull."""
        return (self.laid.drag_m or 0.0) > self.allowed_drag_m * (1 + SLACK)

    @property
    def pulled_short(self) -> bool:
        """Whether the setting pull that it is recorded to have held is less than is asked."""
        held = self.laid.pull_kn
        return held is not None and held < self.asked_pull_kn * (1 - SLACK)

    @property
    def stands(self) -> bool:
        """Whether it keeps every limit."""
        kept = self.standing is not None and not self.missed and not self.refusal
        return kept and not self.came_too_far and not self.pulled_short


def make_up_of(laid: LaidLine) -> MakeUp:
    """Return how a line was built."""
    rope_m = laid.rope_m if laid.rope is not None else 0.0
    return MakeUp(laid.anchor, laid.anchors, laid.chain, laid.chain_m, laid.rope, rope_m)


def laid_standing(farm: Farm, laid: LaidLine) -> LaidStanding:
    """Return how a line stands; farm : whole, with all its names."""
    leg = replace(farm.leg_by_name[laid.leg], count=1, still_to_lay=(laid.line,))
    make_up = make_up_of(laid)
    standing = standing_of(farm, leg, make_up, _recorded_pull_kn(farm, leg, laid))
    asked = _asked_pull_kn(farm, leg, laid)
    if standing is None:
        return LaidStanding(laid, make_up, None, "", leg.allowed_drag_m, asked)
    there = _where_it_lies(leg, laid)
    if there is not None:
        radius_m, bearing_deg = there
        placed = replace(leg, bearing_deg=bearing_deg)
        needs = place_needs(farm, placed, np.array([radius_m]))
        places = tuple(
            Limit(need.name, float(need.required[0]), float(need.available[0]), need.unit)
            for need in needs
        )
        kept = (
            limit
            for limit in standing.limits
            if limit.name not in (LimitName.RADIUS, LimitName.LEASE)
        )
        standing = replace(standing, radius_m=radius_m, limits=(*kept, *places))
    refusal = standing.holding.refusal
    return LaidStanding(laid, make_up, standing, refusal, leg.allowed_drag_m, asked)


def _asked_pull_kn(farm: Farm, leg: Leg, laid: LaidLine) -> float:
    """Return the setting pull of an anchor that is set by one, kN; 0 of any other."""
    if farm.anchor_by_name[laid.anchor].holds_by is not HoldsBy.EMBEDDING:
        return 0.0
    return farm.project.setting_pull_share * leg.design_tension_kn


def _recorded_pull_kn(farm: Farm, leg: Leg, laid: LaidLine) -> float:
    """Return the setting pull recorded that counts towards the holding of a line, kN; 0: none.

    What was planned does not count: it may not have been made.
    """
    reading = laid.reading(leg.seabed) if farm.project.setting_pull_counts else None
    if reading is None or reading.drag_m > leg.allowed_drag_m:
        return 0.0
    return reading.load_kn


def _where_it_lies(leg: Leg, laid: LaidLine) -> tuple[float, float] | None:
    """Return distance (m) and bearing (deg) of the anchor from its attachment; None: not known."""
    starts = attachments_m(leg)
    if not starts or laid.easting_m is None or laid.northing_m is None:
        return None
    east, north = laid.easting_m - starts[0][0], laid.northing_m - starts[0][1]
    return math.hypot(east, north), math.degrees(math.atan2(east, north)) % 360.0
