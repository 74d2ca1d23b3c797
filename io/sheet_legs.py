"""The leg schedule: how every leg is built, and how near each limit it stands."""

from __future__ import annotations

import math

from ..models.make_up import LimitName
from ..models.plan import Assignment
from .cautions import CAUTIONS
from .page import Column, Formula, Value
from .plan_book import PlanBook
from .style import Kind, Look

HEADING_ROW = 4

MAKE_UP = (
    Column("Leg", widest=14),
    Column("Group", widest=16),
    Column("Legs", Kind.COUNT),
    Column("Anchor", widest=18),
    Column("Anchors per leg", Kind.COUNT),
    Column("Chain", widest=15),
    Column("Chain (m)", Kind.LENGTH_M),
    Column("Rope", widest=15),
    Column("Rope (m)", Kind.LENGTH_M),
    Column("Vessel", widest=16),
)
STANDING = (
    Column("Design tension (kN)", Kind.FORCE_KN),
    Column("Uplift (deg)", Kind.ANGLE_DEG),
    Column("Tension at anchor (kN)", Kind.FORCE_KN),
    Column("Holding required (kN)", Kind.FORCE_KN),
    Column("Holding available (kN)", Kind.FORCE_KN),
)
PLACE = (
    Column("Nearest limit", widest=13),
    Column("Radius (m)", Kind.LENGTH_M),
    Column("Grounded chain (m)", Kind.LENGTH_M),
    Column("Evidence for the holding", widest=26),
)
LEGS, ANCHORS_PER_LEG = 3, 5


def write_leg_schedule(book: PlanBook) -> None:
    """Write a row for every assignment; only limits that bear on some leg have a column."""
    plan = book.plan
    limits = [
        name
        for name in LimitName
        if any(limit.name is name for row in plan.assignments for limit in row.limits)
    ]
    columns = (
        *MAKE_UP,
        *STANDING,
        *(Column(name.value.capitalize(), Kind.SHARE, turned=True) for name in limits),
        *PLACE,
    )
    page = book.page("Leg schedule")
    page.head(
        "Leg schedule",
        f"{plan.farm.project.name}. Lengths and forces are for one leg. The percentages say how "
        "much of each limit is used (required ÷ available): above 100 % a leg may not be laid.",
        across=len(columns),
    )
    table = page.table(HEADING_ROW, columns, [_row(book, row, limits) for row in plan.assignments])
    row = table.next_row
    for column in range(1, len(columns) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    if plan.assignments:
        legs = f"{page.at(table.first, LEGS)}:{page.at(table.last, LEGS)}"
        each = f"{page.at(table.first, ANCHORS_PER_LEG)}:{page.at(table.last, ANCHORS_PER_LEG)}"
        count = sum(a.count for a in plan.assignments)
        anchors = sum(a.count * a.make_up.anchors for a in plan.assignments)
        page.put(row, LEGS, Formula(f"SUM({legs})", count), Kind.COUNT, Look.TOTAL)
        page.put(row, 4, "anchors in all", look=Look.TOTAL)
        page.put(
            row,
            ANCHORS_PER_LEG,
            Formula(f"SUMPRODUCT({legs},{each})", anchors),
            Kind.COUNT,
            Look.TOTAL,
        )
    page.paragraphs(row + 2, CAUTIONS, len(columns), Look.STRONG)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)


def _row(book: PlanBook, row: Assignment, limits: list[LimitName]) -> tuple[Value, ...]:
    """Return one assignment's cells."""
    leg = book.plan.farm.leg_by_name[row.leg]
    make_up = row.make_up
    used: dict[LimitName, float | str] = {
        limit.name: limit.utilisation if math.isfinite(limit.utilisation) else "over"
        for limit in row.limits
    }
    return (
        row.leg,
        leg.group,
        row.count,
        make_up.anchor,
        make_up.anchors,
        make_up.chain,
        make_up.chain_m,
        make_up.rope or "none",
        make_up.rope_m if make_up.rope else None,
        row.vessel,
        leg.design_tension_kn,
        row.uplift_deg,
        row.anchor_tension_kn,
        row.required_kn,
        row.available_kn,
        *(used.get(name) for name in limits),
        row.binding.name.value,
        row.radius_m,
        row.grounded_m,
        row.holding_source,
    )
