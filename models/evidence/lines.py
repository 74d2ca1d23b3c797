"""Lines: every mooring line by its tag, with where it is attached, anchored and dropped."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..answer.plan import Assignment, Plan
from ..farm import Farm
from ..standing.positions import Point, along, attachments_m
from .setting_drag import settings_of_plan


@dataclass(frozen=True)
class PlanLine:
    """One line of a plan; places are easting and northing, m, and None where not stated."""

    tag: str
    leg: str
    line: int
    """Which of the group's lines, from 1."""
    row: Assignment
    """How it is built, and by which vessel it is laid."""
    attachment: Point | None
    bearing_deg: float | None
    anchor: Point | None
    """Where the anchor lies when it holds: the radius out from the attachment."""
    setting_drag_m: float | None
    """How far it drags until it holds what the leg requires, by its tests; None: not known."""
    drop: Point | None
    """Where it is let go: the setting drag farther out; None where that is not known."""


def lines_of(plan: Plan) -> tuple[PlanLine, ...]:
    """Return every line of a plan that is to be laid, in the order of its rows."""
    return tuple(line for row in plan.assignments for line in _lines(plan.farm, row))


def every_line(plan: Plan) -> tuple[PlanLine, ...]:
    """Return every line of the farm by leg and number: those to be laid, and those that lie
    already, where their anchors were recorded to lie."""
    recorded = {
        (row.leg, row.line): (row.easting_m, row.northing_m)
        for row in plan.farm.laid
        if row.easting_m is not None and row.northing_m is not None
    }
    lying = (
        replace(line, anchor=recorded.get((line.leg, line.line), line.anchor), drop=None)
        for row in plan.laid
        for line in _lines(plan.farm, row)
    )
    order = {leg.name: at for at, leg in enumerate(plan.farm.legs)}
    lines = (*lines_of(plan), *lying)
    return tuple(sorted(lines, key=lambda line: (order[line.leg], line.line)))


def _lines(farm: Farm, row: Assignment) -> Iterator[PlanLine]:
    leg = farm.leg_by_name[row.leg]
    starts = attachments_m(leg)
    settings = settings_of_plan(farm, [row])
    drag = settings[0].drag_m if settings else None
    for line in range(row.first_line, row.first_line + row.count):
        start = starts[line - 1] if starts and leg.bearing_deg is not None else None
        anchor = drop = None
        if start is not None and leg.bearing_deg is not None:
            anchor = along(start, leg.bearing_deg, row.radius_m)
            if drag is not None:
                drop = along(start, leg.bearing_deg, row.radius_m + drag)
        yield PlanLine(
            leg.tag(line), leg.name, line, row, start, leg.bearing_deg, anchor, drag, drop
        )
