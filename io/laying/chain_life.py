"""Chain life: when each line's chain is worn to its limit, and what replacing it is worth now."""

from __future__ import annotations

from ...models.farm import Farm
from ...models.risk.chain_years import ChainYears, chain_years, present_worth
from ...models.site.project import Project
from ..paper.book import PlanBook
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import CAUTIONS
from ..words.kinds import NumberKind

HEADING_ROW = 5


def write_chain_life(book: PlanBook) -> None:
    """Write the sheet, where a rate of wear is stated."""
    plan = book.plan
    project = plan.farm.project
    years = chain_years(plan)
    if not years:
        return
    columns = (
        SheetColumn("Leg", widest=16),
        SheetColumn("Chain", widest=20),
        SheetColumn("Lines", NumberKind.COUNT),
        SheetColumn("Diameter (mm)", NumberKind.FACTOR),
        SheetColumn("Least diameter (mm)", NumberKind.FACTOR),
        SheetColumn("Years to the limit", NumberKind.LENGTH_M),
        SheetColumn(f"Replacing one line ({project.currency})", NumberKind.MONEY),
        SheetColumn(f"Present worth ({project.currency})", NumberKind.MONEY),
    )
    page = book.page("Chain life")
    page.head(
        "Chain life",
        "When the chain of each leg is worn to its limit, the first first.",
        of=project.name,
        across=len(columns),
    )
    page.put(3, 1, _read(plan.farm, years), look=Look.NOTE, across=len(columns))
    table = page.table(HEADING_ROW, columns, [_row(one, project) for one in years])
    page.paragraphs(table.next_row + 1, CAUTIONS[:2], len(columns), Look.STRONG)
    page.finish(project.name, heading_row=HEADING_ROW)


def _row(one: ChainYears, project: Project) -> tuple[Value, ...]:
    worth = one.present_worth if project.replacement_horizon_years > 0 else None
    return (
        one.leg,
        one.chain,
        one.lines,
        one.diameter_mm,
        one.least_mm,
        one.years,
        one.each,
        worth,
    )


def _read(farm: Farm, years: tuple[ChainYears, ...]) -> str:
    project, first = farm.project, years[0]
    boat = "boat time is not priced. "
    if farm.laying_priced:
        boat = (
            "shifting and handling at the vessel's day rate; mobilisation and trips are not in it. "
        )
    said = (
        f"First: the chain of {first.leg}, after {first.years:.1f} years at "
        f"{project.chain_wear_mm_per_year:g} mm a year, by strength alone: wear is measured, and a "
        f"surveyor's limits may come first. Replacing: chain at its first price; {boat}"
    )
    if project.replacement_horizon_years > 0:
        return said + (
            f"Present worth of all replacements within {project.replacement_horizon_years:g} years "
            f"at {project.discount_rate:.1%} a year: {project.currency} "
            f"{present_worth(years):,.0f}; it takes no part in the choice."
        )
    return said + "State a Replacement horizon in Project for what replacements are worth now."
