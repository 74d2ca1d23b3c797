"""Installation: each vessel's campaign, and the legs that it lays."""

from __future__ import annotations

from collections.abc import Iterator

from ...models.answer.plan import Campaign, Part
from ..paper.book import PlanBook
from ..paper.page import Column, Formula, Page, Value
from ..paper.style import Look
from ..words.cautions import CAUTIONS
from ..words.kinds import Kind

HEADING_ROW = 4

TRIPS_NOTE = (
    "Trips are the fewest whose decks hold the campaign's mass and area in all. Whole anchors, and "
    "legs laid in order, may need more trips, and more trips more days: have the master plan each "
    "trip's load."
)

COLUMNS = (
    Column("Vessel", widest=20),
    Column("Legs", Kind.COUNT),
    Column("Anchors", Kind.COUNT),
    Column("Carried (t)", Kind.MASS_T),
    Column("Deck area taken (m²)", Kind.AREA_M2),
    Column("Trips", Kind.COUNT),
    Column("Hours of work", Kind.HOURS),
    Column("Charged days", Kind.COUNT),
    Column("Day rate", Kind.MONEY),
    Column("Fuel per trip", Kind.MONEY),
    Column("Mobilisation", Kind.MONEY),
    Column("Vessel days", Kind.MONEY),
    Column("Fuel", Kind.MONEY),
    Column("Charge", Kind.MONEY),
)
TRIPS, DAYS, DAY_RATE, TRIP_FUEL, MOBILISATION, DAY_MONEY, FUEL, CHARGE = (
    6, 8, 9, 10, 11, 12, 13, 14,
)  # fmt: skip
PARTS = ((MOBILISATION, Part.MOBILISATION), (DAY_MONEY, Part.VESSEL_DAYS), (FUEL, Part.FUEL))

WORK = (
    Column("Vessel", widest=20),
    Column("Leg", widest=14),
    Column("Anchor", widest=20),
    Column("Seabed", widest=18),
    Column("Legs", Kind.COUNT),
    Column("Anchors per leg", Kind.COUNT),
    Column("Lift, with factor (t)", Kind.MASS_T),
    Column("Crane limit (t)", Kind.MASS_T),
    Column("Setting pull (kN)", Kind.FORCE_KN),
    Column("Bollard pull (kN)", Kind.FORCE_KN),
    Column("Depth (m)", Kind.LENGTH_M),
    Column("Chain (m)", Kind.LENGTH_M),
    Column("Rope (m)", Kind.LENGTH_M),
    Column("Position (m E, m N)", widest=22),
)


def write_installation(book: PlanBook) -> None:
    """Write a row for every vessel used, its legs below, and tell the book the sums."""
    plan = book.plan
    project = plan.farm.project
    page = book.page("Installation")
    page.head(
        "Installation",
        f"{project.name}. What each vessel lays and charges, money in {project.currency}. Rates, "
        "trips and days may be changed: the charges and the Summary follow.",
        across=len(COLUMNS),
    )
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
            page.put(row, column, Formula(total, value), Kind.MONEY, Look.TOTAL)
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
        place = ""
        if leg.easting_m is not None and leg.northing_m is not None:
            place = f"{leg.easting_m:.1f}, {leg.northing_m:.1f}"
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
            place,
        )
