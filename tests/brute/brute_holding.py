"""What an anchor is relied on to hold, for the brute force of make-ups."""

from __future__ import annotations

import math

from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor
from moorledger.models.site.leg import Leg
from moorledger.optimiser.recheck.holding import reliance


def design_holding_kn(farm: Farm, anchor: Anchor, seabed: str, drag_m: float) -> float | None:
    """Return what embedding is relied on for, kN: 0 where it is refused, None where nothing is
    known of it."""
    leg = Leg("", 1.0, 1.0, seabed, drag_m)
    return reliance(farm, anchor, leg).embedding_kn


def structural_limit_kn(farm: Farm, anchor: Anchor) -> float:
    """Return the load that breaks an anchor, kN; infinite where none is known."""
    if not farm.seabeds:
        return math.inf
    return reliance(farm, anchor, Leg("", 1.0, 1.0, farm.seabeds[0].name, 1.0)).structure_kn
