"""Installation: each vessel's campaign, and the legs that it lays."""

from __future__ import annotations

from collections.abc import Iterator

from ...models.answer.plan import Campaign, Part
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import CAUTIONS
from ..words.kinds import NumberKind
from ..words.unpriced import NO_VESSELS

HEADING_ROW = 4

TRIPS_NOTE = (
    "Trips are loaded one by one with whole lines, by deck load and deck area, as the Laying "
    "sheets show; a vessel that goes home every day makes at least one a working day. The master "
    "plans each trip's load and its securing."
)

COLUMNS = (
    SheetColumn("Vessel", widest=20),
    SheetColumn("Legs", NumberKind.COUNT),
    SheetColumn("Anchors", NumberKind.COUNT),
    SheetColumn("Carried (t)", NumberKind.MASS_T),
    SheetColumn("Deck area taken (m²)", NumberKind.AREA_M2),
    SheetColumn("Trips", NumberKind.COUNT),
    SheetColumn("Hours of work", NumberKind.HOURS),
    SheetColumn("Charged days", NumberKind.COUNT),
    SheetColumn("Day rate", NumberKind.MONEY),
    SheetColumn("Fuel per trip", NumberKind.MONEY),
    SheetColumn("Mobilisation", NumberKind.MONEY),
    SheetColumn("Vessel days", NumberKind.MONEY),
    SheetColumn("Fuel", NumberKind.MONEY),
    SheetColumn("Charge", NumberKind.MONEY),
)
TRIPS, DAYS, DAY_RATE, TRIP_FUEL, MOBILISATION, DAY_MONEY, FUEL, CHARGE = (
    6, 8, 9, 10, 11, 12, 13, 14,
)  # fmt: skip
PARTS = ((MOBILISATION, Part.MOBILISATION), (DAY_MONEY, Part.VESSEL_DAYS), (FUEL, Part.FUEL))

WORK = (
    SheetColumn("Vessel", widest=20),
    SheetColumn("Leg", widest=14),
    SheetColumn("Anchor", widest=20),
    SheetColumn("Seabed", widest=18),
    SheetColumn("Legs", NumberKind.COUNT),
    SheetColumn("Anchors per leg", NumberKind.COUNT),
    SheetColumn("Lift, with factor (t)", NumberKind.MASS_T),
    SheetColumn("Crane limit (t)", NumberKind.MASS_T),
    SheetColumn("Setting pull (kN)", NumberKind.FORCE_KN),
    SheetColumn("Bollard pull (kN)", NumberKind.FORCE_KN),
    SheetColumn("Depth (m)", NumberKind.LENGTH_M),
    SheetColumn("Chain (m)", NumberKind.LENGTH_M),
    SheetColumn("Rope (m)", NumberKind.LENGTH_M),
)


def write_installation(book: PlanBook) -> None:
    """Write a row for every vessel used, its legs below, and tell the book the sums."""
    plan = book.plan
    project = plan.farm.project
    page = book.page("Installation")
    page.head(
        "Installation",
        f"What each vessel lays and charges, money in {project.currency}. Rates, "
        "trips and days may be changed: the charges and the Summary follow."
        if plan.farm.laying_priced
        else NO_VESSELS,
        of=project.name,
        across=len(COLUMNS),
    )
    if not plan.farm.laying_priced:
        page.paragraphs(HEADING_ROW, CAUTIONS, len(COLUMNS), Look.STRONG)
        page.finish(project.name, freeze=False)
        return
    rows = [
        _row(page, HEADING_ROW + 1 + index, campaign, book)
        for index, campaign in enumerate(plan.campaigns)
    ]
    table = page.table(HEADING_ROW, COLUMNS, rows)
    row = table.next_row
    for column in range(1, len(COLUMNS) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    campaigns = plan.campaigns
    values = {
        MOBILISATION: sum(c.mobilisation for c in campaigns),
        DAY_MONEY: sum(c.day_money for c in campaigns),
        FUEL: sum(c.fuel for c in campaigns),
        CHARGE: sum(c.money for c in campaigns),
    }
    if campaigns:
        for column, value in values.items():
            total = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
            page.put(row, column, Formula(total, value), NumberKind.MONEY, Look.TOTAL)
        for column, part in PARTS:
            book.part_terms[part].append(page.ref(row, column))
    page.put(row + 2, 1, "What each vessel lays", look=Look.SECTION, across=len(WORK))
    work = page.table(row + 3, WORK, _work(book))
    below = page.paragraphs(work.next_row + 1, [TRIPS_NOTE], len(COLUMNS), Look.NOTE)
    page.paragraphs(below, CAUTIONS, len(COLUMNS), Look.STRONG)
    page.finish(project.name, heading_row=work.heading_row, freeze=False)


def _row(page: Page, row: int, campaign: Campaign, book: PlanBook) -> tuple[Value, ...]:
    """Return one vessel's cells; its charges are live."""
    vessel = book.plan.farm.vessel_by_name[campaign.vessel]
    days = f"{page.at(row, DAYS)}*{page.at(row, DAY_RATE)}"
    fuel = f"{page.at(row, TRIPS)}*{page.at(row, TRIP_FUEL)}"
    charge = f"SUM({page.at(row, MOBILISATION)}:{page.at(row, FUEL)})"
    return (
        campaign.vessel,
        campaign.legs,
        campaign.anchors,
        campaign.mass_t,
        campaign.area_m2,
        campaign.trips,
        campaign.hours,
        campaign.days,
        vessel.day_rate,
        vessel.fuel_per_trip,
        campaign.mobilisation,
        Formula(days, campaign.day_money),
        Formula(fuel, campaign.fuel),
        Formula(charge, campaign.money),
    )


def _work(book: PlanBook) -> Iterator[tuple[Value, ...]]:
    """Yield a row for every assignment, vessel by vessel."""
    farm = book.plan.farm
    order = {campaign.vessel: number for number, campaign in enumerate(book.plan.campaigns)}
    for row in sorted(book.plan.assignments, key=lambda a: order.get(a.vessel, len(order))):
        leg, vessel = farm.leg_by_name[row.leg], farm.vessel_by_name[row.vessel]
        yield (
            row.vessel,
            row.leg,
            row.make_up.anchor,
            leg.seabed,
            row.count,
            row.make_up.anchors,
            farm.anchor_by_name[row.make_up.anchor].mass_kg * farm.project.lift_factor / 1000.0,
            vessel.crane_limit_t,
            leg.design_tension_kn * farm.project.setting_pull_share or None,
            vessel.bollard_pull_kn,
            leg.depth_m,
            row.make_up.chain_m,
            row.make_up.rope_m if row.make_up.rope else None,
        )
