"""Chain life: when each line's chain is worn to its limit, and what replacing it is worth now."""

from __future__ import annotations

import math

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
    """Write the sheet, where a rate of wear is stated or measured."""
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
        SheetColumn("Wear (mm a year)", NumberKind.FINE),
        SheetColumn("Rate", widest=10),
        SheetColumn("Years to the limit", NumberKind.LENGTH_M),
        SheetColumn("Worn on", NumberKind.DATE),
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
        one.rate_mm_per_year,
        "measured" if one.measured else "stated",
        one.years if math.isfinite(one.years) else "never",
        one.due,
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
    due = "" if first.due is None else f", on {first.due:%Y-%m-%d}"
    rate = f"{first.rate_mm_per_year:.2g} mm a year, {'measured' if first.measured else 'stated'}"
    said = (
        f"First: the chain of {first.leg}, after {first.years:.1f} years at {rate}{due}, by "
        "strength alone: a surveyor's limits may come first. Where a line that lies was measured, "
        "its leg wears at the fastest rate so found, and it has a row of its own from the diameter "
        "measured. Every limit is held at the Chain wear of Project. Replacing: chain at its first "
        f"price; {boat}"
    )
    if project.replacement_horizon_years > 0:
        return said + (
            f"Present worth of all replacements within {project.replacement_horizon_years:g} years "
            f"at {project.discount_rate:.1%} a year: {project.currency} "
            f"{present_worth(years):,.0f}; it takes no part in the choice."
        )
    return said + "State a Replacement horizon in Project for what replacements are worth now."
