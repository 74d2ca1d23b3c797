"""The laying plan: for each vessel its trips one by one, and its lines in the order of laying."""

from __future__ import annotations

from ...models.answer.plan import Campaign, Plan
from ...models.answer.trip import Trip
from ...models.evidence.lines import PlanLine, lines_of
from ...models.goods.anchor import HoldsBy
from ...models.site.vessel import Vessel
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import LOCAL, WORK, pull_words
from ..words.grammar import clean, counted
from ..words.kinds import NumberKind

TRIPS = (
    SheetColumn("Trip", NumberKind.COUNT),
    SheetColumn("Lines", NumberKind.COUNT),
    SheetColumn("Load (t)", NumberKind.MASS_T),
    SheetColumn("Of deck load", NumberKind.SHARE),
    SheetColumn("Deck (m²)", NumberKind.AREA_M2),
    SheetColumn("Of deck area", NumberKind.SHARE),
    SheetColumn("Hours out", NumberKind.HOURS),
    SheetColumn("", NumberKind.COUNT),
    SheetColumn("Lines in order", widest=90),
)
LINE_COUNT, LOAD, HOURS, IN_ORDER = 2, 3, 7, 9

LINES = (
    SheetColumn("Trip", NumberKind.COUNT),
    SheetColumn("Line", widest=12),
    SheetColumn("Attached E (m)", NumberKind.LENGTH_M),
    SheetColumn("Attached N (m)", NumberKind.LENGTH_M),
    SheetColumn("Bearing (deg)", NumberKind.ANGLE_DEG),
    SheetColumn("Drop E (m)", NumberKind.LENGTH_M),
    SheetColumn("Drop N (m)", NumberKind.LENGTH_M),
    SheetColumn("Drag in it (m)", NumberKind.LENGTH_M),
    SheetColumn("Depth (m)", NumberKind.LENGTH_M),
    SheetColumn("Anchor", widest=24),
    SheetColumn("Chain", widest=24),
    SheetColumn("Rope", widest=26),
    SheetColumn("Setting pull (kN)", NumberKind.FORCE_KN),
    SheetColumn("Hold (min)", NumberKind.PLAIN),
    SheetColumn("Laid at E", widest=9),
    SheetColumn("Laid at N", widest=9),
    SheetColumn("Pull (kN)", widest=8),
    SheetColumn("Drag (m)", widest=8),
    SheetColumn("Date, time", widest=11),
    SheetColumn("Signed", widest=11),
)
ACROSS = len(LINES)
WIDTHS = (
    5.0, 13.0, 10.0, 10.0, 8.5, 10.0, 10.0, 7.5, 7.5, 22.0, 22.0, 24.0, 8.0, 6.5,
    10.0, 10.0, 8.0, 8.0, 12.0, 11.0,
)  # fmt: skip
BLANKS = 6
"""Columns at the end that are filled in on board."""
ON_BOARD = (10, 11, 12, *range(ACROSS - BLANKS + 1, ACROSS + 1))
"""Columns that a hand may write in on board: how a line was built, if otherwise, and the blanks."""
CHARGES = {"day_rate": (5, 4), "mobilisation": (6, 4), "fuel_per_trip": (7, 4)}
"""Field of a vessel: the row and column of what it charges."""
ROW_POINTS = 14.5
"""Height of a row that a hand writes in."""

OVER_A_DAY = " (more than a working day: for the master)"

PULLING = (
    "Setting pull: raise it in steps of about 44 kN (10,000 lb), let each reading settle, and hold "
    "the last for the minutes stated, each line by itself; in silt and clay let the anchor soak "
    "for about a day before it is proven (NAVFAC MO-124, August 1987, Appendix E). Write down the "
    "pull that was held and how far the anchor came. An anchor that does not hold is told to the "
    "engineer before anything is fastened to it."
)
PLACES = (
    "E and N are grid metres, bearings clockwise from grid north, depths to the attachment at "
    "highest water. Drop: where the anchor is let go, farther out than it is to lie by the drag "
    "that its tests took. Where that drag is not known, the point is where the anchor is to lie, "
    "and how much farther out it is let go is for the engineer and the master. The surveyor's and "
    "the master's positions come before these."
)
NOT_KNOWN = "ask"
"""Said for a drag that no test tells."""


def campaigns_planned(plan: Plan) -> tuple[Campaign, ...]:
    """Return the campaigns that a master can be sent; none where no vessel is named."""
    return plan.campaigns if plan.farm.laying_priced else ()


def title_of(vessel: str) -> str:
    """Return the title of a vessel's laying plan."""
    return clean(f"Laying plan: {vessel}")


def write_laying_plans(book: PlanBook) -> None:
    """Write a sheet for every vessel."""
    for campaign in campaigns_planned(book.plan):
        write_laying_plan(book, campaign)


def write_laying_plan(book: PlanBook, campaign: Campaign) -> None:
    """Write one vessel's trips, then its lines, trip by trip."""
    plan = book.plan
    vessel = plan.farm.vessel_by_name[campaign.vessel]
    page = book.page(f"Laying {vessel.name}")
    page.widths(WIDTHS)
    page.head(
        title_of(vessel.name),
        f"{counted(campaign.legs, 'line')} with {counted(campaign.anchors, 'anchor')}, on "
        f"{counted(campaign.trips, 'trip')}, in the order in which they are laid.{_lying(plan)}",
        of=plan.farm.project.name,
        across=ACROSS,
    )
    _write_particulars(page, campaign, vessel, plan.farm.project.currency)
    row = _write_trips(page, 9, campaign, vessel, plan)
    said = filter(None, (WORK, LOCAL, pull_words(plan.farm)))
    row = page.paragraphs(row, list(said), ACROSS, Look.STRONG)
    row = page.paragraphs(row, [PULLING, PLACES], ACROSS, Look.NOTE)
    mine = {
        (line.leg, line.line): line for line in lines_of(plan) if line.row.vessel == vessel.name
    }
    trips = campaign.loaded or (Trip(tuple(mine), campaign.mass_t, campaign.area_m2, 0.0),)
    rows, looks = [], []
    for number, trip in enumerate(trips, start=1):
        for at, key in enumerate(trip.lines):
            rows.append(_line(plan, number, trip, mine[key]))
            looks.append(Look.FIRST if at == 0 else Look.BODY)
    first = row + 2
    given = [
        tuple(
            page.by_hand(at, column, value) if column in ON_BOARD else value
            for column, value in enumerate(cells, start=1)
        )
        for at, cells in enumerate(rows, start=first)
    ]
    table = page.table(row + 1, LINES, given, looks=looks)
    page.fields |= {(at, column) for at in range(first, table.last + 1) for column in ON_BOARD}
    page.heights(table.first, table.last, ROW_POINTS)
    page.finish(plan.farm.project.name, heading_row=table.heading_row, freeze=False)


def _lying(plan: Plan) -> str:
    """Return how many lines lie already, and so are on no laying plan."""
    lies = "lies" if len(plan.laid) == 1 else "lie"
    lines = f" {counted(len(plan.laid), 'line')} of the farm {lies} already: not listed here."
    return lines if plan.laid else ""


def _write_particulars(page: Page, campaign: Campaign, vessel: Vessel, currency: str) -> None:
    """Write the working days and what they are charged, and blanks for the master."""
    at_sea = campaign.hours / vessel.working_hours_per_day
    days = (
        f"{campaign.hours:,.1f} h of work and steaming are {at_sea:,.1f} days of "
        f"{vessel.working_hours_per_day:g} h; with {vessel.workable_share:.0%} of days workable, "
        f"{campaign.days} charged."
    )
    page.put(3, 1, days, across=ACROSS)
    charges: tuple[tuple[str, Value], ...] = (
        ("Days charged", campaign.days),
        ("Day rate", vessel.day_rate),
        ("Mobilisation", campaign.mobilisation),
        ("Fuel a trip", vessel.fuel_per_trip),
        ("Trips", campaign.trips),
    )
    for row, (label, value) in enumerate(charges, start=4):
        kind = NumberKind.COUNT if label in ("Days charged", "Trips") else NumberKind.MONEY
        page.put(row, 1, label, look=Look.STRONG, across=3)
        page.put(row, 4, value, kind, across=2)
    charge = f"{page.at(4, 4)}*{page.at(5, 4)}+{page.at(6, 4)}+{page.at(7, 4)}*{page.at(8, 4)}"
    page.put(4, 7, f"Charge, {currency}", look=Look.STRONG, across=2)
    total = Formula(charge, campaign.money)
    page.put(4, 9, total, NumberKind.MONEY, Look.TOTAL, across=2)
    blanks = (
        ("Master", "Tides and currents to lay in"),
        ("Wind, at most", "Slack water at"),
        ("Waves, at most", "Visibility, at least"),
        ("Who leads on deck", "Lifting gear, certified to"),
    )
    for row, pair in enumerate(blanks, start=5):
        for label, left, field in zip(pair, (7, 11), (9, 13), strict=True):
            page.put(row, left, label, look=Look.STRONG, across=2)
            page.put(row, field, None, look=Look.FIELD, across=2 if left == 7 else 7)


def _write_trips(page: Page, row: int, campaign: Campaign, vessel: Vessel, plan: Plan) -> int:
    """Write a row a trip; return the row below."""
    if not campaign.loaded:
        return row + 1
    day = vessel.working_hours_per_day
    for offset, column in enumerate(TRIPS, start=1):
        across = ACROSS - IN_ORDER + 1 if offset == IN_ORDER else 1
        page.put(row, offset, column.heading, column.kind, Look.HEADING, across=across)
    top = row + 1
    for number, trip in enumerate(campaign.loaded, start=1):
        row += 1
        out = trip.hours + vessel.round_trip_h
        over = vessel.home_every_day and out > day * (1 + 1e-9)
        told = f"{_named(plan, trip)}{OVER_A_DAY if over else ''}"
        shares = (trip.mass_t / vessel.deck_load_t, trip.area_m2 / vessel.deck_area_m2)
        cells = (
            number, len(trip.lines), trip.mass_t, shares[0], trip.area_m2, shares[1], out, None,
        )  # fmt: skip
        for at, (shape, value) in enumerate(zip(TRIPS, cells, strict=False), start=1):
            page.put(row, at, value, shape.kind, ruled=True)
        page.put(row, IN_ORDER, told, across=ACROSS - IN_ORDER + 1)
    bottom = row
    row += 1
    for at in range(1, ACROSS + 1):
        page.put(row, at, None, look=Look.TOTAL)
    hours = sum(t.hours + vessel.round_trip_h for t in campaign.loaded)
    for place, kind, total in (
        (LINE_COUNT, NumberKind.COUNT, sum(len(t.lines) for t in campaign.loaded)),
        (LOAD, NumberKind.MASS_T, sum(t.mass_t for t in campaign.loaded)),
        (HOURS, NumberKind.HOURS, hours),
    ):
        cells_of = f"SUM({page.at(top, place)}:{page.at(bottom, place)})"
        page.put(row, place, Formula(cells_of, total), kind, Look.TOTAL)
    return row + 1


def _named(plan: Plan, trip: Trip) -> str:
    """Return the lines of a trip in order, as runs of their groups: "MA-W1/1 to 5, OY-N/2"."""
    runs: list[tuple[str, list[int]]] = []
    for leg, line in trip.lines:
        if runs and runs[-1][0] == leg:
            last = runs[-1][1]
            step = line - last[-1]
            if abs(step) == 1 and (len(last) == 1 or step == last[-1] - last[-2]):
                last.append(line)
                continue
        runs.append((leg, [line]))
    legs = plan.farm.leg_by_name
    said = [
        legs[leg].tag(found[0]) + (f" to {found[-1]}" if len(found) > 1 else "")
        for leg, found in runs
    ]
    part = f", part {trip.part} of {trip.parts}" if trip.parts > 1 else ""
    return ", ".join(said) + part


def _line(plan: Plan, number: int, trip: Trip, line: PlanLine) -> tuple[Value, ...]:
    """Return one line's cells, the last of them blank."""
    made, leg = line.row.make_up, plan.farm.leg_by_name[line.leg]
    project = plan.farm.project
    anchor = plan.farm.anchor_by_name[made.anchor]
    pull = leg.design_tension_kn * project.setting_pull_share
    sets = anchor.holds_by is HoldsBy.EMBEDDING and pull > 0
    nowhere = (None, None)
    part = f" (part {trip.part} of {trip.parts})" if trip.parts > 1 else ""
    return (
        number,
        f"{line.tag}{part}",
        *(line.attachment or nowhere),
        line.bearing_deg,
        *(line.drop or line.anchor or nowhere),
        line.setting_drag_m if line.drop else NOT_KNOWN,
        leg.depth_m,
        f"{made.anchors} × {made.anchor}",
        f"{made.chain_m:g} m {made.chain}",
        f"{made.rope_m:g} m {made.rope}" if made.rope else "none",
        pull if sets else None,
        project.setting_pull_held_min if sets else None,
        *[None] * BLANKS,
    )
