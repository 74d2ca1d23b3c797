"""The legs: how every leg is built, and on a sheet of its own how near each limit it stands."""

from __future__ import annotations

import math
from dataclasses import replace

from ...models.answer.plan import Assignment, Plan
from ...models.evidence.let_go import let_go_soon
from ...models.farm import Farm
from ...models.standing.make_up import LimitName
from ..paper.book import PlanBook
from ..paper.page import Formula, SheetColumn, Value
from ..paper.style import Look
from ..told.laid_text import LAID_ALREADY
from ..words.cautions import CAUTIONS
from ..words.holding_evidence import evidence_text
from ..words.kinds import NumberKind

HEADING_ROW = 4

MAKE_UP = (
    SheetColumn("Leg", widest=14),
    SheetColumn("Group", widest=16),
    SheetColumn("Legs", NumberKind.COUNT),
    SheetColumn("Anchor", widest=20),
    SheetColumn("Anchors per leg", NumberKind.COUNT),
    SheetColumn("Chain", widest=16),
    SheetColumn("Chain (m)", NumberKind.LENGTH_M),
    SheetColumn("Rope", widest=18),
    SheetColumn("Rope (m)", NumberKind.LENGTH_M),
    SheetColumn("Depth (m)", NumberKind.LENGTH_M),
    SheetColumn("Radius (m)", NumberKind.LENGTH_M),
    SheetColumn("Grounded chain (m)", NumberKind.LENGTH_M),
    SheetColumn("Vessel", widest=22),
)
STANDING = (
    SheetColumn("Leg", widest=14),
    SheetColumn("Anchor", widest=20),
    SheetColumn("Design tension (kN)", NumberKind.FORCE_KN),
    SheetColumn("Uplift (deg)", NumberKind.ANGLE_DEG),
    SheetColumn("Tension at anchor (kN)", NumberKind.FORCE_KN),
    SheetColumn("Holding required (kN)", NumberKind.FORCE_KN),
    SheetColumn("Holding available (kN)", NumberKind.FORCE_KN),
)
RESTS = (
    SheetColumn("Nearest limit", widest=15),
    SheetColumn("Evidence for the holding", widest=34),
)
LEGS, ANCHORS_PER_LEG = 3, 5


def write_legs(book: PlanBook) -> None:
    """Write a row for every assignment: how it is built, then how it stands."""
    _write_schedule(book)
    _write_limits(book)


def _write_schedule(book: PlanBook) -> None:
    plan = book.plan
    page = book.page("Leg schedule")
    page.head(
        "Leg schedule",
        "How every leg is built. Lengths are for one leg, rope between "
        "its eyes; how near each limit it stands is on Leg limits.",
        of=plan.farm.project.name,
        across=len(MAKE_UP),
    )
    rows = _rows(plan)
    table = page.table(HEADING_ROW, MAKE_UP, [_built(book, row) for row in rows])
    row = table.next_row
    for column in range(1, len(MAKE_UP) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    if rows:
        legs = f"{page.at(table.first, LEGS)}:{page.at(table.last, LEGS)}"
        each = f"{page.at(table.first, ANCHORS_PER_LEG)}:{page.at(table.last, ANCHORS_PER_LEG)}"
        count = sum(a.count for a in rows)
        anchors = sum(a.count * a.make_up.anchors for a in rows)
        page.put(row, LEGS, Formula(f"SUM({legs})", count), NumberKind.COUNT, Look.TOTAL)
        page.put(row, 4, "anchors in all", look=Look.TOTAL)
        page.put(
            row,
            ANCHORS_PER_LEG,
            Formula(f"SUMPRODUCT({legs},{each})", anchors),
            NumberKind.COUNT,
            Look.TOTAL,
        )
    page.paragraphs(row + 2, CAUTIONS, len(MAKE_UP), Look.STRONG)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW, close=True)


def _rows(plan: Plan) -> list[Assignment]:
    """Return the rows of the lines to be laid, then those of the lines that lie already: a row
    for all of a leg that lie and stand alike."""
    alike: dict[Assignment, int] = {}
    for row in plan.laid:
        key = replace(row, first_line=1)
        alike[key] = alike.get(key, 0) + 1
    return [*plan.assignments, *(replace(row, count=count) for row, count in alike.items())]


def _built(book: PlanBook, row: Assignment) -> tuple[Value, ...]:
    leg = book.plan.farm.leg_by_name[row.leg]
    make_up = row.make_up
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
        leg.depth_m,
        row.radius_m,
        row.grounded_m,
        row.vessel or LAID_ALREADY,
    )


def _write_limits(book: PlanBook) -> None:
    """Only limits that bear on some leg have a column."""
    plan = book.plan
    rows = _rows(plan)
    limits = [
        name
        for name in LimitName
        if any(limit.name is name for row in rows for limit in row.limits)
    ]
    columns = (
        *STANDING,
        *(SheetColumn(name.value.capitalize(), NumberKind.SHARE, turned=True) for name in limits),
        *RESTS,
    )
    page = book.page("Leg limits")
    page.head(
        "Leg limits",
        "How near each limit every leg stands. Forces are for one leg; "
        "percentages are required ÷ available: above 100 % a leg may not be laid.",
        of=plan.farm.project.name,
        across=len(columns),
    )
    table = page.table(HEADING_ROW, columns, [_standing(book, row, limits) for row in rows])
    page.paragraphs(table.next_row + 1, CAUTIONS, len(columns), Look.STRONG)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW, close=True)


def _standing(book: PlanBook, row: Assignment, limits: list[LimitName]) -> tuple[Value, ...]:
    used: dict[LimitName, float | str] = {
        limit.name: limit.utilisation if math.isfinite(limit.utilisation) else "over"
        for limit in row.limits
    }
    return (
        row.leg,
        row.make_up.anchor,
        book.plan.farm.leg_by_name[row.leg].design_tension_kn,
        row.uplift_deg,
        row.anchor_tension_kn,
        row.required_kn,
        row.available_kn,
        *(used.get(name) for name in limits),
        row.binding.name.value,
        "; ".join((evidence_text(row.evidence), *_let_go(book.plan.farm, row))),
    )


def _let_go(farm: Farm, row: Assignment) -> tuple[str, ...]:
    """Return the cautions of a leg's own row: tests in which its anchor soon let go."""
    soon = let_go_soon(farm, row.make_up.anchor, farm.leg_by_name[row.leg])
    return tuple(f"caution: {one.words}" for one in soon)
