"""Where the lines of a leg group lie, and how far out the lease lets their anchors lie."""

from __future__ import annotations

import math

import numpy as np

from ..arrays import Floats
from ..farm import Farm
from ..site.lease import LeaseCorner
from ..site.leg import Leg

Point = tuple[float, float]
"""Easting and northing, m."""


def direction(bearing_deg: float) -> Point:
    """Return the unit vector (east, north) of a bearing clockwise from grid north."""
    angle = math.radians(bearing_deg)
    return math.sin(angle), math.cos(angle)


def attachments_m(leg: Leg) -> tuple[Point, ...]:
    """Return where each line of a group is attached, in order; none where it is not stated."""
    if leg.easting_m is None or leg.northing_m is None:
        return ()
    east, north = direction(leg.row_bearing_deg or 0.0)
    step = leg.spacing_m or 0.0
    return tuple(
        (leg.easting_m + (line - 1) * step * east, leg.northing_m + (line - 1) * step * north)
        for line in leg.numbers
    )


def along(start: Point, bearing_deg: float, distance_m: float) -> Point:
    """Return the point at a distance and bearing from another."""
    east, north = direction(bearing_deg)
    return start[0] + distance_m * east, start[1] + distance_m * north


def crossings_m(corners: tuple[LeaseCorner, ...], start: Point, bearing_deg: float) -> Floats:
    """Return, in order, at which distances from a point along a bearing the boundary is crossed.

    A corner on the way counts once: each side takes its first end and not its last.
    """
    east, north = direction(bearing_deg)
    x = np.array([corner.easting_m for corner in corners]) - start[0]
    y = np.array([corner.northing_m for corner in corners]) - start[1]
    ahead, aside = x * east + y * north, x * north - y * east
    next_ahead, next_aside = np.roll(ahead, -1), np.roll(aside, -1)
    crossed = (aside < 0) != (next_aside < 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = ahead + (next_ahead - ahead) * (-aside / (next_aside - aside))
    return np.sort(at[crossed & (at >= 0)])


def lease_reach_m(farm: Farm, leg: Leg, radius_m: Floats) -> Floats:
    """Return (...) how far out an anchor may lie, m, for radii of any shape: infinite without a
    lease or without positions.

    Inside the lease it is the distance to its boundary beyond the anchor; outside, to the
    boundary last passed (0 where the line never was inside). Over the lines of the group the one
    whose radius takes up most of it.
    """
    reach: Floats = np.full(np.shape(radius_m), np.inf)
    if not farm.lease or leg.bearing_deg is None:
        return reach
    for start in attachments_m(leg):
        crossed = crossings_m(farm.lease, start, leg.bearing_deg)
        passed = np.searchsorted(crossed, radius_m, side="left")
        inside = (crossed.size - passed) % 2 == 1
        bounds = np.concatenate([[0.0], crossed, [0.0]])
        reach = np.minimum(reach, np.where(inside, bounds[passed + 1], bounds[passed]))
    return reach
