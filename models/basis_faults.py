"""Faults of the design basis: load cases, positions and the lease, which must agree."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from .arrays import Floats
from .farm import Farm
from .fault import Fault, Severity, closest
from .site.load_case import CaseTension
from .standing.load_cases import cases_for
from .standing.positions import attachments_m, crossings_m


def basis_faults(farm: Farm) -> Iterator[Fault]:
    """Yield what contradicts between load cases, legs and lease."""
    yield from _load_cases(farm)
    yield from _positions(farm)
    yield from _lease(farm)
    if farm.project.shortest_chain_m > farm.project.longest_chain_m:
        message = (
            f"{farm.project.shortest_chain_m:g} m is more than the longest chain, "
            f"{farm.project.longest_chain_m:g} m: no leg could have any"
        )
        yield Fault.at(farm.project.source, "Shortest chain", message)


def _load_cases(farm: Farm) -> Iterator[Fault]:
    legs = list(dict.fromkeys([*(leg.name for leg in farm.legs), *(g.group for g in farm.legs)]))
    seen: set[str] = set()
    for case in farm.load_cases:
        if case.name.casefold() in seen:
            message = f"'{case.name}' is named twice; give each its own name"
            yield Fault.at(case.source, "Case", message)
        seen.add(case.name.casefold())
        for name in case.legs:
            if name not in legs:
                message = f"'{name}' is neither a leg nor a group of Legs{closest(name, legs)}"
                yield Fault.at(case.source, "Legs", message)
    if not farm.load_cases:
        return
    for leg in farm.legs:
        cases = cases_for(farm, leg)
        if not cases:
            message = f"no load case is for '{leg.name}'; name it in one, or leave Legs blank there"
            yield Fault.at(leg.source, "Leg", message)
        lost = [case.name for case in cases if case.tension is CaseTension.LINE_LOST]
        if lost and leg.line_lost_tension_kn is None:
            message = f"blank, but load case '{lost[0]}' needs it"
            yield Fault.at(leg.source, "Line-lost tension", message)
        shallow = [case for case in cases if leg.depth_m + case.extra_depth_m <= 0]
        for case in shallow:
            message = f"{case.extra_depth_m:g} m leaves no water at leg '{leg.name}'"
            yield Fault.at(case.source, "Extra depth", message)
    for anchor in farm.anchors:
        if anchor.safety_factor is not None:
            message = (
                f"{anchor.safety_factor:g} does not count: there are load cases, whose factors hold"
            )
            yield Fault.at(anchor.source, "Safety factor", message, Severity.WARNING)


def _positions(farm: Farm) -> Iterator[Fault]:
    """A position is the attachment's, no longer the anchor's: a bearing tells them apart."""
    for leg in farm.legs:
        placed = (leg.easting_m is not None, leg.northing_m is not None)
        if any(placed) and not all(placed):
            heading = "Northing" if placed[0] else "Easting"
            yield Fault.at(leg.source, heading, "blank, but the other coordinate is there")
        if all(placed) and leg.bearing_deg is None:
            message = (
                "the position is now that of the attachment of its first line, no longer of the "
                "anchor, which follows from it: give the Bearing (and for more than one line "
                "Spacing and Row bearing), or clear Easting and Northing"
            )
            yield Fault.at(leg.source, "Easting", message)
        if leg.bearing_deg is not None and not all(placed):
            message = "there is a Bearing, but no Easting and Northing of the attachment"
            yield Fault.at(leg.source, "Bearing", message, Severity.WARNING)
        if all(placed) and leg.count > 1:
            for heading, value in (
                ("Spacing", leg.spacing_m),
                ("Row bearing", leg.row_bearing_deg),
            ):
                if value is None:
                    message = f"blank: all {leg.count} lines are taken to start at one attachment"
                    yield Fault.at(leg.source, heading, message, Severity.WARNING)


def _lease(farm: Farm) -> Iterator[Fault]:
    corners = farm.lease
    if not corners:
        return
    if len(corners) < 3:
        yield Fault.at(corners[-1].source, "Easting", "a lease needs three corners or more")
        return
    x = np.array([corner.easting_m for corner in corners])
    y = np.array([corner.northing_m for corner in corners])
    for one in range(len(corners)):
        for other in range(one + 1, len(corners)):
            if _crossed(x, y, one, other):
                message = (
                    f"the side from corner {one + 1} crosses the side from corner {other + 1}; "
                    "list the corners in order"
                )
                yield Fault.at(corners[other].source, "Easting", message)
    for leg in farm.legs:
        stated = (
            leg.easting_m,
            leg.northing_m,
            leg.bearing_deg,
            leg.spacing_m,
            leg.row_bearing_deg,
        )
        if not all(math.isfinite(figure) for figure in (leg.count, *stated) if figure is not None):
            continue  # said of its cell
        starts = attachments_m(leg)
        outside = [
            number
            for number, start in enumerate(starts, start=1)
            if len(crossings_m(corners, start, leg.bearing_deg or 0.0)) % 2 == 0
        ]
        if outside:
            lines = ", ".join(str(number) for number in outside[:5])
            message = f"the attachment of line {lines} lies outside the lease"
            yield Fault.at(leg.source, "Easting", message, Severity.WARNING)
        if leg.count and not starts:
            message = "blank: whether its anchors lie inside the lease is not looked at"
            yield Fault.at(leg.source, "Easting", message, Severity.WARNING)


def _crossed(x: Floats, y: Floats, one: int, other: int) -> bool:
    """Tell whether two sides of a polygon cross within both of them, ends apart."""

    def side(a: int, b: int, c: int) -> float:
        return float((x[b] - x[a]) * (y[c] - y[a]) - (y[b] - y[a]) * (x[c] - x[a]))

    a, b = one, (one + 1) % len(x)
    c, d = other, (other + 1) % len(x)
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
